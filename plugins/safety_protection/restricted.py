"""Substances whose use itself stands under a law."""

from __future__ import annotations

from safety.model import Finding, Job
from safety.reference import Reference
from safety.words import say, term
from safety_protection.mixture_hazards import PLUGIN
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
    return found
