"""How fast the page is beside a working engine: ``python tests/benchmarks/serve.py [TABLETS]``.

Not part of the test run: a test never asserts a time. It serves the demo shop as ``hazstep serve`` does, begins a
job, and prints

a  Today and the step, warm, while the engine works: median and 95th percentile over that of a bare socket that is
   answered with as many bytes in the same run; and the processor time of the page for each, which no other work changes
b  the processor time of the page alone, as a share of one core, while TABLETS (20) ask for news every 5 s
c  from a Done to the answer by the real times: processor time of the engine over that of the job's own sheet
"""

from __future__ import annotations

import http.client
import os
import re
import shutil
import socket
import statistics
import subprocess
import sys
import tempfile
import threading
import time
from collections.abc import Callable
from pathlib import Path
from urllib.parse import urlencode

ROOT = Path(__file__).parents[2]
DEMO = ROOT / "safety" / "data" / "demo"
JOB, AIR = "boot-replacement", "one door open"
ASKS, QUIET = 200, 30.0
_TICK = os.sysconf("SC_CLK_TCK")


class Tablet:
    """A browser that keeps its connection and its cookie."""

    def __init__(self, port: int, name: str) -> None:
        self._wire = http.client.HTTPConnection("127.0.0.1", port, timeout=120)
        self._origin, self._cookie, self.body = f"http://127.0.0.1:{port}", "", ""
        self.get("/who")
        self.post("/who", other=name)

    def get(self, path: str) -> int:
        return self._ask("GET", path, None)

    def post(self, path: str, **form: str) -> int:
        found = re.search(r'name="token" value="(\w+)"', self.body)
        return self._ask("POST", path, urlencode({"token": found[1] if found else "", **form}))

    def _ask(self, method: str, path: str, body: str | None) -> int:
        head = {"Cookie": self._cookie, "Origin": self._origin, "Content-Type": "application/x-www-form-urlencoded"}
        self._wire.request(method, path, body, head)
        answer = self._wire.getresponse()
        self.body = answer.read().decode("utf-8", "replace")
        if cookie := answer.getheader("set-cookie"):
            self._cookie = cookie.split(";")[0]
        return answer.status


def times(ask: Callable[[], object], count: int = ASKS) -> list[float]:
    found = []
    for _ in range(count):
        begin = time.perf_counter()
        ask()
        found.append(time.perf_counter() - begin)
    return found


def p95(found: list[float]) -> float:
    return statistics.quantiles(found, n=20)[-1]


def spent(pid: int) -> float:
    """Processor time of a process [s]."""
    fields = Path(f"/proc/{pid}/stat").read_text().rsplit(")", 1)[1].split()
    return (int(fields[11]) + int(fields[12])) / _TICK


def engines(pid: int) -> float:
    own = (child for task in Path(f"/proc/{pid}/task").glob("*/children") for child in task.read_text().split())
    return sum(spent(int(child)) for child in own)


def bare(size: int) -> int:
    """A socket that answers each line with so many bytes: the floor. Returns its port."""
    listening = socket.create_server(("127.0.0.1", 0))

    def answer() -> None:
        wire, _ = listening.accept()
        while wire.recv(4096):
            wire.sendall(b"x" * size)

    threading.Thread(target=answer, daemon=True).start()
    return int(listening.getsockname()[1])


def floor(size: int) -> Callable[[], object]:
    wire = socket.create_connection(("127.0.0.1", bare(size)))

    def ask() -> None:
        wire.sendall(b"?" * 300)
        left = size
        while left:
            left -= len(wire.recv(65536))

    return ask


def working(one: Tablet, path: str) -> bool:
    one.get(path)
    return "being worked out" in one.body


def beside(one: Tablet, run: str, pid: int) -> None:
    """Time the two pages while other sheets are worked out all the time."""
    stop = threading.Event()
    port = int(one._origin.rsplit(":", 1)[1])

    def burden() -> None:
        other, number = Tablet(port, "Tech 2"), 0
        while not stop.is_set():
            number += 1
            other.get(f"/job/{JOB}/before?air={AIR.replace(' ', '+') if number % 2 else 'doors+shut'}")
            time.sleep(0.1)

    threading.Thread(target=burden, daemon=True).start()
    for path in ("/", f"/run/{run}"):
        one.get(path)
        before, spent_before = engines(pid), spent(pid)
        ours = times(lambda path=path: one.get(path))
        busy, each = (engines(pid) - before) / sum(ours), (spent(pid) - spent_before) / ASKS
        least = times(floor(len(one.body)))
        print(
            f"a  {path[:5]:8} {statistics.median(ours) * 1e3:7.1f} ms, p95 {p95(ours) * 1e3:7.1f} ms; "
            f"floor {statistics.median(least) * 1e3:.2f} ms; ratio {statistics.median(ours) / statistics.median(least):.0f}; "
            f"{each * 1e3:.1f} ms of the processor; engine busy {busy:.0%} of a core; {len(one.body) / 1000:.0f} kB"
        )
    stop.set()


def main(tablets: int) -> None:
    folder = Path(tempfile.mkdtemp()) / "shop"
    shutil.copytree(DEMO, folder)
    command = (sys.executable, "-c", "from safety.cli import main; main()", "serve", "--port", "0", "--shop", folder)
    served = subprocess.Popen([*map(str, command)], cwd=folder, stdout=subprocess.PIPE, text=True)
    assert served.stdout is not None
    try:
        found = re.search(r":(\d+)/", served.stdout.readline())
        assert found is not None
        one = Tablet(int(found[1]), "Tech 1")
        while working(one, f"/job/{JOB}/before?air={AIR.replace(' ', '+')}"):
            time.sleep(1)
        own = engines(served.pid)
        run = "r-0123456789abcdef"
        ticks = {f"tick-{number}": "yes" for number in range(9)}
        assert one.post(f"/job/{JOB}/start", key=run, air=AIR, **ticks) == 303, one.body
        own = engines(served.pid) - own  # the sheet of its start, and what is frozen of it
        one.get(f"/run/{run}")
        beside(one, run, served.pid)
        for kind in ("begin", "end"):
            begin, clock = engines(served.pid), time.perf_counter()
            one.get("/who")
            one.post(f"/run/{run}/tap", kind=kind, step="0", coat="0", key=f"d-{kind}-01234567", sure="yes")
            while working(one, f"/run/{run}"):
                time.sleep(0.5)
            took = engines(served.pid) - begin
            print(
                f"c  {kind:8} {time.perf_counter() - clock:7.1f} s, {took:.1f} s of the processor; "
                f"{took / own:.1f} of the start's own sheet ({own:.1f} s)"
            )
        while working(one, "/"):
            time.sleep(1)
        all_of_them = [Tablet(int(found[1]), f"Tech {number}") for number in range(tablets)]
        before, clock = spent(served.pid), time.perf_counter()
        while time.perf_counter() - clock < QUIET:
            for each in all_of_them:
                each.get(f"/run/{run}/news")
                time.sleep(5 / tablets)
        share = (spent(served.pid) - before) / (time.perf_counter() - clock)
        print(f"b  {tablets} tablets ask for news: {share:.1%} of a core")
    finally:
        served.terminate()
        served.wait(20)


if __name__ == "__main__":
    main(int(sys.argv[1]) if len(sys.argv) > 1 else 20)
