"""Strangers, slips and two servers: what stands before every page of ``hazstep serve``."""

from __future__ import annotations

import socket
import subprocess
import sys
from collections.abc import Iterator
from contextlib import suppress
from pathlib import Path
from time import sleep
from typing import Any

import pytest

from safety.cli import BAD_INPUT
from safety.serve.screens import ROUTES
from tests.serve.conftest import Served, demo_shop

POLICY = "default-src 'none'; script-src 'self'; style-src 'self';"


@pytest.fixture(scope="module")
def alone(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Served]:
    """A served shop for which no browser is needed."""
    served = demo_shop(tmp_path_factory.mktemp("alone") / "shop")
    served.begin()
    yield served
    served.end()


def send(served: Served, path: str, body: bytes, *lines: str) -> tuple[int, bytes]:
    """A POST byte by byte: the status and the whole answer."""
    host, port = served.address.removeprefix("http://").rstrip("/").split(":")
    with socket.create_connection((host, int(port)), timeout=15) as wire:
        head = [
            f"POST {path} HTTP/1.1",
            f"Host: {host}:{port}",
            f"Content-Length: {len(body)}",
            "Connection: close",
            *lines,
        ]
        wire.sendall("\r\n".join((*head, "", "")).encode())
        with suppress(OSError):  # it may have heard enough
            wire.sendall(body)
        answer = b""
        while part := wire.recv(65536):
            answer += part
    return int(answer.split()[1]), answer


def test_only_this_machine_is_answered_and_only_by_its_name(alone: Served) -> None:
    """A page elsewhere whose name was made to lead here is no name of ours."""
    port = alone.address.rstrip("/").rsplit(":", 1)[1]
    assert alone.ask("/who", Host=f"127.0.0.1:{port}")[0] == 200
    assert alone.ask("/who", Host=f"localhost:{port}")[0] == 200
    for stranger in ("shop.example", f"shop.example:{port}", "127.0.0.1:1", ""):
        assert alone.ask("/who", Host=stranger)[0] == 421, stranger


@pytest.mark.parametrize("path", ["/", "/who", "/emergency", "/nowhere", "/job/none", "/static/x/serve.css", "/news"])
def test_every_answer_carries_the_policy(alone: Served, path: str) -> None:
    _, headers, body = alone.ask(path)
    assert headers["content-security-policy"].startswith(POLICY)
    assert headers["x-content-type-options"] == "nosniff"
    assert headers["referrer-policy"] == "same-origin"
    assert headers["cache-control"] in ("no-store", "max-age=31536000, immutable")
    assert "server" not in headers
    for inline in ("<style", "style=", "onclick", "javascript:"):
        assert inline not in body
    assert body.count("<script") == body.count("<script src=")


@pytest.mark.parametrize(
    "path",
    [
        "/job/../shop",
        "/job/%2e%2e",
        "/job/%2e%2e%2fshop",
        "/job/..%5cshop",
        "/job/no-such-job",
        "/job/shop.toml",
        "/static/x/..%2f..%2fshop.toml",
        "/static/x/people.html",
        "/run/none",
        "/run/none/amount/1/1",
    ],
)
def test_an_address_names_what_the_shop_has_or_nothing(alone: Served, path: str) -> None:
    status, _, body = alone.ask(path, Cookie=named(alone))
    assert status == 404
    assert "[shop]" not in body
    assert str(alone.folder) not in body


def named(served: Served) -> str:
    """The cookie of somebody who has said who it is."""
    _, headers, body = served.ask("/who")
    cookie = headers["set-cookie"].split(";")[0]
    token = body.split('name="token" value="')[1].split('"')[0]
    origin = served.address.rstrip("/")
    form = f"token={token}&other=Tech+1".encode()
    kind = "Content-Type: application/x-www-form-urlencoded"
    status, answer = send(served, "/who", form, kind, f"Origin: {origin}", f"Cookie: {cookie}")
    assert status == 303
    return answer.decode().split("set-cookie: ")[1].split(";")[0]


@pytest.mark.parametrize(
    ("origin", "token"),
    [
        ("Origin: http://shop.example", "right"),
        ("Origin: null", "right"),
        ("X-Nothing: here", "right"),
        ("ours", "wrong"),
        ("ours", ""),
    ],
)
@pytest.mark.parametrize("path", ["/who", "/language", "/job/boot-replacement/start", "/run/x/tap"])
def test_a_form_counts_only_from_a_page_of_ours(alone: Served, path: str, origin: str, token: str) -> None:
    _, headers, body = alone.ask("/who")
    cookie = headers["set-cookie"].split(";")[0]
    right = body.split('name="token" value="')[1].split('"')[0]
    sent = {"right": right, "wrong": "0" * 32, "": ""}[token]
    line = f"Origin: {alone.address.rstrip('/')}" if origin == "ours" else origin
    kind = "Content-Type: application/x-www-form-urlencoded"
    status, answer = send(alone, path, f"token={sent}&other=Tech+1".encode(), kind, line, f"Cookie: {cookie}")
    assert status == 403
    assert b"Traceback" not in answer


def test_who_has_no_name_finds_no_more_than_a_name_and_help() -> None:
    nameless = {way.path for way in ROUTES if way.role == "anyone"}
    assert nameless == {"/emergency", "/hurt", "/news", "/who", "/who/nobody", "/language"}
    assert {way.path for way in ROUTES if way.role == "stranger"} == {
        "/static/{build}/{name}",
        "/worker.js",
        "/enter",
        "/authority.crt",
    }


@pytest.mark.parametrize(
    "way", [way for way in ROUTES if way.role not in ("anyone", "stranger")], ids=lambda way: f"{way.method} {way.path}"
)
def test_who_has_no_name_is_asked_for_it(alone: Served, way: Any) -> None:
    if way.method == "GET":
        status, headers, _ = alone.ask(way.path.replace("{", "").replace("}", ""))
        assert (status, headers.get("location")) == (303, "/who")


def test_no_more_is_read_than_a_form_can_be(alone: Served) -> None:
    assert send(alone, "/who", b"x" * 2_000_000)[0] == 413


def test_a_body_that_tells_no_length_is_cut_off(alone: Served) -> None:
    host, port = alone.address.removeprefix("http://").rstrip("/").split(":")
    kind = "Content-Type: application/x-www-form-urlencoded"
    with socket.create_connection((host, int(port)), timeout=15) as wire:
        wire.sendall(
            f"POST /who HTTP/1.1\r\nHost: {host}:{port}\r\n{kind}\r\nTransfer-Encoding: chunked\r\n\r\n".encode()
        )
        with suppress(OSError):
            for piece in range(40):
                wire.sendall(b"10000\r\n" + b"y" * 0x10000 + b"\r\n")
                if piece == 16:  # over the largest field of the library that reads forms, and not over ours
                    sleep(0.3)
        assert b" 413 " in wire.recv(65536), "it was 403 where a piece ended between the two: a form that held nothing"


def test_the_second_page_of_a_shop_is_told_where_the_first_one_is(alone: Served) -> None:
    """Two of them would both believe they know what runs."""
    command = (sys.executable, "-c", MAIN, "serve", "--shop", str(alone.shop), "--port", "0")
    done = subprocess.run(command, capture_output=True, text=True, timeout=60)
    assert done.returncode == BAD_INPUT
    assert alone.address in done.stderr
    assert "Traceback" not in done.stderr


MAIN = "from safety.cli import main; main()"


def test_a_port_that_is_taken_is_one_line(alone: Served, tmp_path: Path) -> None:
    other = demo_shop(tmp_path / "other")
    port = alone.address.rstrip("/").rsplit(":", 1)[1]
    command = (sys.executable, "-c", MAIN, "serve", "--shop", str(other.shop), "--port", port)
    done = subprocess.run(command, capture_output=True, text=True, timeout=60)
    assert done.returncode == BAD_INPUT
    assert done.stderr.startswith("--port:")
    assert len(done.stderr.splitlines()) == 1


def test_it_ends_with_ctrl_c_and_leaves_nothing_behind(tmp_path: Path) -> None:
    served = demo_shop(tmp_path / "shop")
    served.begin()
    served.ask("/", Cookie=named(served))  # the engine is at work now
    served.end()
    assert served.process is not None
    assert served.process.returncode == 0


def test_without_its_extra_it_says_which_line_to_type(monkeypatch: pytest.MonkeyPatch) -> None:
    from click.testing import CliRunner

    from safety.cli import main, serve

    monkeypatch.setattr(serve, "find_spec", lambda name: None)
    done = CliRunner().invoke(main, ["serve"])
    assert done.exit_code == BAD_INPUT
    assert "pip install 'hazstep[serve]'" in done.stderr
