"""Keys of plugins' own in a shop's files: ``[step.x.PLUGIN]``, ``[product.x.PLUGIN]``, ``[place.x.PLUGIN]``, and
``[settings]``."""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field, replace
from functools import cache
from pathlib import Path
from types import MappingProxyType
from typing import Any, TypeVar

from safety.files.notation import Miswritten, nearest
from safety.files.reading import Edit, unchanged
from safety.files.toml import At, open_document, problem
from safety.model import Contribution, Job, Key, Place, Product, Shop, Step
from safety.problems import Problem, Problems
from safety.reference.row_shapes import for_example, reader
from safety.units import UnitError
from safety.words import say

Thing = TypeVar("Thing", Step, Product, Place)

#: What asks for keys: (plugin, of what) -> its keys.
Asked = Mapping[tuple[str, str], tuple[Key, ...]]


def asked(contributions: Iterable[tuple[str, Contribution]]) -> Asked:
    """The keys that plugins ask for."""
    return {(name, one.of): one.keys for name, added in contributions for one in added.keys}


def read(job: Job, of: Asked, absent: bool = False, edit: Edit = unchanged) -> Job:
    """The job with what its files say under plugins' names as these want it. Raises Problems with every mistake.

    ``absent``: a plugin is not there, so a name that nobody goes by may be its own.
    """
    one = _Reading(of, absent, Path(job.shop.file).parent, edit)
    shop = one.shop(job.shop)
    steps = [one.typed(step, job.file, ("step", at), "step") for at, step in enumerate(job.steps)]
    if one.wrong:
        raise Problems(one.wrong)
    if not one.found:
        return job

    def of_place(place: Place) -> Place:
        return replace(place, x=shop.places[place.id].x)

    def of_product(product: Product) -> Product:
        return replace(product, x=shop.products[product.id].x)

    return replace(
        job,
        shop=shop,
        place=of_place(job.place),
        steps=tuple(
            replace(
                step,
                place=of_place(step.place),
                uses=tuple(replace(use, product=of_product(use.product)) for use in step.uses),
                leaves_wet=tuple(replace(wet, product=of_product(wet.product)) for wet in step.leaves_wet),
            )
            for step in steps
        ),
        carried=tuple(replace(stock, product=of_product(stock.product)) for stock in job.carried),
    )


def look_through(shop: Shop, of: Asked, absent: bool = False) -> None:
    """Raise Problems with every mistake in what the shop's own file and its products say under plugins' names."""
    one = _Reading(of, absent, Path(shop.file).parent, unchanged)
    one.shop(shop)
    if one.wrong:
        raise Problems(one.wrong)


@cache
def _pattern(name: str) -> re.Pattern[str]:
    """The names a declared one stands for: YYYY is any year, and MM any month of it."""
    return re.compile(re.escape(name).replace("YYYY", "[0-9]{4}").replace("MM", "(0[1-9]|1[0-2])"), re.ASCII)


@dataclass
class _Reading:
    """Files of a shop, and every mistake in what they say under plugins' names."""

    of: Asked
    absent: bool
    folder: Path
    edit: Edit
    found: bool = False
    wrong: list[Problem] = field(default_factory=list)

    def shop(self, shop: Shop) -> Shop:
        file = Path(shop.file).name
        self._settings(shop.settings, file)
        places = {id: self.typed(p, file, ("place", at), "place") for at, (id, p) in enumerate(shop.places.items())}
        products = {id: self.typed(p, p.file, ("product",), "product") for id, p in shop.products.items()}
        return replace(shop, places=MappingProxyType(places), products=MappingProxyType(products))

    def _settings(self, settings: Mapping[str, Any], file: str) -> None:
        """A setting that no plugin reads would change nothing, and nobody would know."""
        known = [key for (_, of), keys in self.of.items() if of == "settings" for key in keys]
        for name, value in settings.items():
            key = next((one for one in known if _pattern(one.name).fullmatch(name)), None)
            if key is None and not self.absent:
                wrong = say('no plugin reads the setting "{name}"', name=name)
                self._note(file, ("settings", name), wrong, nearest(name, [one.name for one in known]))
            elif key is not None and isinstance(value, str):  # a plain number is one in the base unit
                try:
                    reader(key)(value)
                except (Miswritten, UnitError) as error:
                    self._note(file, ("settings", name), error.wrong, error.write)

    def typed(self, thing: Thing, file: str, at: At, of: str) -> Thing:
        if not thing.x:
            return thing
        self.found = True
        known = [plugin for plugin, what in self.of if what == of]
        typed: dict[str, Mapping[str, Any]] = {}
        for plugin, said in thing.x.items():
            if plugin in known:
                typed[plugin] = MappingProxyType(dict(self._keys(self.of[plugin, of], said, file, (*at, "x", plugin))))
            elif not self.absent:
                wrong = say('no plugin called "{plugin}" asks for keys here', plugin=plugin)
                self._note(file, (*at, "x", plugin), wrong, nearest(plugin, known))
        return replace(thing, x=MappingProxyType(typed))

    def _keys(self, keys: tuple[Key, ...], said: Mapping[str, Any], file: str, at: At) -> Iterable[tuple[str, Any]]:
        names = {key.name: key for key in keys}
        for name in said.keys() - names.keys():
            wrong = say('unknown key "{key}" of the plugin {plugin}', key=name, plugin=at[-1])
            self._note(file, (*at, name), wrong, nearest(name, names))
        for name, key in names.items():
            if name not in said:
                if key.needed:
                    self._note(file, at, say('"{key}" is missing', key=name), for_example(key))
                continue
            try:
                yield name, reader(key)(said[name])
            except (Miswritten, UnitError) as error:
                self._note(file, (*at, name), error.wrong, error.write)

    def _note(self, file: str, at: At, wrong: str, write: str) -> None:
        document = self.edit(open_document(self.folder / file, (self.folder / file).as_posix()))
        self.wrong.append(problem(document, at, wrong, write))
