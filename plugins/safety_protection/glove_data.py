"""Published knowledge of glove materials: it rules pairs out and says what kind to ask for."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from functools import cache
from typing import Any

from safety import units
from safety.cited import Cited, Source
from safety.files.toml import open_document
from safety.model import compared
from safety.words import message, say, term
from safety_protection.rules import HERE

NO_SOURCE = "common practice, no source"


@dataclass(frozen=True, slots=True)
class Advice:
    """One published word on a material and a substance."""

    cas: str
    substance: str
    material: str
    rules_out: bool
    source: Source
    unverified: str
    failed: str = ""  # what a published failure says of it
    rating: str = ""  # a key of _RATINGS
    limited: bool = False  # rated for limited service only
    thick: str = ""  # the thickness a recommendation is for
    disputed: Source | None = None  # a list that does not bear the rating out: then it says nothing for the material

    @property
    def says(self) -> str:
        """What is published, in a few words."""
        if self.failed:
            return term(self.failed)
        if self.disputed is not None:
            title, edition = self.disputed.title, self.disputed.edition
            return say(
                "no rating, two published lists differ (the other: {title}, {edition})", title=title, edition=edition
            )
        if self.rating:
            limited = say(", for limited service") if self.limited else ""
            return say("rated {rating}{limited}", rating=term(_RATINGS[self.rating]), limited=limited)
        thick = say(", {thickness} thick", thickness=self.thick) if self.thick else ""
        return say("recommended{thick}", thick=thick)

    @property
    def brief(self) -> str:
        """The word itself, without its source."""
        return say(
            "{material} against {substance}: {says}",
            material=term(self.material),
            substance=term(self.substance),
            says=self.says,
        )

    @property
    def _title(self) -> str:
        """The title of a work as it stands; what is no work is said in the reader's language."""
        title = self.source.title
        return term(title) if title.startswith(NO_SOURCE) else title

    @property
    def by(self) -> str:
        """Who says so."""
        text = say("{title}, {edition}", title=self._title, edition=self.source.edition)
        return say("{text}; unverified, {why}", text=text, why=term(self.unverified)) if self.unverified else text

    @property
    def ground(self) -> Mapping[str, str]:
        """What a finding rests on where it goes by this."""
        return {"citation": say("{brief}, {title}", brief=self.brief, title=self._title),
                "edition": self.source.edition, "unverified": self.unverified}  # fmt: skip

    def __str__(self) -> str:
        return say("{brief} ({by})", brief=self.brief, by=self.by)


@dataclass(frozen=True, slots=True)
class _Published:
    materials: tuple[tuple[str, tuple[str, ...], bool], ...]  # id, names in small letters, laminate
    advice: Mapping[tuple[str, str], tuple[Advice, ...]]  # (cas, material)
    recommended: Mapping[str, tuple[Advice, ...]]  # cas
    diffusion: Mapping[tuple[str, str], Cited]


@cache
def _published() -> _Published:
    data = open_document(HERE / "data" / "gloves.toml").data
    sources = {
        key: Source(key, row["title"], row["edition"], terms=row["method"]) for key, row in data["source"].items()
    }
    advice: dict[tuple[str, str], tuple[Advice, ...]] = {}
    recommended: dict[str, tuple[Advice, ...]] = {}

    def one(row: Mapping[str, str], out: bool, **says: Any) -> Advice:
        of = (row["cas"], row["substance"], row["material"])
        return Advice(*of, out, sources[row["source"]], row.get("unverified", ""), **says)

    for row in data["rating"]:
        key = (row["cas"], row["material"])
        disputed = sources[row["disputed"]] if "disputed" in row else None
        says = {"rating": row["rating"], "limited": bool(row.get("limited")), "disputed": disputed}
        rated = one(row, row["rating"] == "P", **says)
        advice[key] = (*advice.get(key, ()), rated)
    for row in data["failed"]:
        key = (row["cas"], row["material"])
        advice[key] = (*advice.get(key, ()), one(row, True, failed=row["text"]))
    for row in data["recommended"]:
        found = one(row, False, thick=row.get("thickness", ""))
        recommended[row["cas"]] = (*recommended.get(row["cas"], ()), found)
        key = (row["cas"], row["material"])
        advice[key] = (*advice.get(key, ()), found)
    diffusion = {
        (row["cas"], row["material"]): Cited(
            units.read(row["diffusivity"], "diffusivity"),
            "m2/s",
            row["diffusivity"],
            sources[row["source"]],
            "abstract",
        )
        for row in data["diffusion"]
    }
    materials = tuple((row["id"], tuple(row["names"]), bool(row.get("laminate"))) for row in data["material"])
    return _Published(materials, advice, recommended, diffusion)


_RATINGS = {"VG": message("very good"), "G": message("good"), "F": message("fair"), "P": message("poor")}


def material(written: str) -> str:
    """The known material that a stock list names, or "" where it names none we know.

    A name is held against a table of names, whole: that one word of a text is a material says nothing of the others.
    "Nitrile over natural rubber" was natural rubber, and "latex-like nitrile" too.
    """
    text = compared(written)
    return next((known for known, names, _ in _published().materials if text in map(compared, (known, *names))), "")


def all_names() -> tuple[str, ...]:
    """Every name of each known material."""
    return tuple(dict.fromkeys(name for known, names, _ in _published().materials for name in (known, *names)))


def names() -> str:
    """The first name of each known material."""
    return ", ".join(term(known) for known, *_ in _published().materials)


def is_laminate(written: str) -> bool:
    """Whether this is a film laminate: limp and easily cut, so worn under an outer glove."""
    return material(written) in {known for known, _, laminate in _published().materials if laminate}


def advice(cas: str, written: str) -> tuple[Advice, ...]:
    """Everything published on a substance and a material."""
    return _published().advice.get((cas, material(written)), ())


def ruled_out(cas: str, written: str) -> Advice | None:
    """Why this material is no glove against this substance, or None where nothing published says so."""
    return next((a for a in advice(cas, written) if a.rules_out), None)


def kinds_for(substances: Iterable[str]) -> tuple[tuple[Advice, ...], ...]:
    """For each material recommended against every one of these CAS numbers: the words that say so.

    Those a person has read come first. A material that anything rules out is left out.
    """
    wanted = tuple(substances)
    table = _published().recommended
    materials = [m for m, _, _ in _published().materials]
    found = []
    for each in materials:
        words = [next((a for a in table.get(cas, ()) if a.material == each), None) for cas in wanted]
        out = any(a.rules_out for cas in wanted for a in _published().advice.get((cas, each), ()))
        if wanted and not out and all(words):
            found.append(tuple(w for w in words if w is not None))
    return tuple(sorted(found, key=lambda ws: (sum(bool(w.unverified) for w in ws), materials.index(ws[0].material))))


def diffusivity(cas: str, written: str) -> Cited | None:
    """Published diffusion coefficient [m2/s] of a substance in a material, or None."""
    return _published().diffusion.get((cas, material(written)))
