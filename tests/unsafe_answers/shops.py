"""A shop of a few lines, written for one wrong answer."""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path

from safety.model import Finding, Report, Topic
from safety.workplace import assess_job

#: Enough for answers that are not near a limit.
DRAWS = 200


def write_shop(
    folder: Path,
    shop: str,
    products: Mapping[str, str],
    jobs: Mapping[str, str],
    rules: Mapping[str, str] | None = None,
    substances: Mapping[str, str] | None = None,
) -> Path:
    """Write the files of a shop, each as its text by the name without ``.toml``; return the folder."""
    folder.mkdir(parents=True, exist_ok=True)
    (folder / "shop.toml").write_text(shop, encoding="utf-8")
    kinds = {"products": products, "jobs": jobs, "rules": rules or {}, "substances": substances or {}}
    for kind, files in kinds.items():
        for name, text in files.items():
            (folder / kind).mkdir(exist_ok=True)
            (folder / kind / f"{name}.toml").write_text(text, encoding="utf-8")
    return folder


def sheet(folder: Path, job: str, draws: int = DRAWS) -> Report:
    """The assessed job of this id."""
    return assess_job(folder / "jobs" / f"{job}.toml", draws=draws)


def answers(report: Report, topic: Topic, step: int | None) -> list[Finding]:
    """What a sheet says on a topic of a step (from 0), or of the whole job (None)."""
    return [f for f in report.findings if f.topic == topic and f.step == step]
