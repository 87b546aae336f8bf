"""Listening on this machine until somebody ends it."""

from __future__ import annotations

import socket
import time
from collections.abc import Callable
from contextlib import closing
from pathlib import Path

import uvicorn

from safety.problems import Problem, Problems
from safety.serve.app import application
from safety.serve.desk import Asks, Desk
from safety.serve.lock import held
from safety.words import say

#: Nobody else reaches this address: no other machine, and no other person's browser but on this one.
LOOPBACK = "127.0.0.1"


def serve(
    shop: Path,
    port: int,
    engine: Callable[[Path], Asks],
    told: Callable[[str], None],
    clock: Callable[[], float] = time.time,
) -> None:
    """Serve the page of a shop until the program is ended; ``told`` hears its address. Raises Problems."""
    with closing(_listening(port)) as listening:
        port = listening.getsockname()[1]
        address = f"http://{LOOPBACK}:{port}/"
        with held(shop.parent, address), closing(Desk(shop, engine(shop), clock)) as desk:
            hosts = {f"{name}:{port}" for name in (LOOPBACK, "localhost")}
            config = uvicorn.Config(
                application(desk, hosts),
                log_level="critical",  # the guards say what went wrong, in a line
                access_log=False,
                lifespan="off",
                server_header=False,
                date_header=False,
                limit_concurrency=100,
                timeout_keep_alive=30,
                timeout_graceful_shutdown=3,
                ws="none",
            )
            told(address)
            uvicorn.Server(config).run([listening])


def _listening(port: int) -> socket.socket:
    listening = socket.socket(socket.AF_INET, socket.SOCK_STREAM)
    try:
        if hasattr(socket, "SO_EXCLUSIVEADDRUSE"):  # Windows: else another program could take it over
            listening.setsockopt(socket.SOL_SOCKET, socket.SO_EXCLUSIVEADDRUSE, 1)
        else:
            listening.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
        listening.bind((LOOPBACK, port))
        listening.listen(100)
    except OSError as error:
        listening.close()
        wrong = say("port {port} cannot be listened on: {why}", port=port, why=error.strerror or error)
        raise Problems([Problem("--port", 0, "", wrong, say("name another, such as --port 8421"))]) from None
    return listening
