"""What is kept with a frozen page: every file it was made from, and what plugins answered, as text by name."""

from __future__ import annotations

import json
from collections.abc import Mapping
from dataclasses import asdict, fields, is_dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Any

from safety.cited import Unknown

if TYPE_CHECKING:
    from safety.hosting.host import Host
    from safety.ledger.sheets import Frozen
    from safety.model import Report, Shop, Substance

SHOP, DATA = "shop/", "data/"
#: Where substances stand that a plugin was asked for.
LOOKED_UP = "data/looked-up/"


def shop_files(shop: Shop) -> dict[str, str]:
    """Every file of a shop as text, by its path in the shop's folder."""
    from safety.reference.data_files import SOURCES

    folder = Path(shop.file).parent
    named = (*shop.rules, *shop.plugin_files, SOURCES)
    paths = [Path(shop.file), *(folder / name for name in named if (folder / name).is_file())]
    for kind in ("products", "jobs", "substances", "rules"):
        paths += sorted((folder / kind).glob("*.toml"))
    return {SHOP + p.relative_to(folder).as_posix(): text_of(p) for p in paths if p.is_relative_to(folder)}


def data_files(plugins: Host) -> dict[str, str]:
    """The data that came with the program and with every plugin: units, sources, rules, substances.

    What a stranger's plugin adds is kept as it adds it: it need stand in no file.
    """
    from safety.reference import data_files as shipped

    found = {}
    for path in (
        shipped.DATA / "units.txt",
        shipped.DATA / "sources.toml",
        *sorted(shipped.DATA.glob("rules/*.toml")),
        *sorted(shipped.DATA.glob("substances/*.toml")),
    ):
        found[DATA + path.relative_to(shipped.DATA).as_posix()] = text_of(path)
    for name, folder, added in plugins.data():
        if folder is not None:
            for path in sorted(folder.rglob("*.toml")):
                found[f"{DATA}{name}/{path.relative_to(folder).as_posix()}"] = text_of(path)
        if added is not None:
            found[f"{DATA}{name}/added.json"] = json.dumps(_plain(added), ensure_ascii=False, indent=1, sort_keys=True)
    return found


def _plain(value: Any) -> Any:
    """A record and all it holds, ready for JSON; of a function its name."""
    if is_dataclass(value):
        return {one.name: _plain(getattr(value, one.name)) for one in fields(value)}
    if isinstance(value, Mapping):
        return {str(key): _plain(one) for key, one in value.items()}
    if isinstance(value, (tuple, list)):
        return [_plain(one) for one in value]
    if isinstance(value, (set, frozenset)):
        return sorted(map(str, value))
    if callable(value):
        return value.__qualname__
    return value if value is None or isinstance(value, (bool, int, float)) else str(value)


def looked_up_today(kept: Frozen, plugins: Host) -> dict[str, str]:
    """What plugins say today of the substances they were asked for when the page was frozen."""
    from safety.model import Substance

    names = [name for name in kept.inputs if name.startswith(LOOKED_UP)]
    found = {name: plugins.substance(Path(name).stem) for name in names}
    return {name: as_text(one) for name, one in found.items() if isinstance(one, Substance)}


def looked_up(report: Report) -> dict[str, str]:
    """The substances a sheet took from plugins that were asked for them, each as it was used."""
    return {f"{LOOKED_UP}{one.cas}.json": as_text(one) for one in report.looked_up}


def as_text(substance: Substance) -> str:
    """The values of a substance, the same in every language."""
    values = {
        name: [
            {"value": one.value, "unit": one.unit, **dict(one.conditions), "source": asdict(one.source), "at": one.at}
            for one in cited
        ]
        for name, cited in sorted(substance.properties.items())
    }
    said = [] if isinstance(substance.hazards, Unknown) else list(substance.hazards)
    whole = {"cas": substance.cas, "names": substance.names, "hazards": said, "groups": dict(substance.groups)}
    return json.dumps({**whole, "properties": values}, ensure_ascii=False, indent=1)


def text_of(path: Path) -> str:
    """A file as it is; line ends are kept."""
    return path.read_bytes().decode("utf-8", errors="surrogateescape")
