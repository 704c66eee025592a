"""Prints how long each stage of the checks took beside its budget; fails where browser tests did not run.

Two tests run at a time, so the stages add up to about twice what the clock says.
"""

import sys
from pathlib import Path
from xml.etree import ElementTree

MINUTES = {"lint and types": 2, "unit and calc": 2, "pages on SQLite": 6, "pages on PostgreSQL": 8, "browser": 8}
IN_ALL = 15
STAGES = {
    "lint and types": ("tests.architecture.test_tools",),
    "unit and calc": ("tests.calc", "tests.knowledge", "tests.external", "tests.architecture", "restorations."),
    "browser": ("tests.browser",),
}


def stage_of(test: str) -> str:
    return next((stage for stage, starts in STAGES.items() if test.startswith(starts)), "pages on SQLite")


def tests_of(report: Path) -> list[ElementTree.Element]:
    return list(ElementTree.parse(report).iter("testcase")) if report.exists() else []  # noqa: S314 - our own


def main(folder: str, seconds: int) -> int:
    tests, again = (tests_of(Path(folder) / name) for name in ("tests.xml", "postgresql.xml"))
    if not tests or not again:
        print("The tests did not get as far as a report.")
        return 1
    took = dict.fromkeys(MINUTES, 0.0)
    for test in tests:
        took[stage_of(test.get("classname", ""))] += float(test.get("time", 0))
    took["pages on PostgreSQL"] = sum(float(test.get("time", 0)) for test in again)
    for stage, minutes in MINUTES.items():
        print(f"{stage:<20} {took[stage]:6.0f} s of {60 * minutes} s{'  OVER' if took[stage] > 60 * minutes else ''}")
    print(f"{'by the clock':<20} {seconds:6.0f} s of {60 * IN_ALL} s")
    return browser_tests_ran(tests)


def browser_tests_ran(tests: list[ElementTree.Element]) -> int:
    browser = [test for test in tests if stage_of(test.get("classname", "")) == "browser"]
    skipped = [test.get("name") for test in browser if test.find("skipped") is not None]
    if not browser or skipped:
        print(f"Browser tests that did not run: {', '.join(map(str, skipped)) or 'all'}")
        return 1
    return 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1], int(sys.argv[2])))
