"""Ratios against a stated floor, measured in the same run: ``python tests/benchmarks/speed.py [a b c d e] [SHEETS]``.

Not part of the test run: a test never asserts a time. Each row is the median over several runs of ours and of the
floor, taken in turn, and their ratio beside the goal.

a  `hazstep sheet` as PDF, cold process / importing the same libraries and drawing as many pages
b  one draw of the engine (12 steps, 8 substances, 10,000 draws) / one draw by solve_ivp at equal accuracy
c  `hazstep check` on 500 products and 200 jobs / parsing the same files with tomli
d  `hazstep --help` / the help of an empty click program
e  one of SHEETS sheets (50 where no number is given) in one process / (a)

The last column is the range of the ratio over the single runs: how far the machine's other work shook it.
"""

from __future__ import annotations

import os
import statistics
import subprocess
import sys
import tempfile
import time
from collections.abc import Callable
from dataclasses import replace
from datetime import date, datetime
from pathlib import Path

ROOT = Path(__file__).parents[2]
sys.path.insert(0, str(ROOT))  # run as a file, it finds its neighbours too
DEMO = ROOT / "safety" / "data" / "demo"
RUNS = 5
#: What the engine and solve_ivp may differ by in a step's average: what its cells may cost (safety/exposure/grid.py).
EQUAL = 0.005
#: An installed program has its bytecode, as the libraries of the floors do; the warm-up of each row writes it.
INSTALLED = {k: v for k, v in os.environ.items() if k != "PYTHONDONTWRITEBYTECODE"}

EMPTY_CLICK = "import click\n@click.group()\ndef main(): 'An empty program.'\nmain(['--help'])"
FLOOR_PAGES = """
import sys, numpy, pluggy, pydantic, tomli, click, importlib.metadata
from reportlab.platypus import Paragraph, SimpleDocTemplate, PageBreak
from reportlab.lib.styles import getSampleStyleSheet
style = getSampleStyleSheet()["Normal"]
page = [Paragraph("A line of a sheet with some words in it.", style) for _ in range(45)]
SimpleDocTemplate(sys.argv[1]).build([x for _ in range(int(sys.argv[2])) for x in (*page, PageBreak())])
"""


def seconds(work: Callable[[], object]) -> float:
    start = time.perf_counter()
    work()
    return time.perf_counter() - start


Times = list[tuple[float, float]]


def paired(ours: Callable[[], object], floor: Callable[[], object], runs: int = RUNS) -> Times:
    """Times of both, taken in turn after one warm-up each, so that a slow machine slows both."""
    ours(), floor()
    return [(seconds(ours), seconds(floor)) for _ in range(runs)]


def run(*command: str | Path, folder: Path = DEMO) -> None:
    done = subprocess.run([*map(str, command)], cwd=folder, capture_output=True, text=True, env=INSTALLED)
    if done.returncode not in (0, 1, 3):
        raise SystemExit(done.stderr)


def row(name: str, what: str, times: Times, goal: str) -> float:
    """Print medians, the median of the ratios, and their range; return our median."""
    ours, floor = (statistics.median(one) for one in zip(*times, strict=True))
    ratios = sorted(t / f for t, f in times)
    print(
        f"{name}  {what:44} {ours * 1e3:10.1f} ms {floor * 1e3:10.1f} ms {statistics.median(ratios):9.2f}"
        f"  {goal}  ({ratios[0]:.2f} to {ratios[-1]:.2f})"
    )
    return ours


def hazstep(*arguments: str | Path) -> tuple[str | Path, ...]:
    return (sys.executable, "-c", "from safety.cli import main; main()", *arguments)


def sheet(folder: Path) -> float:
    """(a); returns our median."""
    from pypdf import PdfReader

    target = folder / "sheet.pdf"
    run(*hazstep("sheet", "boot-replacement", "--pdf", target))
    pages = len(PdfReader(target).pages)
    times = paired(
        lambda: run(*hazstep("sheet", "boot-replacement", "--pdf", target)),
        lambda: run(sys.executable, "-c", FLOOR_PAGES, folder / "floor.pdf", str(pages)),
    )
    return row("a", f"sheet as PDF, {pages} pages, cold", times, "goal at most 2")


def engine() -> None:
    """(b): time for each draw, and how it grows with draws."""
    import numpy as np

    from safety import timeline
    from safety.exposure.engine import compute
    from safety.model import Measurement
    from tests.benchmarks.one_draw import one_draw

    job, data = twelve_steps()
    clock = timeline.build(job)
    compute(job, clock, data, draws=1000)
    ours = {n: [seconds(lambda n=n: compute(job, clock, data, draws=n)) for _ in range(3)] for n in (1000, 10_000)}
    few, many = (statistics.median(ours[n]) for n in (1000, 10_000))
    sampled = Measurement(
        "108-88-3", 0.0, "ppm", "", "badge", 60.0, job.start.date(), tuple(map(str, range(12))), "far"
    )
    measured = compute(replace(job, measurements=(sampled,)), clock, data, draws=1)  # which keeps the far field's mean
    by_ours = np.array([(s.mean[0], s.far_mean[0]) for s in measured.steps])
    found: list[np.ndarray] = []
    by_integration = statistics.median(seconds(lambda: found.append(one_draw(job, clock, data))) for _ in range(RUNS))
    there = by_ours > 0
    apart = float(np.abs(found[-1][there] / by_ours[there] - 1).max())
    if apart > EQUAL:
        raise SystemExit(f"the engine and solve_ivp are {apart:.2%} apart")
    each = many / 10_000
    print(f"b  {'one draw of the engine':44} {each * 1e3:10.3f} ms {by_integration * 1e3:10.1f} ms"
          f" {by_integration / each:9.0f}  goal at least 200 times faster")  # fmt: skip
    print(f"   furthest apart in any step's average: {apart:.2%}")
    print(f"   10,000 draws over ten times 1,000 draws: {many / few / 10:.2f} (linear is 1)")
    half, data = twelve_steps(6)
    six = statistics.median(seconds(lambda: compute(half, timeline.build(half), data, draws=1000)) for _ in range(3))
    print(f"   12 steps over twice 6 steps: {few / six / 2:.2f} (linear is 1)")
    peak = subprocess.run(
        [sys.executable, __file__, "memory"], capture_output=True, text=True, cwd=ROOT, check=True
    ).stdout.strip()
    print(f"   peak resident memory of 100,000 draws: {peak} MB  goal under 500 MB")


def memory() -> None:
    """Peak resident memory of a process that computes 100,000 draws [MB]."""
    import resource

    from safety import timeline
    from safety.exposure.engine import compute

    job, data = twelve_steps()
    compute(job, timeline.build(job), data, draws=100_000)
    print(round(resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024))


def twelve_steps(count: int = 12):  # type: ignore[no-untyped-def]
    """A job of 12 steps (or ``count``) with 8 substances, all shipped data."""
    from safety import reference
    from safety.cited import Unknown
    from safety.model import AirState, Job, Part, Place, Product, Range, Shop, Step, Use

    cas = ("108-88-3", "78-93-3", "142-82-5", "110-54-3", "67-64-1", "67-63-0", "123-86-4", "108-10-1")
    air = AirState("shut", Range(0.3 / 3600, 2 / 3600), Range(0.03, 0.2), "")
    bay = Place("bay", "hangar", 2400.0, Range(293.0, 299.0), (air,), Range(0.4, 0.9))
    unknown = Unknown("not needed here")

    def liquid(first: int) -> Product:
        parts = tuple(Part(c, c, 0.2, 0.3) for c in cas[first : first + 4])
        return Product(f"p{first}", "p", "solvent", parts, 850.0, unknown, unknown, (), date(2026, 1, 1))

    steps = tuple(
        Step(str(i), 1200.0, "near", bay, air, (Use(liquid(i % 5), "wipe", Range(0.05, 0.1), "", 1.0),), length=3.0)
        for i in range(count)
    )
    shop = Shop("s", "si", {"bay": bay}, {})
    data = reference.load((), Path(), date(2026, 1, 1))
    return Job("j", "j", shop, bay, datetime(2026, 1, 1, 7), 1, "metal", steps), data


def check(folder: Path) -> None:
    """(c)."""
    import shutil

    shop = folder / "shop"
    shutil.copytree(DEMO, shop)
    product = (shop / "products" / "wash-solvent.toml").read_text()
    job = (shop / "jobs" / "laminate-wipe-down.toml").read_text()
    for i in range(500 - len(list((shop / "products").iterdir()))):
        (shop / "products" / f"p{i}.toml").write_text(product.replace('id = "wash-solvent"', f'id = "p{i}"'))
    for i in range(200 - len(list((shop / "jobs").iterdir()))):
        (shop / "jobs" / f"j{i}.toml").write_text(job.replace('id = "laminate-wipe-down"', f'id = "j{i}"'))
    bare = "import tomli, pathlib\nfor f in pathlib.Path().rglob('*.toml'): tomli.loads(f.read_text())"
    times = paired(lambda: run(*hazstep("check"), folder=shop), lambda: run(sys.executable, "-c", bare, folder=shop))
    row("c", "check, 500 products and 200 jobs", times, "goal at most 4")


def start_up() -> None:
    """(d)."""
    times = paired(lambda: run(*hazstep("--help")), lambda: run(sys.executable, "-c", EMPTY_CLICK), 15)
    row("d", "--help", times, "goal at most 1.5")


def many(folder: Path, cold: float, count: int) -> None:
    """(e)."""
    from safety.render import pdf
    from safety.workplace import assess_job

    jobs = sorted((DEMO / "jobs").glob("*.toml"))

    def sheets() -> None:
        for i in range(count):
            (folder / f"{i}.pdf").write_bytes(pdf.sheet(assess_job(jobs[i % len(jobs)])))

    row("e", f"one of {count} sheets in one process", [(seconds(sheets) / count, cold)], "against (a)")


if __name__ == "__main__":
    if sys.argv[1:] == ["memory"]:
        memory()
        sys.exit()
    sys.stdout.reconfigure(line_buffering=True)  # type: ignore[union-attr]
    count = next((int(word) for word in sys.argv[1:] if word.isdigit()), 50)
    wanted = [word for word in sys.argv[1:] if not word.isdigit()] or ["a", "b", "c", "d", "e"]
    print(f"{'':3}{'':44} {'ours':>13} {'floor':>13} {'ratio':>9}")
    with tempfile.TemporaryDirectory() as name:
        place = Path(name)
        cold = sheet(place) if {"a", "e"} & set(wanted) else 0.0
        if "b" in wanted:
            engine()
        if "c" in wanted:
            check(place)
        if "d" in wanted:
            start_up()
        if "e" in wanted:
            many(place, cold, count)
