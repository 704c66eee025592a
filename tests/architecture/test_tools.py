"""Linter, formatter and type checker: the same tools for everybody, inside the one test command."""

import subprocess
import sys

import pytest

from tests.architecture.sources import ROOT

TOOLS = {
    "the formatter has nothing to change": ["ruff", "format", "--check", "."],
    "the linter finds nothing": ["ruff", "check", "."],
    "the types agree": ["mypy", "clubshop", "restorations"],
}


@pytest.mark.parametrize("arguments", TOOLS.values(), ids=TOOLS)
def test_that(arguments: list[str]) -> None:
    run = subprocess.run(  # noqa: S603 - fixed programs
        [sys.executable, "-m", *arguments], cwd=ROOT, capture_output=True, text=True, check=False
    )
    assert run.returncode == 0, run.stdout + run.stderr
