"""What lies where, what is pinned, and that migrations say all that models do."""

import ast
import re
import subprocess
import sys
from importlib.metadata import packages_distributions

import pytest
from django.core.management import call_command

from tests.architecture.sources import RESTORATIONS, ROOT, imported, python_files

TOP_LEVEL = {
    "README.md", "DEVELOPERS.md", "manage.py", "requirements.txt", "clubshop", "restorations", "tests", "static",
}  # fmt: skip
OPTIONAL = {"pillow-heif"}  # used where it is installed, done without where not; pinned for the tests
LOADED_BY_NAME = {"gunicorn", "pytest-django", "tzdata", "pillow"}  # run, or asked for, without an import of ours


def _pins(path: str) -> dict[str, str]:
    lines = [line.partition("#")[0].strip() for line in (ROOT / path).read_text(encoding="utf-8").splitlines()]
    found = {}
    for line in filter(None, lines):
        if not line.startswith("-r "):
            name, _, version = line.partition("==")
            found[_plain(name)] = version
    return found


def _plain(name: str) -> str:
    return re.sub(r"[-_.]+", "-", name).lower()


def test_the_visible_top_level_is_what_it_should_be() -> None:
    listing = ["git", "ls-files"]
    tracked = subprocess.run(listing, cwd=ROOT, capture_output=True, text=True, check=True).stdout.splitlines()  # noqa: S603
    assert {name.split("/")[0] for name in tracked if not name.startswith(".")} <= TOP_LEVEL


@pytest.mark.parametrize("path", ["requirements.txt", "tests/requirements.txt"])
def test_every_requirement_is_pinned_exactly(path: str) -> None:
    assert {name: version for name, version in _pins(path).items() if not re.fullmatch(r"[\w.]+", version)} == {}


def test_the_tests_requirements_begin_with_the_programs() -> None:
    assert (ROOT / "tests/requirements.txt").read_text(encoding="utf-8").startswith("-r ../requirements.txt\n")


def test_everything_imported_is_pinned() -> None:
    owners = packages_distributions()
    foreign = {
        name.split(".")[0]
        for folder in (RESTORATIONS, ROOT / "clubshop")
        for path in python_files(folder)
        for _, name in imported(ast.parse(path.read_text(encoding="utf-8")))
        if name.split(".")[0] not in {*sys.stdlib_module_names, "restorations", "clubshop"}
    }
    needed = {_plain(owner) for module in foreign for owner in owners.get(module, [module])}
    assert needed - OPTIONAL - set(_pins("requirements.txt")) == set()


def test_migrations_say_all_that_models_do(db: None) -> None:
    call_command("makemigrations", check=True, dry_run=True, verbosity=0)


def test_the_project_checks_clean(db: None) -> None:
    call_command("check", fail_level="WARNING")
