"""Two columns of equal height that flow over pages, for what is read closely."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from reportlab.platypus import Flowable

GUTTER = 18.0
_STEP = 6.0  # how finely the columns are evened out [pt]


class Columns(Flowable):  # type: ignore[misc]
    """Flowables set in two columns. On its last page the columns are as short as they can be."""

    def __init__(self, content: Sequence[Any], width: float):
        super().__init__()
        self.content, self.width = list(content), width
        self.column = (width - GUTTER) / 2
        self.filled: _Filled | None = None

    def wrap(self, _: float, available: float) -> tuple[float, float]:
        height = sum(_height(one, self.column) for one in self.content) / 2
        self.filled = None
        while height <= available:
            left, rest = self._fill(self.content, height)
            right, rest = self._fill(rest, height)
            if not rest:
                self.filled = _Filled(left, right, self.width)
                return self.filled.wrap()
            height += _STEP
        return self.width, available + 1  # more than there is room for: split

    def split(self, _: float, available: float) -> list[Flowable]:
        left, rest = self._fill(self.content, available)
        if not left:
            return []
        right, rest = self._fill(rest, available)
        page = _Filled(left, right, self.width)
        return [page, Columns(rest, self.width)] if rest else [page]

    def draw(self) -> None:
        if self.filled is not None:
            self.filled.drawOn(self.canv, 0, 0)

    def _fill(self, content: Sequence[Any], height: float) -> tuple[list[Any], list[Any]]:
        """What fits into a column of ``height``, and the rest."""
        taken: list[Any] = []
        for i, one in enumerate(content):
            needs = _height(one, self.column)
            if needs > height:
                first, *more = one.split(self.column, height) or [None]
                if first is None or _height(first, self.column) > height:
                    return taken, [*content[i:]]
                return [*taken, first], [*more, *content[i + 1 :]]
            taken.append(one)
            height -= needs
        return taken, []


class _Filled(Flowable):  # type: ignore[misc]
    """Two columns whose content is settled."""

    def __init__(self, left: Sequence[Any], right: Sequence[Any], width: float):
        super().__init__()
        self.columns, self.width = (left, right), width
        self.column = (width - GUTTER) / 2
        self.height = max(sum(_height(one, self.column) for one in content) for content in self.columns)

    def wrap(self, *_: float) -> tuple[float, float]:
        return self.width, self.height

    def draw(self) -> None:
        for content, x in zip(self.columns, (0.0, self.column + GUTTER), strict=True):
            y = self.height
            for one in content:
                y -= _height(one, self.column)
                one.drawOn(self.canv, x, y)


def _height(one: Any, width: float) -> float:
    height: float = one.wrap(width, 1e6)[1]
    return height
