"""Section 2: the hazard codes of the product."""

from __future__ import annotations

import re
from collections.abc import Iterator

from safety.datasheet.identifiers import cas_numbers
from safety.datasheet.record import Draft, Value
from safety.datasheet.rows import Row
from safety.datasheet.statements import class_codes, statement_codes, unread_classes, unread_statements
from safety.datasheet.tables import is_head
from safety.datasheet.text import fold, squeezed
from safety.words import say

_CODE = re.compile(
    r"(?:(?<![A-Za-z0-9])|(?<=H\d\d\d))(?P<kind>EUH|H)[\s-]?(?P<number>[0-4]\d{2})(?P<tail>[FfDdi]{1,2}(?![A-Za-z])|A(?![A-Za-z])|\s?\([FfDdi]{1,2}\))?"
    r"(?P<more>(?:(?:[-/]|\s?[,;+]\s?)\d{3}(?!\d|\.\d|-\d{3}-\d|\s?(?:%|°|mg|g\b|ml|l\b|ppm|kg))[FfDdi]{0,2})*)"
)
_LIST = re.compile(
    r"(?:\bh-?\s?(?:satze|statements?|codes?|phrases?|nummern|numbers?)|\bfrases? h)[\s:]*((?:\d{3}[\s,;/–-]+)*\d{3})(?![\d.])"
)
#: That the product as a whole is not classified: a single class may be denied in the same words.
_NOT_CLASSIFIED = re.compile(
    r"(?:product|mixture|substance|material|preparation|chemical)\b[^.;]{0,60}?\bnot (?:be )?(?:classified|considered (?:as )?(?:hazardous|dangerous)|hazardous|dangerous)"
    r"|not (?:classified as )?(?:a )?(?:hazardous|dangerous) (?:substance|mixture|product|chemical|according)|not classified as (?:hazardous|dangerous)|does not meet the criteria for classification"
    r"|(?:producto|mezcla|sustancia|preparado)\b[^.;]{0,60}?\bno (?:esta |se (?:ha )?)?(?:clasifica(?:d[oa])?|considerad[oa]|es )|no (?:esta )?clasificad[oa] como peligros[oa]|no es (?:un[ao]? )?(?:producto |mezcla |sustancia )peligros[oa]"
    r"|(?:gemisch|stoff|produkt|zubereitung)\b[^.;]{0,60}?\bnicht\b[^.;]{0,40}?(?:eingestuft|kennzeichnungspflichtig)|nicht als gefahrlich eingestuft|kein(?:e)? gefahrliche?[rs]? (?:stoff|gemisch|zubereitung)"
)
_BARE = re.compile(r"not classified|no clasificad[oa]|nicht eingestuft|not hazardous|no peligros[oa]")
#: What a product that is not classified does not have.
_CLASSED = re.compile(
    r"categor|kategorie|\bcat\.|(?:signal word|palabra de advertencia|signalwort)[\s:]*(?:danger|warning|peligro|atencion|gefahr|achtung)|^(?:danger|warning)\b"
)


#: What may stand beside the bare words where they are said of the product; anything else may be a single class.
_OF_ALL = re.compile(
    r"\b(?:\d[\d.]*|(?:hazard )?classification|classified|of|the|or|and|substance|mixture|product|chemical|material|hazards?"
    r"|identification|ghs|clp|osha|hcs|hazcom|ghs[- ]us|clasificacion|de|del|la|el|o|sustancia|mezcla|producto|sga|peligros?"
    r"|einstufung|des|der|das|oder|stoff(?:e?s)?|gemisch(?:e?s)?|produkt(?:e?s)?|gefahren)\b"
)


def _denied(rows: list[Row]) -> str:
    """The words of section 2 by which the product is not classified; "" where it does not say so of the whole."""
    text = squeezed(" ".join(row.text for row in rows))
    low = fold(text)
    if _CLASSED.search(low):
        return ""
    if found := _NOT_CLASSIFIED.search(low):
        return squeezed(text[max(0, found.start() - 40) : found.end() + 60])
    return next((squeezed(row.text) for row in rows if _bare(fold(row.text))), "")


def _bare(low: str) -> bool:
    rest, times = _BARE.subn(" ", low)
    return times > 0 and not re.search(r"\w", _OF_ALL.sub(" ", rest))


_R_PHRASE = re.compile(r"(?<![A-Za-z0-9])R\s?\d{1,2}(?:/\d{1,2})*(?![\d])")
#: Codes whose class alone asks for the signal word "Danger": Regulation (EC) No 1272/2008, Annex I.
_DANGER = frozenset(
    [
        "H220",
        "H222",
        "H224",
        "H225",
        "H240",
        "H241",
        "H250",
        "H260",
        "H271",
        "H300",
        "H301",
        "H304",
        "H310",
        "H311",
        "H314",
        "H318",
        "H330",
        "H331",
        "H334",
        "H340",
        "H350",
        "H360",
        "H370",
        "H372",
    ]
)


def codes_in(text: str) -> Iterator[str]:
    """The hazard codes printed in a text, abbreviated lists ("H225-304-336") spelt out."""
    for found in _CODE.finditer(text):
        tail = re.sub(r"[\s()]", "", found["tail"] or "")
        code = f"{found['kind']}{found['number']}{tail}"
        if not _exists(code):
            continue
        yield code
        for more in re.findall(r"\d{3}[FfDdi]{0,2}", found["more"] or ""):
            if _exists(f"H{more}"):
                yield f"H{more}"


def _listed(text: str) -> Iterator[str]:
    """The codes of a list whose label says once for all that its numbers are codes: "H-Sätze: 225-319-336"."""
    for found in _LIST.finditer(fold(text)):
        yield from (f"H{number}" for number in re.findall(r"\d{3}", found[1]) if _exists(f"H{number}"))


def _exists(code: str) -> bool:
    number = int(re.sub(r"\D", "", code))
    if code.startswith("EUH"):
        return 1 <= number <= 99 or 200 <= number <= 220 or 380 <= number <= 451
    return 200 <= number <= 299 or 300 <= number <= 373 or 400 <= number <= 441


def base(code: str) -> str:
    return code[: 6 if code.startswith("EUH") else 4]


#: A table of parts has its first number so many rows below its heads at most.
_NEAR = 8


def hazards(draft: Draft, rows: list[Row], found: bool, parts_apart: bool) -> None:
    """Put the codes of section 2 into the draft: of the classification and of the label together.

    ``parts_apart``: section 3 was found, so that what stands here is the product's.
    """
    if not found:
        draft.missing(
            say(
                "Section 2 (hazards) was not found, so the hazards are unknown. Ask the maker for a current sheet with H-codes (GHS)."
            )
        )
        return
    # a table of parts here means that the heading of section 3 was not found: its codes are the parts'
    ends = (at for at in range(len(rows)) if _parts_begin(rows, at, parts_apart))
    rows = rows[: next(ends, len(rows))]
    text = squeezed(" ".join(row.text for row in rows))
    page = rows[0].page if rows else 0
    printed = list(dict.fromkeys((*codes_in(text), *_listed(text))))
    coded = [row for row in rows if any(codes_in(row.text))]
    remarks: list[str] = []
    from_words = [code for code in statement_codes(text) if base(code) not in {base(one) for one in printed}]
    if from_words:
        remarks.append(
            say("Statements without H-codes; the codes were read from the words: {codes}.", codes=", ".join(from_words))
        )
    codes = [*printed, *from_words]
    from_class = [code for code in dict.fromkeys(class_codes(text)) if not _said(code, codes)]
    if from_class:
        remarks.append(say("From the classification, not among the statements: {codes}.", codes=", ".join(from_class)))
    _unread(draft, text, codes)
    if from_words and not printed:
        _unread_sentences(draft, text)
    codes += from_class
    for remark in remarks:
        draft.from_words(remark)
    _compare(draft, rows, codes)
    denied = _denied(rows)
    if denied and all(code.startswith("EUH") for code in codes):
        _not_classified(draft, rows, codes, denied, page)
        return
    if not codes:
        _none(draft, text)
        return
    shown = next((row for row in coded), rows[0])
    quote = squeezed(" ".join(row.text for row in coded)) or text
    draft.values["hazards"] = Value("hazards", _ordered(codes), shown.page, quote[:600], remarks)
    _signal(draft, text, codes)


def _parts_begin(rows: list[Row], at: int, parts_apart: bool) -> bool:
    """Whether a table of parts begins in a row of section 2: one that heads numbers, and holds no statement itself."""
    if not parts_apart and cas_numbers(rows[at].text):
        return True
    below = rows[at + 1 : at + 1 + _NEAR]
    return is_head(rows[at]) and not any(codes_in(rows[at].text)) and any(cas_numbers(row.text) for row in below)


def _unread(draft: Draft, text: str, stated: list[str]) -> None:
    """Say which classes were not read, where they are more than the statements that no class that was read explains."""
    of_classes = [*class_codes(text)]
    spare = [code for code in stated if not _said(code, of_classes)]
    unread = [*unread_classes(text)]
    if len(unread) > len(spare):
        draft.missing(
            say(
                'Section 2 names a class whose statement could not be told: "{quote}". Add its H-code.',
                quote="; ".join(unread),
            )
        )


def _unread_sentences(draft: Draft, text: str) -> None:
    """Say which sentences of a sheet without codes may be statements that nobody here could read."""
    for sentence in dict.fromkeys(unread_statements(text)):
        draft.missing(
            say('Section 2 says "{quote}", and no statement could be told from it. Add its H-code.', quote=sentence)
        )


def _not_classified(draft: Draft, rows: list[Row], codes: list[str], quote: str, page: int) -> None:
    if codes:
        draft.other(
            say(
                'The sheet says the product is not classified, and gives supplemental statements: "{quote}".',
                quote=quote,
            )
        )
        draft.values["hazards"] = Value("hazards", _ordered(codes), page, quote, [])
        return
    draft.careful(
        say(
            'The sheet says the product is not classified: "{quote}". What its parts can do is held against that.',
            quote=quote,
        )
    )
    draft.values["not_classified"] = Value("not_classified", True, page, quote, [])


def _none(draft: Draft, text: str) -> None:
    if phrases := _R_PHRASE.search(text):
        draft.missing(
            say(
                'Section 2 has R-phrases ("{quote}") and no H-codes: the sheet is older than GHS. Hazards unknown; ask for a current sheet.',
                quote=phrases[0],
            )
        )
    else:
        draft.missing(
            say(
                "Section 2 has no H-codes and no statements that could be read: hazards unknown. Ask the maker for a current sheet (GHS)."
            )
        )


def _said(code: str, codes: list[str]) -> bool:
    have = {base(one) for one in codes}
    covered = {
        "H318": {"H314"},
        "H315": {"H314"},
        "H319": {"H318", "H314"},
        "H400": {"H410"},
        "H361": {"H360"},
        "H351": {"H350"},
        "H341": {"H340"},
        "H371": {"H370"},
        "H373": {"H372"},
        "H335": {"H336"},
        "H336": {"H335"},
    }
    return base(code) in have or bool(covered.get(base(code), set()) & have)


def _compare(draft: Draft, rows: list[Row], codes: list[str]) -> None:
    """Say which codes stand only in the classification (before the label's elements begin)."""
    low = [fold(row.text) for row in rows]
    at = next(
        (
            i
            for i, text in enumerate(low)
            if re.match(
                r"[\W]*(?:2\.2|(?:ghs )?(?:label|hazard statements|signal word)|elementos de la etiqueta|kennzeichnungselemente|indicaciones de peligro|gefahrenhinweise|palabra de advertencia|signalwort)",
                text,
            )
        ),
        None,
    )
    if at is None:
        return
    first = {base(code) for row in rows[:at] for code in codes_in(row.text)}
    label = {base(code) for row in rows[at:] for code in codes_in(row.text)}
    only = sorted(first - label)
    if first and label and only:
        draft.careful(
            say(
                "{codes}: in the classification but not among the statements of the label. Both were taken together.",
                codes=", ".join(only),
            )
        )


def _signal(draft: Draft, text: str, codes: list[str]) -> None:
    low = fold(text)
    warning = re.search(r"(?:signal word|palabra de advertencia|signalwort)[\s:]*(?:warning|atencion|achtung)", low)
    danger = [code for code in codes if base(code) in _DANGER]
    if warning and danger:
        draft.contradictory(
            say("The signal word is the milder one, but {codes} goes with the stronger one.", codes=", ".join(danger))
        )


def _ordered(codes: list[str]) -> list[str]:
    return sorted(dict.fromkeys(codes), key=lambda code: (code.startswith("EUH"), code))
