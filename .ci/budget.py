"""Prints how long each stage of the checks took beside its budget; fails where browser tests did not run."""

import sys
from pathlib import Path
from xml.etree import ElementTree

MINUTES = {"install": 3, "lint and types": 2, "unit and calc": 2, "pages on SQLite": 2, "browser": 4}
STAGES = {
    "lint and types": ("tests.architecture.test_tools",),
    "unit and calc": ("tests.calc", "tests.knowledge", "tests.external", "tests.architecture", "restorations."),
    "browser": ("tests.browser",),
}


def stage_of(test: str) -> str:
    return next((stage for stage, starts in STAGES.items() if test.startswith(starts)), "pages on SQLite")


def main(report: str, seconds: int) -> int:
    if not Path(report).exists():
        print("The tests did not get as far as a report.")
        return 1
    suites = list(ElementTree.parse(report).iter("testsuite"))  # noqa: S314 - written by our own run
    tests = [test for suite in suites for test in suite.iter("testcase")]
    took = dict.fromkeys(MINUTES, 0.0)
    for test in tests:
        took[stage_of(test.get("classname", ""))] += float(test.get("time", 0))
    took["install"] = seconds - sum(float(suite.get("time", 0)) for suite in suites)
    for stage, minutes in MINUTES.items():
        print(f"{stage:<16} {took[stage]:6.0f} s of {60 * minutes} s{'  OVER' if took[stage] > 60 * minutes else ''}")
    print(f"{'in all':<16} {seconds:6.0f} s of {60 * sum(MINUTES.values())} s")
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
