"""The page's own small authority: it vouches for the page of one shop under its names, and for nothing else.

A browser that was shown its certificate once takes the page for what it is. Whoever steals its key can speak for
those names only: they stand in the authority itself (RFC 5280, 4.2.1.10).
"""

from __future__ import annotations

import os
from collections.abc import Sequence
from datetime import datetime, timedelta, timezone
from ipaddress import ip_address, ip_network
from pathlib import Path

from cryptography import x509
from cryptography.hazmat.primitives import hashes
from cryptography.hazmat.primitives.asymmetric import ec
from cryptography.hazmat.primitives.serialization import (
    Encoding,
    NoEncryption,
    PrivateFormat,
    load_pem_private_key,
)
from cryptography.x509.oid import ExtendedKeyUsageOID, NameOID

from safety.problems import Problem, Problems
from safety.words import say

FOLDER = "serve-tls"
#: How long the authority and the page's own certificate hold. Browsers refuse one of more than some 13 months (from
#: memory, unverified); it is made anew when the page is begun within the last month of it.
_YEARS, _DAYS, _LEFT = timedelta(days=3650), timedelta(days=397), timedelta(days=30)
_KEY_USES = (
    "digital_signature",
    "content_commitment",
    "key_encipherment",
    "data_encipherment",
    "key_agreement",
    "key_cert_sign",
    "crl_sign",
    "encipher_only",
    "decipher_only",
)


class Authority:
    """The authority of a shop, in a folder for its owner only; made where there is none yet."""

    def __init__(self, shop: Path, names: Sequence[str], now: datetime | None = None) -> None:
        """``names`` are host names and addresses under which the page is opened. Raises Problems."""
        self._folder, self._now = shop / FOLDER, now or datetime.now(timezone.utc)
        self._names = tuple(dict.fromkeys((*names, "localhost", "127.0.0.1")))
        self._folder.mkdir(mode=0o700, exist_ok=True)
        try:
            self._made()
        except (OSError, ValueError) as error:
            wrong = say("the page's own authority cannot be read or made: {why}", why=str(error))
            raise Problems([Problem(self._folder.as_posix(), 0, "", wrong, _again())]) from error

    @property
    def certificate(self) -> Path:
        """What is shown to a tablet so that it trusts the page."""
        return self._folder / "authority.pem"

    @property
    def page(self) -> tuple[Path, Path]:
        """The page's own certificate and its key."""
        return self._folder / "page.pem", self._folder / "page-key.pem"

    @property
    def fingerprint(self) -> str:
        """By what a person compares the certificate a tablet was shown: SHA-256, in pairs."""
        found = _read(self.certificate).fingerprint(hashes.SHA256()).hex().upper()
        return ":".join(found[at : at + 2] for at in range(0, len(found), 2))

    def _made(self) -> None:
        if not self.certificate.is_file():
            self._make_authority()
        authority = _read(self.certificate)
        allowed = authority.extensions.get_extension_for_class(x509.NameConstraints).value.permitted_subtrees or []
        strange = [name for name in self._names if not any(_covers(one, name) for one in allowed)]
        if strange:
            wrong = say("the page's own authority was made for other names than {name}", name=strange[0])
            raise Problems([Problem(self._folder.as_posix(), 0, "", wrong, _again())])
        certificate, _ = self.page
        if certificate.is_file():
            found = _read(certificate)
            named = found.extensions.get_extension_for_class(x509.SubjectAlternativeName).value
            whole = list(named) == [_general(name) for name in self._names]
            if whole and found.issuer == authority.subject and found.not_valid_after_utc - self._now > _LEFT:
                return
        self._make_page(authority)

    def _make_authority(self) -> None:
        key = ec.generate_private_key(ec.SECP256R1())
        name = x509.Name([x509.NameAttribute(NameOID.COMMON_NAME, f"hazstep page, {self._names[0]}"[:64])])
        allowed = [_subtree(name) for name in self._names]
        made = (
            self._begun(name, key.public_key(), _YEARS)
            .issuer_name(name)
            .add_extension(x509.BasicConstraints(ca=True, path_length=0), critical=True)
            .add_extension(_uses("key_cert_sign", "crl_sign"), critical=True)
            .add_extension(x509.NameConstraints(allowed, None), critical=True)
            .add_extension(x509.SubjectKeyIdentifier.from_public_key(key.public_key()), critical=False)
            .sign(key, hashes.SHA256())
        )
        _write(self._folder / "authority-key.pem", _pem(key))
        _write(self.certificate, made.public_bytes(Encoding.PEM))

    def _make_page(self, authority: x509.Certificate) -> None:
        signing = load_pem_private_key((self._folder / "authority-key.pem").read_bytes(), None)
        assert isinstance(signing, ec.EllipticCurvePrivateKey)
        key = ec.generate_private_key(ec.SECP256R1())
        name = x509.Name([x509.NameAttribute(NameOID.COMMON_NAME, self._names[0][:64])])
        made = (
            self._begun(name, key.public_key(), _DAYS)
            .issuer_name(authority.subject)
            .add_extension(x509.SubjectAlternativeName([_general(name) for name in self._names]), critical=False)
            .add_extension(x509.BasicConstraints(ca=False, path_length=None), critical=True)
            .add_extension(_uses("digital_signature"), critical=True)
            .add_extension(x509.ExtendedKeyUsage([ExtendedKeyUsageOID.SERVER_AUTH]), critical=False)
            .add_extension(x509.AuthorityKeyIdentifier.from_issuer_public_key(signing.public_key()), critical=False)
            .sign(signing, hashes.SHA256())
        )
        certificate, kept = self.page
        _write(kept, _pem(key))
        _write(certificate, made.public_bytes(Encoding.PEM))

    def _begun(self, name: x509.Name, key: ec.EllipticCurvePublicKey, lasts: timedelta) -> x509.CertificateBuilder:
        begin = self._now - timedelta(days=1)  # clocks of tablets differ
        made = x509.CertificateBuilder().subject_name(name).public_key(key).serial_number(x509.random_serial_number())
        return made.not_valid_before(begin).not_valid_after(self._now + lasts)


def _again() -> str:
    return say("take the folder away to make a new one, and let each tablet trust that")


def _read(path: Path) -> x509.Certificate:
    return x509.load_pem_x509_certificate(path.read_bytes())


def _write(path: Path, content: bytes) -> None:
    """Written beside and renamed: a disk that was full leaves no half of a key."""
    beside = path.with_suffix(".new")
    with open(os.open(beside, os.O_CREAT | os.O_WRONLY | os.O_TRUNC, 0o600), "wb") as file:
        file.write(content)
    os.replace(beside, path)


def _pem(key: ec.EllipticCurvePrivateKey) -> bytes:
    return key.private_bytes(Encoding.PEM, PrivateFormat.PKCS8, NoEncryption())


def _uses(*used: str) -> x509.KeyUsage:
    return x509.KeyUsage(**{name: name in used for name in _KEY_USES})


def _general(name: str) -> x509.GeneralName:
    try:
        return x509.IPAddress(ip_address(name))
    except ValueError:
        return x509.DNSName(name)


def _subtree(name: str) -> x509.GeneralName:
    try:
        return x509.IPAddress(ip_network(name))
    except ValueError:
        return x509.DNSName(name)


def _covers(one: x509.GeneralName, name: str) -> bool:
    return one == _subtree(name)
