"""Standard output, which is the sheet's: turned away while any plugin is asked, by however many threads.

One that was put back by each of them as it found it stayed turned away when two had overlapped.
"""

from __future__ import annotations

import sys
import threading
from collections.abc import Iterator
from contextlib import contextmanager
from typing import TextIO

_lock = threading.Lock()
_turned: list[TextIO] = []  # the output itself, once for each that turned it away


@contextmanager
def away() -> Iterator[None]:
    """What is printed until the end of the ``with`` block goes to standard error."""
    with _lock:
        _turned.append(_turned[0] if _turned else sys.stdout)
        sys.stdout = sys.stderr
    try:
        yield
    finally:
        with _lock:
            own = _turned.pop()
            if not _turned:
                sys.stdout = own
