"""Files to records, or every mistake of the run at once. The only exception raised is Problems."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import dataclass, field, replace
from datetime import datetime
from pathlib import Path
from types import MappingProxyType

from safety.cited import Unknown
from safety.files.balance import balanced
from safety.files.cross_checks import check_job, check_product, check_shop
from safety.files.notation import squeezed
from safety.files.people_checks import named_people
from safety.files.reading_job import build_job, unknown_names
from safety.files.reading_shop import build_product, build_shop
from safety.files.shapes import JobFile, ProductFile, Shape, ShopFile, fit
from safety.files.toml import Document, files_in, open_document, problem, tables
from safety.model import Composition, Job, Part, Place, Product, Shop, Substance
from safety.problems import Problem, Problems
from safety.words import say

#: Returns the substance of a CAS number or name, or Unknown (``Reference.find``).
Find = Callable[[str], object]

#: Changes what a file says before it is looked at (``hazstep compare``).
Edit = Callable[[Document], Document]

SHOP_FILE = "shop.toml"
_MOST = 50  # mistakes shown for one file


def read_shop(path: Path) -> Shop:
    """Read ``shop.toml`` (or the folder that holds it) and the products beside it.

    ``Shop.file`` is the path of the file as given; ``Product.file`` is seen from its folder.
    Raises Problems.
    """
    return open_shop(path).sound()


def unchanged(document: Document) -> Document:
    return document


def read_job(path: Path, shop: Shop, find: Find | None = None, edit: Edit = unchanged) -> Job:
    """Read one job of a shop. With ``find``, names of substances become CAS numbers.

    Raises Problems.
    """
    (job,) = read_jobs([path], shop, find, edit)
    return job


def read_jobs(paths: Iterable[Path], shop: Shop, find: Find | None = None, edit: Edit = unchanged) -> tuple[Job, ...]:
    """Read jobs of a shop that has been read. Raises Problems with every mistake in all of them."""
    shop = _called(shop, find) if find else shop
    opened = OpenShop(Path(shop.file), shop, dict(shop.places), dict(shop.products), edit=edit)
    return _jobs(opened, paths, find)


def _called(shop: Shop, find: Find) -> Shop:
    """The shop, with parts that its files give by CAS number alone called what the loaded data call them."""

    def called(part: Part) -> Part:
        found = None if part.written or not part.cas else find(part.cas)
        return replace(part, name=found.name) if isinstance(found, Substance) else part

    products = {
        key: replace(product, parts=tuple(called(part) for part in product.parts))
        for key, product in shop.products.items()
    }
    return replace(shop, products=MappingProxyType(products))


def look_through_product(document: Document) -> None:
    """Raise Problems with every mistake of a product's file, seen by itself."""
    opened, document = OpenShop(document.path), balanced(document)
    _fitted(document, ProductFile, opened, check_product(document))
    if opened.found:
        raise Problems(opened.found)


def read_all(
    path: Path, jobs: Iterable[Path] | None = None, find: Find | None = None, edit: Edit = unchanged
) -> tuple[Shop, tuple[Job, ...]]:
    """Read a shop and its jobs (all in ``jobs/`` where none are named) and report every mistake in all of them.

    Raises Problems.
    """
    opened = open_shop(path, edit)
    if jobs is None:
        jobs = files_in(opened.file.parent / "jobs")
    read = _jobs(opened, jobs, find)
    return opened.sound(), read


def _jobs(opened: OpenShop, paths: Iterable[Path], find: Find | None) -> tuple[Job, ...]:
    drafts = [_draft(path, opened, find) for path in paths]
    if find and opened.shop:
        opened.found += _against_the_data(opened.shop, find, opened.edit)
    shop = opened.sound()
    return tuple(build_job(draft.fitted, shop, draft.name, find) for draft in drafts if draft)


def notes(shop: Shop, find: Find) -> list[Problem]:
    """Return a line for each draft, and for each part of a product that the loaded data do not hold.

    These are no mistakes: the product is real, and the sheet will say what is unknown.
    """
    found = []
    for product in shop.products.values():
        if product.draft:
            document = _open_here(Path(shop.file).parent, product.file)
            wrong = say("a draft from a data sheet: sheets with it are INCOMPLETE")
            write = say("compare it with the sheet, then run: hazstep confirm {id} --who NAME", id=product.id)
            found.append(problem(document, ("product", "draft"), wrong, write))
        unlent = [(i, p) for i, p in enumerate(product.parts) if p.cas and not p.lends]
        missing = [(i, p) for i, p in unlent if isinstance(find(p.cas), Unknown)]
        if missing:
            document = _open_here(Path(shop.file).parent, product.file)
            for index, part in missing:
                wrong = say("no data are loaded for CAS {cas}: sheets will say unknown", cas=part.cas)
                if part.stated.boiling_range is not None:
                    wrong = say("CAS {cas}: its vapour is computed; its hazards and limits stay unknown", cas=part.cas)
                write = say("add substances/{cas}.toml to the shop", cas=part.cas)
                found.append(problem(document, ("product", "part", index, "cas"), wrong, write))
    return found


def _against_the_data(shop: Shop, find: Find, edit: Edit) -> list[Problem]:
    """What the products' parts say and the loaded data gainsay."""
    return [*_said_to_stay(shop, find, edit), *_misnamed(shop, find, edit), *_known_itself(shop, find, edit)]


def _known_itself(shop: Shop, find: Find, edit: Edit) -> list[Problem]:
    """A mistake for each part that is taken as another though the loaded data know how it evaporates itself."""
    found = []
    for product in shop.products.values():
        for index, part in enumerate(product.parts):
            own = find(part.cas) if part.lends else None
            if isinstance(own, Substance) and own.has_equation:
                document = edit(_open_here(Path(shop.file).parent, product.file))
                wrong = say("the data know {name} itself: it is taken as no other", name=own.name)
                place = ("product", "part", index, "taken_as")
                found.append(problem(document, place, wrong, say("take taken_as out")))
    return found


def _said_to_stay(shop: Shop, find: Find, edit: Edit) -> list[Problem]:
    """A mistake for each part that a product says does not evaporate though the loaded data know that it does.

    Nothing would count its vapour: no limit, no fire, no record of solvent.
    """
    found = []
    for product in shop.products.values():
        for index, part in enumerate(product.parts):
            substance = find(part.cas) if part.cas and not part.volatile else None
            if not isinstance(substance, Substance):
                continue
            if substance.has_equation or "vapour_pressure" in substance.properties:
                wrong = say("{name} evaporates: its vapour pressure is known", name=substance.name)
                write = say("take this line out; what hardens or soaks in and stays is the job's kept")
            elif substance.is_cut:
                wrong = say("{name} evaporates", name=substance.name)
                write = say("take this line out, and write its boiling_range, from section 9 of the data sheet")
            else:
                continue
            document = edit(_open_here(Path(shop.file).parent, product.file))
            found.append(problem(document, ("product", "part", index, "volatile"), wrong, write))
    return found


def _misnamed(shop: Shop, find: Find, edit: Edit) -> list[Problem]:
    """A mistake for each part that is called by the name of another substance than its CAS number is of.

    Somebody else's number brings somebody else's vapour, limits and gloves. Names that several numbers share, as those
    of petroleum fractions are, say nothing against another mixture, or a number that nobody has data on.
    """
    found = []
    for product in shop.products.values():
        for index, part in enumerate(product.parts):
            known = part.cas and part.written and (part.lends or not part.taken_as)
            own = find(part.cas) if known else None
            called = part.written.strip().casefold()
            if own is None or (isinstance(own, Substance) and called in map(str.casefold, own.names)):
                continue
            other = find(part.written)
            if not isinstance(other, Substance) or other.cas == part.cas:
                continue
            if not _is_one_molecule(other) and not (isinstance(own, Substance) and _is_one_molecule(own)):
                continue
            document = edit(_open_here(Path(shop.file).parent, product.file))
            wrong = say('"{name}" has CAS number {other}, not {cas}', name=part.written, other=other.cas, cas=part.cas)
            write = say("take both from section 3 of the data sheet")
            found.append(problem(document, ("product", "part", index, "cas"), wrong, write))
    return found


def _is_one_molecule(substance: Substance) -> bool:
    made_of = substance.composition
    return isinstance(made_of, Composition) and not made_of.of_many


# ---------------------------------------------------------------- one run


@dataclass(frozen=True, slots=True)
class Draft:
    """A job's file, read and in its shape; the substances it names in words have not been looked for."""

    document: Document
    fitted: JobFile
    name: str  # of the file, seen from the shop's folder

    @property
    def start(self) -> datetime:
        return self.fitted.job.start


@dataclass
class OpenShop:
    """What has been read of a shop so far. None stands for a thing whose own file has mistakes."""

    file: Path
    shop: Shop | None = None
    places: dict[str, Place | None] | None = None  # None: the shop's file cannot be read at all
    products: dict[str, Product | None] = field(default_factory=dict)
    jobs: dict[str, str] = field(default_factory=dict)  # id -> file that has it
    found: list[Problem] = field(default_factory=list)
    edit: Edit = field(default=unchanged, kw_only=True)

    def sound(self) -> Shop:
        """Return the shop, or raise Problems with all that was found."""
        if self.found or self.shop is None:
            raise Problems(self.found)
        return self.shop

    def drafts(self, paths: Iterable[Path]) -> list[Draft]:
        """The files of some jobs. Raises Problems with every mistake in them and in the shop's own files."""
        run = replace(self, jobs={}, found=[*self.found])
        read = [_draft(path, run, None) for path in paths]
        run.sound()
        return [draft for draft in read if draft]

    def job(self, draft: Draft, find: Find | None = None) -> Job:
        """The job of a draft; with ``find``, names of substances become CAS numbers. Raises Problems."""
        shop = self.sound()
        if find and (wrong := [*unknown_names(draft.document, find), *_against_the_data(shop, find, self.edit)]):
            raise Problems(wrong)
        return build_job(draft.fitted, _called(shop, find) if find else shop, draft.name, find)

    def blame(self, problems: list[Problem]) -> None:
        """Keep mistakes of one file; a file of nothing but mistakes is cut short."""
        self.found += sorted(problems)[:_MOST]
        if len(problems) > _MOST:
            wrong = say(
                "there are {count} mistakes or more in this file; {most} are shown", count=len(problems), most=_MOST
            )
            self.found.append(Problem(problems[0].file, 0, "", wrong, say("mend these first")))


def _open_here(folder: Path, name: str) -> Document:
    return open_document(folder / name, (folder / name).as_posix())


def _fitted(document: Document, shape: type[Shape], opened: OpenShop, also: list[Problem]) -> Shape | None:
    """Return the file in its shape, or None with every mistake kept."""
    fitted = fit(shape, document.data)
    wrong = fitted if isinstance(fitted, list) else []
    found = [problem(document, *mistake) for mistake in wrong[: 2 * _MOST]] + also
    opened.blame(found)
    return None if isinstance(fitted, list) or found else fitted


def open_shop(path: Path, edit: Edit = unchanged) -> OpenShop:
    """Read ``shop.toml`` (or the folder that holds it) and the products beside it; mistakes are kept for ``sound``."""
    file = path if path.suffix == ".toml" else path / SHOP_FILE
    opened = OpenShop(file, edit=edit)
    try:
        document = edit(open_document(file))
    except Problems as error:
        opened.found += error.problems
        fitted = None
    else:
        fitted = _fitted(document, ShopFile, opened, check_shop(document))
        opened.places = dict.fromkeys(squeezed(table.get("id")) for _, table in tables(document.data, "place"))
    files: dict[str, str] = {}
    for product in files_in(file.parent / "products"):
        _product(product, opened, files)
    if fitted:
        opened.shop = build_shop(fitted, {k: p for k, p in opened.products.items() if p}, file.as_posix())
        opened.places = dict(opened.shop.places)
    return opened


def _own_id(document: Document, table: str) -> str:
    """The id a file gives itself, however wrong the rest of it is."""
    found = document.data.get(table)
    return squeezed(found.get("id")) if isinstance(found, dict) and found.get("id") else document.path.stem


def _product(path: Path, opened: OpenShop, files: dict[str, str]) -> None:
    name = path.relative_to(opened.file.parent).as_posix()
    try:
        document = balanced(opened.edit(open_document(path)))
    except Problems as error:
        opened.found += error.problems
        opened.products.setdefault(path.stem, None)
        return
    own = _own_id(document, "product")
    also = check_product(document)
    if own in files:
        wrong = say('{file} is "{id}" already', file=files[own], id=own)
        also.append(problem(document, ("product", "id"), wrong, say("give each product its own id")))
    files.setdefault(own, name)
    fitted = _fitted(document, ProductFile, opened, also)
    opened.products.setdefault(own, build_product(fitted, name) if fitted else None)


def _draft(path: Path, opened: OpenShop, find: Find | None) -> Draft | None:
    try:
        document = opened.edit(open_document(path))
    except Problems as error:
        opened.found += error.problems
        return None
    also = check_job(document, opened.places, opened.products) + (unknown_names(document, find) if find else [])
    also += named_people(document, opened.shop)
    own = _own_id(document, "job")
    if own in opened.jobs:
        wrong = say('{file} is "{id}" already', file=opened.jobs[own], id=own)
        also.append(problem(document, ("job", "id"), wrong, say("give each job its own id")))
    folder = opened.file.parent
    name = path.relative_to(folder).as_posix() if path.is_relative_to(folder) else path.name
    opened.jobs.setdefault(own, name)
    fitted = _fitted(document, JobFile, opened, also)
    return Draft(document, fitted, name) if fitted else None
