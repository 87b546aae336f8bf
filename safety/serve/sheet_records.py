"""A sheet as plain data for the page: its words, what can be compared in it, and the plan a run follows."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from typing import Any

from safety import timeline
from safety.model import Application, Finding, Job, Report, Use, Wear, Worn
from safety.render.screen import screen
from safety.why import Node, references

Record = dict[str, Any]

_RANKS: dict[str, int] = {"note": 0, "control": 1, "stop": 3}
_UNKNOWN = 2
_WORN: Mapping[str, Wear] = {"breathing": "respirator", "hands": "gloves", "eyes": "eyewear", "skin": "clothing"}


def sheet(job: Job, report: Report) -> Record:
    """All the page needs of a sheet; ``job`` is the job as planned, of which the report may have more coats."""
    return {
        "page": screen(report),
        "plan": plan(job, report),
        "answers": answers(report),
        "findings": findings(report),
        "stop": bool(report.stops),
        "complete": report.complete,
    }


def answers(report: Report) -> list[Record]:
    """What each step (-1: the whole job) is told about each topic, the gravest first of what is said of it."""
    found: dict[tuple[int, str], Record] = {}
    for ref, finding in references(report).items():
        step = -1 if finding.step is None else finding.step
        rank = _rank(finding)
        worn = _worn(finding, _WORN.get(finding.topic))
        one = {
            "step": step,
            "topic": finding.topic,
            "rank": rank,
            "factor": (worn and worn.factor) or 0.0,
            "item": worn.item if worn else "",
            "lasts": worn.lasts if worn else None,
            "text": finding.short,
            "ref": ref,
        }
        other = found.get((step, finding.topic))
        found[step, finding.topic] = one if other is None else _both(other, one)
    return list(found.values())


def findings(report: Report) -> list[Record]:
    """Everything a sheet says, in its order, with the reference by which its derivation is asked for."""
    words = {0: "", 1: "Control", _UNKNOWN: "UNKNOWN", 3: "STOP"}
    return [
        {
            "ref": ref,
            "step": 0 if one.step is None else one.step + 1,
            "mark": words[_rank(one)],
            "short": one.short,
            "statement": one.statement,
            "unknown": one.unknown,
        }
        for ref, one in references(report).items()
    ]


def _rank(finding: Finding) -> int:
    rank = _RANKS[finding.level]
    return max(rank, _UNKNOWN) if finding.unknown and finding.gap == "safety" else rank


def _worn(finding: Finding, what: Wear | None) -> Worn | None:
    """What has to be worn by a finding: a note says that nothing has."""
    worn = (role for role in finding.roles if isinstance(role, Worn) and role.what == what)
    return None if finding.level == "note" else next(worn, None)


def _both(one: Record, other: Record) -> Record:
    """Two answers on one topic of a step: the words of the graver, with the careful one of everything else."""
    graver, lesser = (one, other) if one["rank"] >= other["rank"] else (other, one)
    lasts = [time for time in (one["lasts"], other["lasts"]) if time is not None]
    return {
        **graver,
        "factor": max(one["factor"], other["factor"]),
        "item": graver["item"] or lesser["item"],
        "lasts": min(lasts, default=None),
    }


def plan(job: Job, report: Report) -> Record:
    """What a run follows: stretches with what must pass after each, windows, and gear that has a time."""
    steps = []
    for index, step in enumerate(job.steps):
        times = [own for use in step.uses if (own := timeline.applied(use))]
        found = [f for f in report.findings if f.step == index]
        gloves, mask = (next((w for f in found if (w := _worn(f, what))), None) for what in ("gloves", "respirator"))
        steps.append(
            {
                "name": step.name,
                "coats": max((timeline.coats_of(use, job.surface) for use in step.uses), default=0),
                "lasts": step.duration,
                "between": {"dry": _longest(times, "dry_between")},
                "after": {"dry": _longest(times, "dry_final"), "stand": _longest(times, "stand_at_least")},
                "stop": any(f.level == "stop" for f in found),
                "gloves": gloves.item if gloves else "",
                "gloves_last": gloves.lasts if gloves else None,
                "mask": mask.item if mask else "",
                "cartridges_last": mask.lasts if mask else None,
            }
        )
    whole = any(f.level == "stop" and f.step is None for f in report.findings)
    return {"job": job.id, "steps": steps, "windows": _windows(job, report), "stop": whole}


def _longest(times: Iterable[Application], name: str) -> float:
    return max((getattr(one, name) for one in times), default=0.0)


def _windows(job: Job, report: Report) -> list[Record]:
    found = []
    for window in report.timeline.windows:
        own = next(own for use in job.steps[window.step].uses if (own := _sets(use, window.product.id)))
        found.append(
            {
                "product": window.product.id,
                "name": window.product.name,
                "step": window.step,
                "joins": window.joins,
                "start_within": own.start_within,
                "recoat_within": own.recoat_within,
            }
        )
    return found


def _sets(use: Use, product: str) -> Application | None:
    return timeline.applied(use) if use.product.id == product else None


def tree(node: Node) -> Record:
    """A derivation as plain data."""
    return {"text": node.text, "under": [tree(one) for one in node.under]}
