"""``hazstep check``: read everything a shop has written down and list every mistake."""

from __future__ import annotations

import sys
from collections.abc import Callable, Iterable, Sequence
from dataclasses import asdict, replace
from datetime import date
from pathlib import Path
from typing import TYPE_CHECKING, TypeVar

import click

from safety.cli.options import FORM
from safety.problems import Problem, Problems
from safety.words import say

if TYPE_CHECKING:
    from safety.files.shop_files import ShopFiles
    from safety.reach import Area, Help, Reach

Result = TypeVar("Result")


@click.command()
@click.argument("paths", metavar="[PATH]...", nargs=-1, type=click.Path(path_type=Path))
@click.option(
    "--products", "reach", is_flag=True, help="Also say how far each product will be judged, and what would help."
)
@FORM
def command(paths: tuple[Path, ...], reach: bool, form: str) -> None:
    """Look for mistakes in the files of a shop.

    PATH is a shop's folder or any file in it; without one, the shop of this folder. It only reads: no plugin file
    of the shop is run.

    --products tries a small wipe with each product and says whether its air, fire, hands, waste and books will be
    judged, and the one thing that would help most.

    \b
    Examples:
      hazstep check
      hazstep check --products
      hazstep check jobs/boot-replacement.toml --format json
    """
    mistakes: list[Problem] = []
    notes: list[Problem] = []
    reaches: list[Reach] = []
    products = jobs = 0
    for files, extra in _shops(paths or (Path(),), mistakes).items():
        try:
            count, told = _check(files, extra)
            reaches += _reaches(files) if reach else []
        except Problems as error:
            mistakes += error.problems
        else:
            products, jobs, notes = products + count[0], jobs + count[1], notes + told
    mistakes = list(Problems(mistakes).problems)
    for mistake in mistakes:
        click.echo(mistake, err=True)
    if form == "json":
        import json

        found = {
            "products": products,
            "jobs": jobs,
            "mistakes": [*map(asdict, mistakes)],
            "notes": [*map(asdict, notes)],
        } | ({"reach": [*map(_record, reaches)]} if reach else {})
        click.echo(json.dumps(found, indent=2, ensure_ascii=False))
    elif not mistakes:
        for note in notes:
            click.echo(say("note: {note}", note=note))
        for one in reaches:
            click.echo(_line(one))
        for line in dict.fromkeys(_shop_line(one) for one in reaches if one.of_the_shop):
            click.echo(line)
        click.echo(
            say(
                "{products}, {jobs}: no mistakes",
                products=_count(products, say("product")),
                jobs=_count(jobs, say("job")),
            )
        )
    if mistakes:
        sys.exit(2)


def _count(number: int, word: str) -> str:
    return (
        say("{number} {word}", number=number, word=word)
        if number == 1
        else say("{number} {word}s", number=number, word=word)
    )


def _reaches(files: ShopFiles) -> Sequence[Reach]:
    """How far each product of a sound shop will be judged today, by the installed plugins."""
    from safety import reach
    from safety.workplace import Workplace

    return reach.of_shop(Workplace.looking(files), date.today())


def _line(one: Reach) -> str:
    """One product in one line."""
    judged, open = ", ".join(map(_area, one.judged)), ", ".join(map(_area, one.open))
    if not one.open:
        return say("{product}: will be judged for {judged}", product=one.product.id, judged=judged or say("nothing"))
    return say(
        "{product}: will be judged for {judged}; not all is known for {open}. {help}",
        product=one.product.id,
        judged=judged or say("nothing"),
        open=open,
        help=_help(one.helps),
    )


def _shop_line(one: Reach) -> str:
    areas = ", ".join(map(_area, one.of_the_shop))
    return say("Not all is known for {areas} of any product: the sheet says what the shop lacks", areas=areas)


def _area(area: Area) -> str:
    return {
        "air": say("air"),
        "fire": say("fire"),
        "hands": say("hands"),
        "waste": say("waste"),
        "books": say("books"),
    }[area]


def _help(helps: Help | None) -> str:
    """What would help most, for a person to do."""
    if helps is None:
        return say("No one thing in its file would help: see its sheet")
    if helps.what == "named":
        return say(
            "Most would help: ask the maker what {part} is, or what it may be taken as (taken_as)", part=helps.part
        )
    if helps.what == "data":
        return say("Most would help: data on CAS {cas} in substances/{cas}.toml", cas=helps.part)
    if helps.what == "short_limit":
        return say(
            "Most would help: a limit of {part} for a short time, from section 8 of the data sheet, on the part, as "
            "{example}",
            part=helps.part,
            example='limit = [{ value = "100 ppm", kind = "short-term", list = "STEL" }]',
        )
    if helps.what == "limit":
        return say(
            "Most would help: the exposure limit of {part}, from section 8 of the data sheet, on the part, as "
            "{example}",
            part=helps.part,
            example='limit = [{ value = "50 ppm", kind = "twa", list = "TLV" }]',
        )
    if helps.what == "vapour_pressure":
        return say(
            "Most would help: the vapour pressure of {part}, from section 9 of the data sheet, on the part, as "
            "{example} and without volatile = false",
            part=helps.part,
            example='vapour_pressure = "< 0.01 Pa"',
        )
    if helps.what in ("boiling_range", "lower_explosive_limit"):
        return say(
            "Most would help: {key} of {part}, from section 9 of the data sheet, on the part",
            key=helps.what,
            part=helps.part,
        )
    if helps.what == "confirmed":
        return say("Most would help: compare the draft with its data sheet, and run hazstep confirm")
    return say("Most would help: {key}, from the data sheet", key=helps.what)


def _record(one: Reach) -> dict[str, object]:
    """One product for JSON."""
    return {
        "product": one.product.id,
        "judged": one.judged,
        "open": one.open,
        "of_the_shop": one.of_the_shop,
        "helps": asdict(one.helps) if one.helps else None,
    }


def _shops(paths: Iterable[Path], mistakes: list[Problem]) -> dict[ShopFiles, list[Path]]:
    """The shops the paths belong to, each once, with the jobs named that lie outside its jobs folder."""
    from safety.files.shop_files import ShopFiles
    from safety.files.toml import files_in, is_file

    found: dict[ShopFiles, list[Path]] = {}
    for path in paths:
        if not (path.is_dir() or is_file(path)):
            mistakes.append(
                Problem(path.as_posix(), 0, "", say("there is no such file"), say("check the name and the folder"))
            )
            continue
        try:
            files = ShopFiles.of(path)
        except Problems as error:
            mistakes += error.problems
            continue
        known = next((one for one in found if one.file.samefile(files.file)), files)
        extra = found.setdefault(known, [])
        if path.is_file():
            kinds = ("jobs", "products", "rules", "substances")
            inside = (files.file, *(p for kind in kinds for p in files_in(files.folder / kind)))
            if not any(path.samefile(p) for p in inside):
                extra.append(path)
    return found


def _check(files: ShopFiles, extra: list[Path]) -> tuple[tuple[int, int], list[Problem]]:
    """Counts of products and jobs, and notes. Raises Problems with every mistake."""
    from safety import names_known, own_keys
    from safety.files.helplines import unsaid
    from safety.files.reading import notes, read_all, read_jobs
    from safety.files.toml import files_in
    from safety.files.untyped import left_untyped, untyped
    from safety.reference import declared_tables, read_pack, read_substance
    from safety.reference.substance_files import substance_files
    from safety.workplace import Workplace

    folder, workplace = files.folder, Workplace.looking(files)
    mistakes: set[Problem] = set()

    def kept(read: Callable[..., Result], *what: object) -> Result | None:
        """What ``read`` returns, or None with its mistakes kept."""
        try:
            return read(*what)
        except Problems as error:
            mistakes.update(error.problems)
            return None

    for path in substance_files(folder):
        kept(read_substance, path, path.relative_to(folder).as_posix())
    shop = kept(lambda: workplace.shop)
    contributions = workplace.contributions if shop else []
    absent = not shop or any(workplace.plugins.gaps(shop.expects))
    unheard = workplace.unheard if shop else []
    declared, unread = kept(declared_tables, contributions) or {}, list[Problem]()
    for path in files_in(folder / "rules"):
        shown = path.relative_to(folder).as_posix()
        if kept(read_pack, path, shown, declared, absent) and absent:  # one who is not there may read a table
            unread += _mistakes(read_pack, path, shown, declared)
    today = kept(workplace.on, date.today()) if shop and not mistakes else None
    find = today.reference.find if today else None
    paths = [*files.all("job"), *extra]
    if shop and shop.plugin_files and not mistakes:  # one of these may add what a job names
        jobs = kept(read_jobs, paths, shop)
        try:
            jobs = jobs and read_jobs(paths, shop, find)
        except Problems as error:
            unheard += error.problems
    else:
        jobs = kept(read_jobs, paths, shop, find) if shop else None
    if not shop:
        kept(read_all, files.file, paths, find)  # what else is wrong, in the jobs
    if not shop or jobs is None or not find or mistakes:
        raise Problems(mistakes)
    of_plugins = own_keys.asked(contributions)
    kept(own_keys.look_through, shop, of_plugins, absent)
    for job in jobs:
        kept(own_keys.read, job, of_plugins, absent)
    for day in sorted({job.start.date() for job in jobs}):
        kept(workplace.on, day)  # rules have dates: what clashes may depend on the day
    if mistakes:
        raise Problems(mistakes)
    named = names_known.unknown(shop, jobs, contributions, today.reference) if today else ()
    offered = (*untyped(shop), *(note for job in jobs for note in left_untyped(job)), *named)
    told = (*notes(shop, find), *unsaid(shop), *offered, *map(_unless_added, unheard), *map(_unless_read, unread))
    return (len(shop.products), len(jobs)), list(told)


def _mistakes(read: Callable[..., object], *what: object) -> list[Problem]:
    try:
        read(*what)
    except Problems as error:
        return [*error.problems]
    return []


def _unless_added(problem: Problem) -> Problem:
    """A name nothing that was asked knows."""
    return replace(problem, write=say("a plugin file of the shop may add it: check runs none, the sheet will say"))


def _unless_read(problem: Problem) -> Problem:
    """A table that nobody who was asked reads."""
    problem = replace(problem, wrong="; ".join((problem.wrong, problem.write)))
    return replace(problem, write=say("a plugin that is not here, or was not run, may read it: the sheet will say"))
