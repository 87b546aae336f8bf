"""Substances whose use itself stands under a law."""

from __future__ import annotations

from safety.model import Finding, Job
from safety.reference import Reference
from safety.words import say, term
from safety_protection.mixture_hazards import PLUGIN
from safety_protection.phrases import listed
from safety_protection.rules import cite, rows


def judge(job: Job, reference: Reference) -> list[Finding]:
    """Substances whose use itself stands under a law: a compliance person decides."""
    found = []
    for row in rows(reference, "restricted"):
        products = [
            p
            for p in job.products
            for part in p.parts
            if part.cas == row["cas"] and round(part.high * 100, 9) >= row["percent"]
        ]
        if products:
            names = ", ".join(dict.fromkeys(p.name for p in products))
            text = say("{products}: {text}", products=names, text=term(row["text"]))
            stop = row["level"] == "stop"
            short = say("Use under a ban") if stop else say("Use may come under a rule")
            found.append(
                Finding(
                    "stop" if stop else "note",
                    "data",
                    text,
                    short,
                    PLUGIN,
                    None,
                    (),
                    cite(row),
                    remedy=say("Use another product, or get the compliance officer's written word."),
                    key=f"restricted-{row['cas']}",
                )
            )
    return [*found, *_undisclosed(job, reference)]


def _undisclosed(job: Job, reference: Reference) -> list[Finding]:
    """What nobody names may be one of these substances."""
    if not rows(reference, "restricted"):
        return []
    found = []
    for product in job.products:
        parts = [part.name for part in product.parts if not part.disclosed]
        if parts:
            text = say(
                "{product}: its maker does not say what {parts} is, so whether a law restricts its use is not known.",
                product=product.name,
                parts=listed(parts),
            )
            found.append(
                Finding(
                    "control",
                    "data",
                    text,
                    say("{product}: not known if its use is restricted", product=product.name),
                    PLUGIN,
                    unknown=text,
                    remedy=say("Ask the maker, in writing, whether it holds a substance whose use is restricted."),
                    key=f"restricted-unknown-{product.id}",
                )
            )
    return found
