"""The page without a server: a browser that is a few lines, and an engine that has no answer."""

from __future__ import annotations

import asyncio
import json
import re
import threading
from collections.abc import Callable, Coroutine
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass, field
from html import unescape
from pathlib import Path
from typing import Any
from urllib.parse import urlencode

from safety.serve.app import application
from safety.serve.child import Answering
from safety.serve.desk import Asks, Desk, Record
from safety.serve.door import Door
from safety.serve.engine import NoAnswer, Work

HOST = "127.0.0.1:8420"


class Silent:
    """An engine that is asked in vain."""

    def ask(self, question: Record, language: str = "en") -> Record:
        raise NoAnswer

    def kept(self, question: Record, language: str = "en") -> Record | None:
        return None

    once = kept

    def begin(self, question: Record, language: str = "en") -> Work:
        raise NoAnswer

    def close(self) -> None:
        pass


class Near:
    """The engine without its processes, and with few draws: every answer is there at once."""

    def __init__(self, folder: Path, draws: int = 60) -> None:
        self._answering, self._draws = Answering(folder / "shop.toml"), draws
        self._lock, self._kept = threading.Lock(), dict[str, Record]()

    def ask(self, question: Record, language: str = "en") -> Record:
        key = json.dumps([language, question], sort_keys=True)
        with self._lock:
            if key not in self._kept:
                self._kept[key] = self._answering.answer({"draws": self._draws, **question}, lambda share: None)
            return self._kept[key]

    kept = once = ask

    def close(self) -> None:
        pass


def desk_of(folder: Path, clock: Callable[[], float], engine: Asks | None = None, **more: Any) -> Desk:
    """A desk of a shop whose passphrases cost little."""
    desk = Desk(folder / "shop.toml", engine or Silent(), clock, **more)
    desk.who.passphrases._cost = (4, 8, 1)
    return desk


def _alone(asking: Coroutine[Any, Any, None]) -> None:
    """Run to its end in a thread of its own: in this one the loop of a real browser's tests may be running."""
    with ThreadPoolExecutor(1) as thread:
        thread.submit(asyncio.run, asking).result()


@dataclass
class Browser:
    """Asks an application, and keeps its cookies."""

    desk: Desk
    host: str = HOST
    scheme: str = "http"
    address: str = "127.0.0.1"
    cookies: dict[str, str] = field(default_factory=dict)
    body: str = ""
    raw: bytes = b""
    headers: dict[str, str] = field(default_factory=dict)

    def get(self, path: str, **headers: str) -> int:
        return self._ask("GET", path, b"", headers)

    def post(self, path: str, form: dict[str, str] | None = None, **headers: str) -> int:
        """A form of a page that was shown before, with its token."""
        token = re.search(r'name="token" value="(\w+)"', self.body)
        sent = {"token": token[1] if token else "", **(form or {})}
        kind = {"content-type": "application/x-www-form-urlencoded", "origin": f"{self.scheme}://{self.host}"}
        return self._ask("POST", path, urlencode(sent).encode(), {**kind, **headers})

    @property
    def text(self) -> str:
        """What a person reads of the last page."""
        return " ".join(unescape(re.sub(r"<[^>]*>", " ", self.body.partition("<main>")[2])).split())

    def named(self, name: str, passphrase: str = "") -> int:
        self.get("/who")
        return self.post("/who", {"name": name, **({"passphrase": passphrase} if passphrase else {})})

    def _ask(self, method: str, path: str, body: bytes, headers: dict[str, str]) -> int:
        path, _, query = path.partition("?")
        told = {"host": self.host, "cookie": "; ".join(f"{k}={v}" for k, v in self.cookies.items()), **headers}
        scope = {
            "type": "http",
            "method": method,
            "path": path,
            "raw_path": path.encode(),
            "query_string": query.encode(),
            "scheme": self.scheme,
            "headers": [(name.encode(), value.encode()) for name, value in told.items()],
            "client": (self.address, 50000),
            "server": ("127.0.0.1", 8420),
        }
        said: list[Any] = []

        async def receive() -> dict[str, Any]:
            return {"type": "http.request", "body": body, "more_body": False}

        async def send(message: Any) -> None:
            said.append(message)

        door = Door({self.host}, self.scheme == "https", self.desk.authority)
        _alone(application(self.desk, door)(scope, receive, send))
        self.raw = b"".join(one.get("body", b"") for one in said[1:])
        self.body = self.raw.decode("utf-8", "replace")
        self.headers = {name.decode(): value.decode() for name, value in said[0]["headers"]}
        for name, value in said[0]["headers"]:
            if name == b"set-cookie":
                key, _, rest = value.decode().partition("=")
                self.cookies[key] = rest.partition(";")[0]
        status: int = said[0]["status"]
        return status
