"""The page on the shop's network: TLS of its own authority, tablets let in one by one, and a proxy in front of it."""

from __future__ import annotations

import asyncio
import os
import re
import socket
import ssl
import stat
import threading
from collections.abc import Iterator
from concurrent.futures import ThreadPoolExecutor
from datetime import datetime, timedelta, timezone
from http.client import HTTPSConnection
from pathlib import Path

import pytest
from click.testing import CliRunner
from cryptography import x509

from safety.cli import BAD_INPUT, main
from safety.problems import Problems
from safety.serve.authority import Authority
from safety.serve.desk import Desk
from safety.serve.tablets import MOST, WAITS
from tests.serve.inside import Browser, desk_of
from tests.serve.shop import slipway
from tests.serve.test_people import PEOPLE, WORDS, Clock

HOST = "shop-pc.local:8420"
BARE = 1, "shed", "Hull"


@pytest.fixture
def clock() -> Clock:
    return Clock()


@pytest.fixture
def desk(tmp_path: Path, clock: Clock) -> Iterator[Desk]:
    folder = slipway(tmp_path / "shop")
    (folder / "shop.toml").write_text((folder / "shop.toml").read_text() + PEOPLE)
    desk = desk_of(folder, clock, alone=False)
    desk.who.passphrases.keep("Officer 1", WORDS)
    yield desk
    desk.close()


def stranger(desk: Desk, address: str = "192.168.1.30") -> Browser:
    return Browser(desk, host=HOST, scheme="https", address=address)


def letters(one: Browser) -> str:
    found = re.search(r'class="letters">(\w{6})<', one.body)
    assert found, one.body
    return found[1]


def machine(desk: Desk) -> Browser:
    """The browser of who began the program, as the officer."""
    one = stranger(desk, "127.0.0.1")
    key = desk.tablets.key
    assert one.get(f"/enter?key={key}") == 200
    assert one.post("/enter", {"key": key}) == 303
    assert one.named("Officer 1", WORDS) == 303
    return one


# ---------------------------------------------------------------- tablets


@pytest.mark.parametrize(
    "path",
    ["/", "/who", "/emergency", "/news", "/job/patch", "/job/none", "/run/none", "/tablets", "/nowhere", "/language"],
)
def test_who_was_not_let_in_sees_only_how_to_be(desk: Desk, path: str) -> None:
    one = stranger(desk)
    assert one.get(path) in (403, 405)
    assert "Ask for this tablet to be added" in one.body or one.body == "Method Not Allowed"
    for known in ("Slipway", "shed", "Tech 1", "Officer 1", "patch", "gate"):
        assert known not in one.body


def test_who_was_not_let_in_posts_nothing(desk: Desk) -> None:
    one = stranger(desk)
    one.get("/enter?key=x")
    for path in ("/who", "/language", "/job/patch/start", "/run/x/tap", "/tablets", "/tablets/remove"):
        assert one.post(path, {"name": "Officer 1", "other": "Tech 9", "passphrase": WORDS}) == 403, path
        assert "Slipway" not in one.body
        one.get("/enter?key=x")
    assert one.post("/enter", {"key": "x" * 32}) == 403


def test_a_tablet_is_let_in_by_the_letters_it_shows_and_shut_out_again(desk: Desk, clock: Clock) -> None:
    one, officer = stranger(desk), machine(desk)
    one.get("/")
    shown = letters(one)
    assert not set(shown) & set("01IO")
    officer.get("/tablets")
    assert shown in officer.body
    assert "192.168.1.30" in officer.body
    assert officer.post("/tablets", {"letters": "AAAAAA", "called": "Bay 2"}) == 409
    assert officer.post("/tablets", {"letters": shown.lower(), "called": "Bay 2"}) == 303
    assert one.get("/") == 303
    assert one.headers["location"] == "/who"
    assert one.named("Tech 1") == 303
    assert one.get("/tablets") == 403, "a technician lets nobody in"
    officer.get("/tablets")
    found = re.search(r'name="id" value="(\w+)"><p><strong>Bay 2', officer.body.replace("\n", ""))
    assert found
    assert officer.post("/tablets/remove", {"id": found[1]}) == 303
    assert one.get("/") == 403
    one.get("/")
    assert letters(one) != shown
    from tests.serve.test_people import lines

    told = lines(desk)
    assert {("Officer 1", "tablet added", "Bay 2"), ("Officer 1", "tablet removed", "Bay 2")} <= set(told)


def test_letters_hold_for_ten_minutes_and_for_one_tablet(desk: Desk, clock: Clock) -> None:
    one, officer = stranger(desk), machine(desk)
    one.get("/")
    shown = letters(one)
    one.get("/")
    assert letters(one) == shown, "they would change under the eyes of who reads them out"
    clock.now += WAITS
    officer.get("/tablets")
    assert officer.post("/tablets", {"letters": shown, "called": "Late"}) == 409
    one.get("/")
    assert letters(one) != shown


def test_who_asks_again_and_again_pushes_nobody_out(desk: Desk) -> None:
    one = stranger(desk)
    one.get("/")
    for _ in range(3 * MOST):
        stranger(desk, "192.168.1.66").get("/")
    assert len(desk.tablets.waiting()) == 2
    for number in range(2 * MOST):
        stranger(desk, f"10.0.0.{number}").get("/")
    assert letters(one) in {waiting.letters for waiting in desk.tablets.waiting()}
    late = stranger(desk, "10.1.1.1")
    late.get("/")
    assert "Too many tablets" in late.body


def test_the_key_of_the_first_line_opens_once(desk: Desk) -> None:
    key = desk.tablets.key
    machine(desk)
    two = stranger(desk, "127.0.0.1")
    two.get(f"/enter?key={key}")
    assert two.post("/enter", {"key": key}) == 403
    two.get("/enter?key=")
    assert two.post("/enter", {"key": ""}) == 403


def test_this_machine_is_let_in_like_any_other(desk: Desk) -> None:
    """A proxy on it would otherwise open the page to everybody who reaches the proxy."""
    assert stranger(desk, "127.0.0.1").get("/") == 403


def test_cookies_over_tls_are_of_this_page_only(desk: Desk) -> None:
    one = machine(desk)
    assert all(name.startswith("__Host-") for name in one.cookies)
    for name in list(one.cookies):
        one.cookies[name.removeprefix("__Host-")] = one.cookies.pop(name)
    assert one.get("/") == 403


# ---------------------------------------------------------------- the authority


def test_the_authority_vouches_for_the_names_of_the_page_and_no_other(tmp_path: Path) -> None:
    made = Authority(tmp_path, ("192.168.1.20", "shop-pc.local"))
    for file in (tmp_path / "serve-tls").iterdir():
        assert stat.S_IMODE(os.stat(file).st_mode) == 0o600, file
    root = x509.load_pem_x509_certificate(made.certificate.read_bytes())
    allowed = root.extensions.get_extension_for_class(x509.NameConstraints)
    assert allowed.critical
    named = {str(one.value) for one in allowed.value.permitted_subtrees or []}
    assert named == {"192.168.1.20/32", "shop-pc.local", "localhost", "127.0.0.1/32"}
    page = x509.load_pem_x509_certificate(made.page[0].read_bytes())
    page.verify_directly_issued_by(root)
    assert (page.not_valid_after_utc - page.not_valid_before_utc).days <= 398
    again = Authority(tmp_path, ("192.168.1.20", "shop-pc.local"))
    assert again.fingerprint == made.fingerprint, "tablets would have to trust it anew"
    assert x509.load_pem_x509_certificate(again.page[0].read_bytes()) == page
    late = Authority(tmp_path, ("192.168.1.20", "shop-pc.local"), datetime.now(timezone.utc) + timedelta(days=380))
    assert late.fingerprint == made.fingerprint
    assert x509.load_pem_x509_certificate(late.page[0].read_bytes()) != page
    with pytest.raises(Problems) as refused:
        Authority(tmp_path, ("192.168.1.21",))
    assert "was made for other names than 192.168.1.21" in str(refused.value.problems[0])


def test_a_browser_that_trusts_the_authority_trusts_the_page(tmp_path: Path) -> None:
    made = Authority(tmp_path, ("192.168.1.20", "shop-pc.local"))
    ours = ssl.SSLContext(ssl.PROTOCOL_TLS_SERVER)
    ours.load_cert_chain(*made.page)
    theirs = ssl.create_default_context(cafile=str(made.certificate))
    for name, trusted in (("shop-pc.local", True), ("192.168.1.20", True), ("shop.example", False)):
        one, other = socket.socketpair()

        def answer(end: socket.socket = one) -> None:
            try:
                ours.wrap_socket(end, server_side=True).close()
            except (ssl.SSLError, OSError):
                end.close()

        thread = threading.Thread(target=answer)
        thread.start()
        if trusted:
            theirs.wrap_socket(other, server_hostname=name).close()
        else:
            with pytest.raises(ssl.SSLCertVerificationError):
                theirs.wrap_socket(other, server_hostname=name)
            other.close()
        thread.join()


# ---------------------------------------------------------------- the command


@pytest.mark.parametrize(
    ("options", "line"),
    [
        (("--network", "0.0.0.0"), "0.0.0.0 is no single address of this machine"),
        (("--network", "127.0.0.1"), "127.0.0.1 is no single address of this machine"),
        (("--network", "shop-pc.local"), "shop-pc.local is no single address of this machine"),
        (("--network", "203.0.113.7"), "203.0.113.7 cannot be listened on"),
        (("--name", "shop-pc.local"), "--network: it is not given"),
        (("--proxy", "http://page.example"), "this is no address of an encrypted page"),
        (("--proxy", "https://page.example/x"), "this is no address of an encrypted page"),
        (("--proxy", "https://page.example", "--network", "10.0.0.1"), "a proxy is reached on this machine"),
        (("--proxy", "https://page.example"), "nobody could add a tablet"),
        (("--certificate", "a.pem"), "a certificate and its key belong together"),
    ],
    ids=lambda value: " ".join(value) if isinstance(value, tuple) else "",
)  # fmt: skip
def test_what_cannot_be_reached_is_one_line(tmp_path: Path, options: tuple[str, ...], line: str) -> None:
    folder = slipway(tmp_path / "shop")
    done = CliRunner().invoke(main, ["serve", "--shop", str(folder), "--port", "0", *options])
    assert done.exit_code == BAD_INPUT
    assert line in done.stderr
    assert len(done.stderr.splitlines()) == 1


def own_address() -> str:
    """An address of this machine that is not its loopback; none is asked anything."""
    with socket.socket(socket.AF_INET, socket.SOCK_DGRAM) as one:
        try:
            one.connect(("192.0.2.1", 9))
        except OSError:
            return ""
        return str(one.getsockname()[0])


def test_on_the_network_it_is_encrypted_and_knows_its_names(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    address = own_address()
    if not address or address.startswith("127."):
        pytest.skip("this machine has no address of a network")
    import uvicorn

    from safety.serve.listening import Opened, Reach, serve
    from safety.serve.passphrases import Passphrases
    from safety.serve.store import Store
    from tests.serve.inside import Silent

    folder = slipway(tmp_path / "shop")
    (folder / "shop.toml").write_text((folder / "shop.toml").read_text() + PEOPLE)
    Passphrases(Store(folder), (4, 8, 1)).keep("Officer 1", WORDS)
    told: list[Opened] = []
    made: list[uvicorn.Server] = []
    begin = uvicorn.Server.run
    monkeypatch.setattr(uvicorn.Server, "run", lambda self, sockets: (made.append(self), begin(self, sockets))[1])
    monkeypatch.setattr(uvicorn.Server, "install_signal_handlers", lambda self: None, raising=False)
    reach = Reach(address, ("shop-pc.local",))
    thread = threading.Thread(
        target=serve, args=(folder / "shop.toml", 0, lambda file: Silent(), told.append), kwargs={"reach": reach}
    )
    thread.start()
    try:
        while not (told and made and made[0].started):
            assert thread.is_alive()
            thread.join(0.02)
        (opened,) = told
        assert opened.authority
        port = int(opened.elsewhere.rstrip("/").rsplit(":", 1)[1])
        trust = ssl.create_default_context(cafile=str(opened.authority))
        for host, sent, status in (
            (address, None, 403),
            ("127.0.0.1", None, 403),
            (address, "shop.example", 421),
            (address, f"shop-pc.local:{port}", 403),
        ):
            connection = HTTPSConnection(host, port, context=trust, timeout=10)
            connection.request("GET", "/", headers={"Host": sent} if sent else {})
            answer = connection.getresponse()
            assert answer.status == status, (host, sent)
            assert answer.getheader("content-security-policy")
            connection.close()
        connection = HTTPSConnection(address, port, context=trust, timeout=10)
        connection.request("GET", "/authority.crt")
        assert connection.getresponse().read() == opened.authority.read_bytes()
        connection.close()
    finally:
        made[0].should_exit = True
        thread.join(10)


def test_an_answer_does_not_wait_to_be_heard() -> None:
    """Each page came 40 ms late: the socket was not named as TCP, and asyncio left it to wait for an acknowledgement."""
    from safety.serve.listening import _listening

    async def accepted() -> int:
        heard: asyncio.Future[int] = asyncio.get_running_loop().create_future()

        def come(reader: asyncio.StreamReader, writer: asyncio.StreamWriter) -> None:
            own = writer.get_extra_info("socket")
            heard.set_result(own.getsockopt(socket.IPPROTO_TCP, socket.TCP_NODELAY))
            writer.close()

        listening = _listening("127.0.0.1", 0)
        async with await asyncio.start_server(come, sock=listening):
            _, writer = await asyncio.open_connection(*listening.getsockname())
            told = await heard
            writer.close()
        return told

    with ThreadPoolExecutor(1) as thread:  # in this one the loop of a real browser's tests may be running
        assert thread.submit(asyncio.run, accepted()).result()
