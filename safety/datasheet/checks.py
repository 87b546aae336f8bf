"""What the values of one sheet say of each other."""

from __future__ import annotations

from safety.datasheet.codes import base
from safety.datasheet.record import Draft
from safety.words import say

#: Regulation (EC) No 1272/2008, Annex I, table 2.6.1 [degC].
CATEGORY_2, CATEGORY_3 = 23.0, 60.0


def checks(draft: Draft) -> None:
    """Compare the values; what contradicts is left out where the other reading is the worse one."""
    codes = codes_of(draft)
    _flash_and_class(draft, codes)
    _flash_and_boiling(draft)


def codes_of(draft: Draft) -> set[str]:
    """The plain codes of a draft."""
    value = draft.values.get("hazards")
    return {base(code) for code in value.written} if value and isinstance(value.written, list) else set()


def _flash_and_class(draft: Draft, codes: set[str]) -> None:
    flash = draft.values.get("flash_point")
    if not flash or flash.size is None or codes & {"H222", "H223"}:
        return
    quote, classes = flash.quote, sorted(codes & {"H224", "H225", "H226"})
    highest = CATEGORY_2 if codes & {"H224", "H225"} else CATEGORY_3 if "H226" in codes else None
    if highest is not None and flash.size > highest + 0.5:
        draft.contradictory(
            say(
                'The flash point does not go with {code} (up to {highest:.0f} degC), left out: "{quote}". Ask which holds.',
                code=", ".join(classes),
                highest=highest,
                quote=quote,
            )
        )
        del draft.values["flash_point"]
    elif "H226" in codes and not codes & {"H224", "H225"} and flash.size < CATEGORY_2 - 0.5:
        draft.contradictory(
            say(
                'The flash point is lower than H226 says (23 to 60 degC): "{quote}". Ask which holds; the figure stands.',
                quote=quote,
            )
        )
    elif "not_classified" in draft.values and flash.size <= CATEGORY_3:
        draft.contradictory(
            say(
                '"Not classified" does not go with this flash point; the hazards were left open: "{quote}".',
                quote=quote,
            )
        )
        del draft.values["not_classified"]
    elif not classes and "hazards" in draft.values and flash.size <= CATEGORY_3 - 0.5:
        draft.contradictory(
            say(
                'The flash point would make it a flammable liquid, but no H224, H225 or H226 is there: "{quote}". The figure stands.',
                quote=quote,
            )
        )


def _flash_and_boiling(draft: Draft) -> None:
    flash, boiling = draft.values.get("flash_point"), draft.values.get("boiling_point")
    if flash and boiling and flash.size is not None and boiling.size is not None and boiling.size <= flash.size:
        draft.contradictory(
            say(
                'It cannot boil below its flash point; both left out: "{one}"; "{other}".',
                one=flash.quote,
                other=boiling.quote,
            )
        )
        del draft.values["flash_point"], draft.values["boiling_point"]
