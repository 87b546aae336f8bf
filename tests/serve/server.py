"""The page with a clock that tests move, and few draws: ``python -m tests.serve.server SHOP CLOCK``.

CLOCK is a file with the seconds by which the page's clock is ahead of the machine's.
"""

from __future__ import annotations

import sys
import time
from functools import partial
from pathlib import Path

from safety.serve.engine import Engine
from safety.serve.listening import serve
from tests.demo import DRAWS


def main(shop: str, clock: str, port: str = "0") -> None:
    ahead = Path(clock)
    try:
        serve(
            Path(shop),
            int(port),
            partial(Engine, draws=DRAWS, keep=Path(shop).with_name("serve-answers")),
            lambda opened: print(opened.address, flush=True),
            lambda: time.time() + float(ahead.read_text() or 0),
        )
    except KeyboardInterrupt:
        print("closed", flush=True)


if __name__ == "__main__":
    main(*sys.argv[1:])
