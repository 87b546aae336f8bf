"""What the words around a figure say: that there is none, whose it is, how it was measured."""

from __future__ import annotations

import re
from dataclasses import dataclass
from typing import Literal

from safety.datasheet.text import fold

_ABSENT = re.compile(
    r"not? (?:been )?(?:determined|available|tested|established|known|measured|specified|given|stated|relevant)|undetermined|no (?:test |relevant |further )?(?:data|information|info|results?)(?: available)?|unknown|n/?\.?\s?[de]\.?$|nd$"
    r"|no (?:se ha )?(?:determinad[oa]|disponibles?|conocid[oa]|establecid[oa]|relevante|hay datos|datos)|sin (?:datos|determinar)|desconocid[oa]|s/d|dato no disponible"
    r"|nicht (?:bestimmt|verfugbar|bekannt|ermittelt|gepruft|relevant|getestet)|keine? (?:daten|angaben?|information(?:en)?)(?: verfugbar| vorhanden)?|unbekannt|k\.?\s?[ad]\.?$|n\.?\s?b\.?$|[-–—.]+$|$"
)
_NONE = re.compile(
    r"not? (?:applicable|flash(?:es)?(?: point)?|flammable)|none\b|does not flash|will not (?:flash|burn)|non-?flammable|n/?\.?\s?a\.?(?:$|\s|\()|no (?:aplica(?:ble)?|procede|inflamable|tiene)|ningun[oa]?|carece|nicht (?:anwendbar|zutreffend|entflammbar|brennbar|entzundbar)|entfallt|kein(?:er|en)?\b|trifft nicht zu"
)
#: Other things than the product in the can.
_OTHERS = re.compile(
    r"propel(?:l|ent|ant|ente)|propulsor|treib(?:mittel|gas)|concentrate|concentrado|konzentrat|\bphase\b|\bfase\b|wasserphase|\bneat\b|component|komponente|componente|(?:pure|reine[rs]?|pur[oa]) |ingredient|bestandteil|base resin|\bsolvent\b|\bl(?:o|ö)semittel\b|disolvente|inhaltsstoff"
)
_MIXED = re.compile(
    r"\bmixed\b|mix(?:ture)? of (?:parts?|components?)|a ?(?:\+|and|&|und|y) ?b\b|as applied|ready[- ]to[- ](?:use|spray)|when mixed|thinned|catalyzed|mezclad[oa]|mezcla a\b|gemischt|verdunnt|angemischt|gebrauchsfertig|listo al uso|diluid[oa]"
)
_CLOSED = re.compile(
    r"closed|\btcc\b|\bpmcc\b|\bsccc\b|\bs\.?c\.?c\b|\bc\.?\s?c\b\.?|cerrad[oa]|geschlossen\w*|tag(?:liabue)?\b(?! open)|pensky|abel|setaflash|\b(?:iso|din)\s?(?:en\s?)?(?:iso\s?)?(?:2719|3679|3680|13736|1523|1516|51755)\b|\bd-?\s?(?:56|93|3278|3828|6450|7094)\b|51755|53213"
)
_OPEN = re.compile(
    r"open(?:[ -]cup)?\b|\bcoc\b|\btoc\b|\bo\.?c\.|cleveland|abiert[oa]|offene\w*|\biso\s?2592\b|\bd-?\s?(?:92|1310)\b|51376"
)
#: What may stand beside a figure without making it somebody else's.
_HARMLESS = re.compile(
    r"\([^()]{0,12}=\s*1\s*\)|\b(?:h2o|water|wasser|agua|air|luft|aire)\s*=\s*1\b"
    r"|@?\s*(?:[-–]?\d[\d.,]*)\s*(?:°\s?[cf]\b|hpa|kpa|mbar|bar|atm\b|mm\s?hg|torr|pa\b)|\d+\s?/\s?\d+\s*(?:°\s?[cf])?"
    r"|\b(?:at|bei|a|at approx|as supplied|as packaged|as sold|the|of|for|is|was|by|de|del|la|el|der|die|das|des|von|nach|por|und|and|or|y|o|oder|en|to|in|zu|per|on|with|mit|con)\b"
    r"|\bnone(?: known)?\b|\bnot? (?:data )?(?:available|known|applicable)\b|closed|cup|open|copa|cerrad[oa]|abiert[oa]|vaso|taza|crisol|tiegel|geschlossene[rn]?|offene[rn]?|\b(?:tcc|pmcc|sccc|tag|coc|toc|cc|oc|c\.c\.?|o\.c\.?|tagliabue)\b|pensky|martens|abel|setaflash|seta\b|rapid|schnell|equilibrium|small|scale|cleveland|tester|apparatus"
    r"|\b(?:method[oe]?|metodo|methode|norm[a]?|standard|astm|din|en|iso|ip|epa|ec|eg|ce|oecd|eu|reg\w*|verfahren|test|prueba)\b|[ad]\.?-?\s?\d+\w*"
    r"|\b(?:calculated|calc\.?|estimated|est\.?|literature|lit\.?|value|measured|approx\.?|ca\.?|about|circa|typical|calculad[oa]|estimad[oa]|valor|medid[oa]|aprox\.?|berechnet|geschatzt|gemessen|wert|literaturwert|etwa)\b"
    r"|\b(?:mixture|product|material|preparation|liquid|mezcla|producto|preparado|liquido|gemisch|produkt|zubereitung|flussigkeit)\b|\b(?:pressure|presion|druck|normal|atmospheric|atmosferica|standard|sea level)\b|\b(?:initial|range|inicial|intervalo|start|beginn|bereich|ibp|onset|decomposition|does not sustain combustion|relative|density|dichte|densidad)\b"
    r"|\bsee (?:section|note)\b.*|\b(?:directive|directiva|richtlinie|regulation|reglamento|verordnung)\b|\d{2,4}/\d+(?:/\w+)?"
)


def absent(text: str) -> Literal["", "absent", "none"]:
    """Whether a value only says that nothing is known, or that there is none."""
    low = fold(text).strip(" .:*()")
    if _ABSENT.match(low):
        return "absent"
    return "none" if _NONE.match(low) else ""


@dataclass(frozen=True, slots=True)
class About:
    """What a value's words say of it."""

    other: str = ""  # whose it is, where it is not the product's; "" where it is
    mixed: bool = False  # of the product mixed, thinned or applied
    closed: bool = False
    open: bool = False


def about(label: str, value: str, figures: list[tuple[int, int]], harmless: str = "") -> About:
    """Read the words of a label and its value; ``figures`` are the places of the readings in the value."""
    rest = list(value)
    for start, end in figures:
        rest[start:end] = " " * (end - start)
    words, both = "".join(rest), fold(f"{label} {value}")
    low = fold(words)
    other = ""
    if found := _OTHERS.search(fold(label)):
        other = label.strip(" :") if found else ""
    elif left := _left(low, harmless):
        other = left
    return About(other, bool(_MIXED.search(both)), bool(_CLOSED.search(both)), bool(_OPEN.search(both)))


def _left(low: str, harmless: str) -> str:
    """The words nobody foresaw: they may say that the figure is of something else."""
    if harmless:
        low = re.sub(harmless, " ", low)
    clean = _HARMLESS.sub(" ", low)
    words = re.findall(r"[a-z][a-z-]{2,}", clean)
    return " ".join(words) if words else ""


def mixed(text: str) -> bool:
    return bool(_MIXED.search(fold(text)))
