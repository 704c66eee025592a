"""Imports run one way; calc and knowledge know no framework, clock or network; nobody speaks HTTP to others."""

import ast
import sys
from pathlib import Path

import pytest

from tests.architecture.sources import RESTORATIONS, ROOT, called, imported, python_files, shown

# Each may import itself and whatever stands after it.
ORDER = (
    "home", "traffic", "bench", "faults", "tasks", "photos", "engines", "members", "web", "knowledge", "calc",
)  # fmt: skip
HTTP_CLIENTS = ("requests", "httpx", "aiohttp", "urllib3", "urllib.request", "http.client", "socket", "ftplib")
NOT_IN_KNOWLEDGE = (*HTTP_CLIENTS, "django", "pint", "time", "random", "sqlite3", "subprocess", "gunicorn")
NOT_IN_CALC = (
    *NOT_IN_KNOWLEDGE,
    "datetime",
    "os",
    "pathlib",
    "io",
    "shutil",
    "tempfile",
    "tomllib",
    "logging",
    "secrets",
)
CALLS_NOT_IN_CALC = ("open", "input", "print", "eval", "exec", "compile")
CLOCK = (".now", ".utcnow", ".today", ".localtime", ".monotonic", ".perf_counter")


def _package(name: str) -> str | None:
    parts = name.split(".")
    return parts[1] if parts[0] == "restorations" and len(parts) > 1 else None


def _within(name: str, forbidden: tuple[str, ...]) -> bool:
    return any(name == module or name.startswith(f"{module}.") for module in forbidden)


def upward(source: str, package: str) -> list[str]:
    """Imports in this source, of a file in this package, that run against the order."""
    wrong = []
    for line, name in imported(ast.parse(source)):
        target = _package(name)
        above = target is not None and (target not in ORDER or ORDER.index(target) < ORDER.index(package))
        if above or name.startswith(".") or name.split(".")[0] in {"clubshop", "tests"}:
            wrong.append(f"{line}: {name}")
    return wrong


def impure(source: str, forbidden: tuple[str, ...]) -> list[str]:
    """Forbidden imports, clock readings and random numbers without a seed."""
    tree = ast.parse(source)
    wrong = [f"{line}: {name}" for line, name in imported(tree) if _within(name, forbidden)]
    for line, name, call in called(tree):
        unseeded = name.endswith("default_rng") and not (call.args or call.keywords)
        hidden = ".random." in name and not name.endswith(("default_rng", "Generator", "SeedSequence", "PCG64"))
        if name.endswith(CLOCK) or unseeded or hidden:
            wrong.append(f"{line}: {name}()")
    return wrong


def _each(folder: Path) -> list[tuple[Path, str]]:
    return [(path, path.read_text(encoding="utf-8")) for path in python_files(folder)]


@pytest.mark.parametrize("package", [name for name in ORDER if (RESTORATIONS / name).is_dir()])
def test_a_package_imports_only_what_stands_below_it(package: str) -> None:
    found = {shown(path): upward(source, package) for path, source in _each(RESTORATIONS / package)}
    assert {path: wrong for path, wrong in found.items() if wrong} == {}


def test_every_package_has_its_place_in_the_order() -> None:
    folders = {path.name for path in RESTORATIONS.iterdir() if path.is_dir() and not path.name.startswith("_")}
    assert folders <= set(ORDER)


@pytest.mark.parametrize(("package", "forbidden"), [("calc", NOT_IN_CALC), ("knowledge", NOT_IN_KNOWLEDGE)])
def test_pure_packages_stay_pure(package: str, forbidden: tuple[str, ...]) -> None:
    found = {shown(path): impure(source, forbidden) for path, source in _each(RESTORATIONS / package)}
    assert {path: wrong for path, wrong in found.items() if wrong} == {}


def test_calc_needs_nothing_but_the_standard_library_numpy_and_scipy() -> None:
    known = {*sys.stdlib_module_names, "numpy", "scipy", "restorations"}
    foreign = {
        f"{shown(path)}:{line} {name}"
        for path, source in _each(RESTORATIONS / "calc")
        for line, name in imported(ast.parse(source))
        if name.split(".")[0] not in known
    }
    assert foreign == set()


def test_calc_touches_no_file_and_no_screen() -> None:
    found = {
        f"{shown(path)}:{line} {name}()"
        for path, source in _each(RESTORATIONS / "calc")
        for line, name, _ in called(ast.parse(source))
        if name in CALLS_NOT_IN_CALC
    }
    assert found == set()


def test_nobody_speaks_http_to_another_host() -> None:
    found = {
        f"{shown(path)}:{line} {name}"
        for folder in (RESTORATIONS, ROOT / "clubshop")
        for path, source in _each(folder)
        for line, name in imported(ast.parse(source))
        if _within(name, HTTP_CLIENTS)
    }
    assert found == set()


def test_pint_is_met_in_one_place() -> None:
    users = {
        shown(path)
        for path, source in _each(RESTORATIONS)
        if any(_within(name, ("pint",)) for _, name in imported(ast.parse(source)))
    }
    assert users == {"restorations/web/units.py"}


@pytest.mark.parametrize(
    "source",
    [
        "from restorations.faults.models import FaultSheet",
        "import restorations.home.views",
        "def late():\n    from restorations.tasks import models",
        "from ..faults import models",
        "from clubshop import settings",
        "from restorations.attic import models",
    ],
)
def test_an_import_against_the_order_would_be_found(source: str) -> None:
    assert upward(source, "engines")
    assert not upward("from restorations.members.models import Member\nfrom django.db import models", "engines")


@pytest.mark.parametrize(
    "source",
    [
        "import django.db",
        "from pint import UnitRegistry",
        "import datetime\ndatetime.date.today()",
        "import numpy as np\nnp.random.default_rng()",
        "import numpy as np\nnp.random.normal(0, 1)",
        "from time import monotonic",
        "from pathlib import Path",
    ],
)
def test_impurity_would_be_found(source: str) -> None:
    assert impure(source, NOT_IN_CALC)
    assert not impure("import numpy as np\nrandom = np.random.default_rng(7)\nrandom.normal(0, 1)", NOT_IN_CALC)
