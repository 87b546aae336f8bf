"""By which names the page is reached, and whether over an encrypted way."""

from __future__ import annotations

from collections.abc import Collection
from dataclasses import dataclass
from pathlib import Path


@dataclass(frozen=True, slots=True)
class Door:
    """Where the page is, as browsers see it."""

    hosts: Collection[str]  # "127.0.0.1:8420": what is answered to
    secure: bool = False  # browsers come over TLS: to us, or to the shop's own proxy
    authority: Path | None = None  # the certificate that a tablet is shown, where it is our own

    @property
    def scheme(self) -> str:
        return "https" if self.secure else "http"

    def cookie(self, name: str) -> str:
        """What a cookie is called: over TLS no other page of the machine can lay one under this name."""
        return f"__Host-{name}" if self.secure else name
