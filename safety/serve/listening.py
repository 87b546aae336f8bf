"""Listening until somebody ends it: on this machine alone, on the shop's network, or behind the shop's own proxy."""

from __future__ import annotations

import socket
import ssl
import time
from collections.abc import Callable, Iterator
from contextlib import ExitStack, closing
from dataclasses import dataclass
from ipaddress import ip_address
from pathlib import Path
from urllib.parse import urlsplit

import uvicorn

from safety.problems import Problem, Problems
from safety.serve.app import application
from safety.serve.authority import Authority
from safety.serve.desk import Asks, Desk
from safety.serve.door import Door
from safety.serve.lock import held
from safety.words import say

#: Nobody else reaches this address: no other machine, and no other person's browser but on this one.
LOOPBACK = "127.0.0.1"


@dataclass(frozen=True, slots=True)
class Reach:
    """From where the page is reached; as it stands here, from this machine alone."""

    network: str = ""  # an address of this machine to be reached at over TLS as well
    names: tuple[str, ...] = ()  # other names of it
    certificate: tuple[Path, Path] | None = None  # the shop's own, and its key; else one of the page's own authority
    proxy: str = ""  # "https://page.example": where the shop's own proxy shows the page

    @property
    def alone(self) -> bool:
        return not (self.network or self.proxy)


@dataclass(frozen=True, slots=True)
class Opened:
    """What whoever began the program is told."""

    address: str  # to be opened on this machine; not alone: by its key, once
    elsewhere: str = ""  # to be opened on tablets
    authority: Path | None = None  # the certificate that they are to trust
    fingerprint: str = ""


def serve(
    shop: Path,
    port: int,
    engine: Callable[[Path], Asks],
    told: Callable[[Opened], None],
    clock: Callable[[], float] = time.time,
    reach: Reach | None = None,
) -> None:
    """Serve the page of a shop until the program is ended; ``told`` hears where. Raises Problems."""
    reach = reach or Reach()
    _sound(reach)
    with ExitStack() as open:
        sockets = [open.enter_context(closing(_listening(LOOPBACK, port)))]
        port = sockets[0].getsockname()[1]
        if reach.network:
            sockets.append(open.enter_context(closing(_listening(reach.network, port))))
        authority = _authority(reach, shop.parent)
        door = Door(frozenset(_hosts(reach, port)), not reach.alone, authority.certificate if authority else None)
        own = f"{'https' if reach.network else 'http'}://{LOOPBACK}:{port}/"
        open.enter_context(held(shop.parent, reach.proxy or own))
        desk = Desk(shop, engine(shop), clock, alone=reach.alone, authority=door.authority)
        open.enter_context(closing(desk))
        if not reach.alone:
            _somebody_to_let_in(desk)
        pair = authority.page if authority else reach.certificate
        config = uvicorn.Config(
            application(desk, door),
            log_level="critical",  # the guards say what went wrong, in a line
            access_log=False,
            lifespan="off",
            server_header=False,
            date_header=False,
            proxy_headers=bool(reach.proxy),  # else anybody could say from where a request comes
            forwarded_allow_ips=LOOPBACK,
            limit_concurrency=100,
            timeout_keep_alive=30,
            timeout_graceful_shutdown=3,
            ws="none",
            ssl_certfile=pair[0] if pair else None,
            ssl_keyfile=pair[1] if pair else None,
        )
        try:
            config.load()
        except (OSError, ssl.SSLError) as error:
            wrong = say("this certificate or its key cannot be used: {why}", why=error.strerror or error)
            raise Problems([Problem("--certificate", 0, "", wrong, say("give both as PEM files"))]) from None
        told(_opened(reach, desk, own, port, authority))
        uvicorn.Server(config).run(sockets)


def _sound(reach: Reach) -> None:
    """Raises Problems for what cannot be reached."""

    def refuse(option: str, wrong: str, write: str) -> Problems:
        return Problems([Problem(option, 0, "", wrong, write)])

    if reach.network and reach.proxy:
        raise refuse("--proxy", say("a proxy is reached on this machine"), say("leave --network out"))
    if reach.proxy and not (reach.proxy.startswith("https://") and urlsplit(reach.proxy).path in ("", "/")):
        raise refuse("--proxy", say("this is no address of an encrypted page"), say("write https://NAME"))
    if not reach.network:
        if reach.names or reach.certificate:
            raise refuse("--network", say("it is not given"), say("name the address of this machine as well"))
        return
    try:
        found = ip_address(reach.network)
    except ValueError:
        found = None
    if found is None or found.version != 4 or found.is_unspecified or found.is_loopback:
        wrong = say("{address} is no single address of this machine", address=reach.network)
        raise refuse("--network", wrong, say("write it as in 192.168.1.20"))


def _hosts(reach: Reach, port: int) -> Iterator[str]:
    """What is answered to. Behind a proxy only what the proxy is called: so nobody gets round it by mistake."""
    if reach.proxy:
        yield urlsplit(reach.proxy).netloc.lower()
        return
    for name in filter(None, (LOOPBACK, "localhost", reach.network, *reach.names)):
        yield f"{name}:{port}".lower()
        if reach.network and port == 443:
            yield name.lower()


def _authority(reach: Reach, folder: Path) -> Authority | None:
    if not reach.network or reach.certificate:
        return None
    return Authority(folder, (reach.network, *reach.names))


def _somebody_to_let_in(desk: Desk) -> None:
    """Raises Problems where nobody could add a tablet."""
    if any(person.roles and desk.who.passphrases.has(person.name) for person in desk.shop().people):
        return
    wrong = say("nobody could add a tablet: no officer or office of the shop has a passphrase")
    write = say("write [[person]] with roles in shop.toml, then: hazstep serve --passphrase NAME")
    raise Problems([Problem("serve", 0, "", wrong, write)])


def _opened(reach: Reach, desk: Desk, own: str, port: int, authority: Authority | None) -> Opened:
    if reach.alone:
        return Opened(own)
    elsewhere = f"{reach.proxy.rstrip('/')}/" if reach.proxy else f"https://{(*reach.names, reach.network)[0]}:{port}/"
    address = f"{elsewhere if reach.proxy else own}enter?key={desk.tablets.key}"
    if authority is None:
        return Opened(address, elsewhere)
    return Opened(address, elsewhere, authority.certificate, authority.fingerprint)


def _listening(address: str, port: int) -> socket.socket:
    # named as TCP: else asyncio leaves each answer to wait 40 ms for the other side to say that it heard the head of it
    listening = socket.socket(socket.AF_INET, socket.SOCK_STREAM, socket.IPPROTO_TCP)
    try:
        if hasattr(socket, "SO_EXCLUSIVEADDRUSE"):  # Windows: else another program could take it over
            listening.setsockopt(socket.SOL_SOCKET, socket.SO_EXCLUSIVEADDRUSE, 1)
        else:
            listening.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
        listening.bind((address, port))
        listening.listen(100)
    except OSError as error:
        listening.close()
        if address != LOOPBACK:
            wrong = say("{address} cannot be listened on: {why}", address=address, why=error.strerror or error)
            raise Problems([Problem("--network", 0, "", wrong, say("name an address of this machine"))]) from None
        wrong = say("port {port} cannot be listened on: {why}", port=port, why=error.strerror or error)
        raise Problems([Problem("--port", 0, "", wrong, say("name another, such as --port 8421"))]) from None
    return listening
