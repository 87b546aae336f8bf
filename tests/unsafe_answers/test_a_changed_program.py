"""A plugin that changes the program is named, and everybody else works with the program as it is written.

One trusted file with ``Report.stops = property(lambda report: ())`` once printed a sheet without its stops, and
``safety.levels.over = lambda *_: False`` or another ``numpy.percentile`` a sheet that called everything low; each
called itself complete.
"""

from __future__ import annotations

import json
import os
import subprocess
import sys
from collections.abc import Callable, Mapping
from pathlib import Path
from typing import Any

import pytest

from tests.unsafe_answers.shops import write_shop
from tests.unsafe_answers.test_outputs import JOB, PRODUCT, SHOP

pytestmark = pytest.mark.skipif(not hasattr(os, "fork"), reason="a program that is changed is one of its own")

#: Each changes the program, and once changed what the others answered or what was printed of it.
CHANGES = {
    "no_stops": "from safety.model import Report\nReport.stops = property(lambda report: ())",
    "complete": "from safety.model import Report\nReport.complete = True",
    "a_field": "from safety.model import Finding\nFinding.level = property(lambda one: 'note')",
    "a_base": "from safety.hosting.answers import Unsound\nUnsound.__bases__ = (ValueError,)",
    "new_in_a_class": "from safety.model import Finding\nFinding.__getattribute__ = lambda one, name: 'note'",
    "a_function": "import safety.levels\nsafety.levels.over = lambda *_: False",
    "code": "from safety.exposure import result\nresult.careful.__code__ = (lambda *_, **__: 0.0).__code__",
    "defaults": "from safety.exposure import result\nresult.careful.__defaults__ = (True,) * 9",
    "a_cell": "from safety.model import Finding\n(lambda f: [setattr(c, 'cell_contents', None) for c in f.__closure__])(Finding.__setattr__)",
    "a_builtin": "import builtins\nbuiltins.any = lambda _: False",
    "over_a_builtin": "import safety_protection.breathing as b\nb.max = lambda *_, **__: 0.0",
    "a_table": "from safety.model import TITLES\nTITLES.clear()",
    "an_array": "from safety.exposure import film\nfilm._GUESSES.flags.writeable = True\nfilm._GUESSES[:] = 0",
    "a_number": "from safety import assessment\nassessment.ASKED = ()",
    "arithmetic": "import math\nmath.exp = lambda _: 0.0",
    "percentile": "import numpy\nreal = numpy.percentile\nnumpy.percentile = lambda *given, **more: 0 * real(*given, **more)",
    "percentile_within": "import numpy\nnumpy.percentile.__wrapped__.__code__ = (lambda *_, **__: 0.0).__code__",
    "another_plugin": "import safety_ventilation\nsafety_ventilation.assess.__code__ = (lambda job: []).__code__",
    "what_looks": "from safety.hosting.program import Program\nProgram._take = Program.take_in = lambda *_: None",
    "what_compares": "from safety.hosting import kept, program\nkept.Kept.changed = lambda _: False\nprogram._restored = program._is_changed = lambda *_: False",
    "what_compares_within": "from safety.hosting import program\nno = lambda *_: False\nfor one in ('_restored', '_is_changed', '_same', '_added'):\n    getattr(program, one).__code__ = no.__code__",
    "all_at_once": "import builtins, gc, operator\nbuiltins.all = lambda _: True\nbuiltins.map = lambda *_: ()\ngc.get_referents = lambda *_: []\noperator.is_ = lambda *_: True",
    "who_is_asked": "from safety.hosting.host import Host\nHost.ask = lambda *_, **__: iter(())\nHost.failures = ()",
    "in_a_package": "import types, safety.render\nsafety.render.records = types.ModuleType('records')",
    "loaded_names": "import sys, types\nsys.modules['safety.levels'] = types.ModuleType('safety.levels')",
}  # fmt: skip

#: Each is the first to load a part of the program, and changes it: nobody else sees that one.
BEFORE_IT_IS_NEEDED = {
    "printing": "import safety.render.text, safety.render.records\nsafety.render.text.sheet = safety.render.records.sheet = lambda *_: {}",
    "by_name": "import sys, types\nsys.modules['safety.render.records'] = types.ModuleType('records')",
}  # fmt: skip

IN_A_HOOK = "from safety import hookimpl\n@hookimpl\ndef {hook}({arguments}):\n    {what}\n    return []\n"
WHEN_LOADED = "from safety import hookimpl\n{what}\n@hookimpl\ndef assess(job):\n    return []\n"


def said(tmp_path: Path, trusts: Callable[[Path], Path], plugins: Mapping[str, str]) -> dict[str, Any]:
    """The sheet where these plugins are asked too, as JSON."""
    listed = json.dumps([f"{name}.py" for name in plugins])
    shop = SHOP.replace("[shop]", f"[shop]\nplugins = {listed}")
    folder = write_shop(tmp_path, shop, {"glue-off": PRODUCT}, {"spine": JOB})
    for name, text in plugins.items():
        (folder / f"{name}.py").write_text(text)
    trusts(folder)
    words = ("-c", "from safety.cli import main; main()", "sheet", "spine", "--draws", "100", "--format", "json")
    done = subprocess.run(
        [sys.executable, *words], cwd=folder, capture_output=True, text=True, timeout=300, check=False
    )
    assert done.stdout, done.stderr
    sheet: dict[str, Any] = json.loads(done.stdout)
    assert done.returncode == (3 if not sheet["complete"] else 1 if sheet["stops"] else 0), done.stderr
    return sheet


def within(what: str) -> str:
    return what.replace("\n", "\n    ")


@pytest.fixture(scope="module")
def clean(tmp_path_factory: pytest.TempPathFactory, trusts: Callable[[Path], Path]) -> dict[str, Any]:
    return said(tmp_path_factory.mktemp("clean"), trusts, {})


def test_a_change_of_the_program_is_that_plugin_s_failure(
    tmp_path: Path, trusts: Callable[[Path], Path], clean: dict[str, Any]
) -> None:
    """Each change by a plugin of its own: while it is loaded, while it is asked, and after all have judged."""
    plugins, hooks = {}, {}
    for n, (name, what) in enumerate(CHANGES.items()):
        place = ("aaa", "zzz")[n % 2]  # asked before all others, or after them
        for hook, text in {
            "load": WHEN_LOADED.format(what=what),
            "contribute": IN_A_HOOK.format(hook="contribute", arguments="", what=within(what)),
            "assess": IN_A_HOOK.format(hook="assess", arguments="job", what=within(what)),
            "sheet_blocks": IN_A_HOOK.format(hook="sheet_blocks", arguments="job", what=within(what)),
        }.items():
            plugins[f"{place}_{name}_{hook}"] = text
            hooks[f"{place}_{name}_{hook}"] = hook
    found = said(tmp_path, trusts, plugins)
    assert {f["plugin"]: (f["hook"], f["reason"]) for f in found["failures"]} == {
        name: (hook, "it changed the program") for name, hook in hooks.items()
    }
    assert not found["complete"]
    for part in clean.keys() - {"complete", "failures", "reasons"}:
        assert found[part] == clean[part], part


def test_what_a_plugin_is_the_first_to_load_is_loaded_again(
    tmp_path: Path, trusts: Callable[[Path], Path], clean: dict[str, Any]
) -> None:
    """It is no failure to load a part of the program; but what was changed in it was printed with."""
    plugins = {}
    for name, what in BEFORE_IT_IS_NEEDED.items():
        plugins[f"aaa_{name}"] = WHEN_LOADED.format(what=what)
        plugins[f"zzz_{name}"] = IN_A_HOOK.format(hook="sheet_blocks", arguments="job", what=within(what))
    assert said(tmp_path, trusts, plugins) == clean


def test_another_stranger_is_asked_as_it_is_written(tmp_path: Path, trusts: Callable[[Path], Path]) -> None:
    """Its function was replaced in the module it stands in, and in place."""
    one = "from safety import hookimpl\nfrom safety.model import Finding\nnotes = []\ndef level():\n    return 'stop'\n@hookimpl\ndef assess(job):\n    notes.append(job)\n    return [Finding(level(), 'data', 'No.', 'no', 'bbb', key='own', remedy='Stay away.')]\n"
    search = "import gc\nfor it in gc.get_objects():\n    if type(it).__name__ == 'function' and it.__module__ == 'hazstep_plugin_bbb':\n        "
    changes = {
        "aaa": "it.__code__ = (lambda *_: []).__code__",
        "aab": "it.__globals__.update(level=lambda: 'note', assess=None)",
    }
    plugins = {
        name: IN_A_HOOK.format(hook="assess", arguments="job", what=within(search + what))
        for name, what in changes.items()
    }
    found = said(tmp_path, trusts, {**plugins, "bbb": one})
    assert [(f["plugin"], f["reason"]) for f in found["failures"]] == [(n, "it changed the program") for n in changes]
    assert ("stop", "No.") in [(f["level"], f["statement"]) for f in found["findings"]]


def test_an_honest_plugin_may_load_ask_and_remember_what_it_likes(
    tmp_path: Path, trusts: Callable[[Path], Path], clean: dict[str, Any]
) -> None:
    """Parts of the program that nobody has loaded yet, warnings, caches, notes of its own: nothing of it is a change."""
    text = (
        "import warnings, random, tempfile, decimal, numpy, scipy.stats\n"
        "from safety import hookimpl, units\n"
        "from safety.formulas import catalogue\n"
        "seen = None\n"
        "@hookimpl\n"
        "def assess(job, exposure, reference, ledger):\n"
        "    global seen\n"
        "    seen = job\n"
        "    import numpy.polynomial, safety.compare.tries, safety.day\n"
        "    warnings.warn('odd')\n"
        "    random.seed(1), tempfile.gettempdir(), decimal.getcontext(), numpy.percentile([1.0], 50)\n"
        "    catalogue(), reference.find('water'), repr(exposure), units.show(1.0, 'temperature', 'K')\n"
        "    return []\n"
    )
    assert said(tmp_path, trusts, {"aaa": text, "zzz": text}) == clean
