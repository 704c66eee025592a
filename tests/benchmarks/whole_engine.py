"""Recording a step on the sheet of a whole engine: server time, and what it goes on.

Run with `python -m tests.benchmarks.whole_engine [--cases N] [--twice]`. The engine is the fullest two-cylinder one of
the reference engines, idle for years; its sheet has 30 standing observations and inspections of a world with three
faults. A different step is recorded on each of so many such sheets, as htmx sends it: what is read, the new ranking,
what is written, and the sheet drawn anew. `--twice`: of a knowledge with everything in it twice over, linked across.
The first step of a process is set apart: it expands the knowledge and weighs every line once. Parts are processor
time, which other work on the machine does not lengthen much; on an idle machine the clock says the same.
"""

from __future__ import annotations

import argparse
import os
import sys
from collections import defaultdict
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import replace
from statistics import median
from time import perf_counter, process_time
from typing import Any
from unittest.mock import patch

import numpy as np

from restorations.calc.diagnosis import Inspected, Observed
from restorations.knowledge import Knowledge, expand, load
from restorations.knowledge.reference_engines import REFERENCE_ENGINES, REFERENCE_PASTS
from tests.benchmarks.bench import Bench
from tests.benchmarks.worlds import SEED, TURNED, Start, World

os.environ.setdefault("DJANGO_SETTINGS_MODULE", "clubshop.settings")

STEPS, STANDING, COMPLAINTS, FAULTS = 10, 30, 2, 3
PAST = "idle for years"
WALL = "on the clock"
PARTS: dict[str, tuple[str, ...]] = {
    "ground": ("restorations.faults.services.steps.ground_of",),
    "expand": ("restorations.faults.services.sheets.expand", "restorations.faults.services.sheets.reweighed"),
    "inference": ("restorations.faults.ranking.posterior",),
    "why": ("restorations.faults.ranking.weights_of_evidence",),
    "options": ("restorations.knowledge.ahead.options_of",),
    "samples": ("restorations.calc.diagnosis.outlook.believe_from",),
    "advice": ("restorations.calc.diagnosis.outlook.ranked_steps",),
    "remaining": ("restorations.calc.diagnosis.outlook.work_left",),
    "save": ("restorations.faults.services.steps.save_snapshot",),
    "page": ("restorations.faults.views.common.show_sheet",),
}


class Clock:
    """Processor seconds by part; what a part calls that is a part itself is not counted twice."""

    def __init__(self) -> None:
        self.spent: dict[str, float] = defaultdict(float)
        self._inner: list[float] = []

    def timed(self, name: str, act: Callable[..., Any]) -> Callable[..., Any]:
        def call(*args: Any, **options: Any) -> Any:
            begun = process_time()
            self._inner.append(0.0)
            try:
                return act(*args, **options)
            finally:
                taken = process_time() - begun
                self.spent[name] += taken - self._inner.pop()
                if self._inner:
                    self._inner[-1] += taken

        return call


@contextmanager
def clocked() -> Iterator[Clock]:
    """Every part timed wherever it is called from."""
    from importlib import import_module

    clock, patches = Clock(), []
    for name, places in PARTS.items():
        for place in places:
            module, _, attribute = place.rpartition(".")
            act = getattr(import_module(module), attribute)
            patches.append(patch(place, clock.timed(name, act)))
    for one in patches:
        one.start()
    try:
        yield clock
    finally:
        for one in patches:
            one.stop()


def fullest(knowledge: Knowledge) -> str:
    """The two-cylinder reference engine with most causes."""
    two = [name for name, built in REFERENCE_ENGINES.items() if built.cylinder_layout.startswith("two")]
    return max(two, key=lambda name: len(expand(knowledge, REFERENCE_ENGINES[name], REFERENCE_PASTS[PAST]).causes))


def twice(knowledge: Knowledge) -> Knowledge:
    """Everything in the knowledge twice over, and three links in ten across to the other half."""
    rng, causes, findings, checks = np.random.default_rng(SEED), {}, {}, {}
    for key, cause in knowledge.causes.items():
        causes[f"{key}_too"] = replace(cause, id=f"{key}_too", remedies=tuple(f"{one}_too" for one in cause.remedies))
    for key, finding in knowledge.findings.items():
        other = tuple(replace(link, cause=f"{link.cause}_too") for link in finding.links)
        across = rng.random((2, len(other))) < 0.3
        findings[key] = replace(finding, links=(*finding.links, *_chosen(other, across[0])))
        own = (*other, *_chosen(finding.links, across[1]))
        findings[f"{key}_too"] = replace(finding, id=f"{key}_too", links=own)
    for key, check in knowledge.checks.items():
        goal = {name: f"{getattr(check, name)}_too" for name in ("answers", "examines") if getattr(check, name)}
        checks[f"{key}_too"] = replace(check, id=f"{key}_too", **goal)
    remedies = {f"{key}_too": replace(remedy, id=f"{key}_too") for key, remedy in knowledge.remedies.items()}
    return replace(
        knowledge,
        causes=knowledge.causes | causes,
        findings=findings,
        checks=knowledge.checks | checks,
        remedies=knowledge.remedies | remedies,
        checksum=f"{knowledge.checksum} twice",
    )


def _chosen(links: Any, mask: Any) -> tuple[Any, ...]:
    return tuple(link for link, taken in zip(links, mask, strict=True) if taken)


def worked_on(knowledge: Knowledge, name: str) -> Bench:
    """A bench with 30 things seen: the complaint, then checks picked at random that bear on what it may come from."""
    engine, rng = expand(knowledge, REFERENCE_ENGINES[name], REFERENCE_PASTS[PAST]), np.random.default_rng(SEED)
    names, rates = np.array(engine.model.causes), engine.model.prior / engine.model.prior.sum()
    shown: list[str] = []
    while len(shown) < COMPLAINTS:
        world = World(engine, set(rng.choice(names, FAULTS, replace=False, p=rates).tolist()), int(rng.integers(2**31)))
        shown = [one for one in engine.findings if one != TURNED and world.at_work(one, engine.inactive(one))]
    told = [str(one) for one in rng.choice(shown, COMPLAINTS, replace=False)]
    silent = {one: engine.inactive(one) for one in told}
    seen = tuple(Observed(one, world.level(one, silent[one]), silent[one]) for one in told)
    bench = Bench.at(Start(world, told[0], seen))
    near = engine.explaining(told)
    checks = [check.id for check in engine.checks.values() if _bears(engine, check, near)]
    for check in rng.choice(checks, STANDING - COMPLAINTS, replace=False):
        bench.work(str(check))
    return bench


def _bears(engine: Any, check: Any, near: frozenset[str]) -> bool:
    if check.entry.examines:
        return check.target in near
    return any(engine.findings[check.target].links[one].strengths[0] > 0.2 for one in near & _links(engine, check))


def _links(engine: Any, check: Any) -> Any:
    return engine.findings[check.target].links.keys()


def sheet_of(cast: Any, name: str, bench: Bench, number: int) -> Any:
    """A sheet of an engine of its own, its lines as the services write them, ranked once."""
    from restorations.faults.models import Step
    from restorations.faults.services.sheets import refresh_ranking
    from tests.factories import NOON, make_engine
    from tests.faults.builders import make_sheet

    built = REFERENCE_ENGINES[name].as_mapping()
    engine = make_engine(name=f"Whole {number}", made_by=cast.owner, hands=(cast.member,), configuration=built)
    sheet = make_sheet(engine, opened_by=cast.member)
    sheet.history = REFERENCE_PASTS[PAST].as_mapping()
    sheet.save()
    stands = {"happened_at": NOON, "recorded_at": NOON, "done_by": cast.member, "recorded_by": cast.member}
    Step.objects.bulk_create(
        Step(
            sheet=sheet, number=line, words=f"line {line}", reported=line <= COMPLAINTS, accepted_at=NOON,
            accepted_by=cast.member, **_fields(event), **stands,
        )
        for line, event in enumerate(bench.events, start=1)
    )  # fmt: skip
    refresh_ranking(sheet, at=NOON)
    return sheet


def _fields(event: Any) -> dict[str, Any]:
    if isinstance(event, Observed):
        return {"kind": "observation", "finding": event.finding, "level": event.level, "state": {"off": []}}
    seen = {"present": event.present, "sensitivity": event.sensitivity, "false_alarm": event.false_alarm}
    return {"kind": "inspection", "cause": event.cause, **seen} if isinstance(event, Inspected) else {}


def measure(knowledge: Knowledge, steps: int) -> list[dict[str, float]]:
    """Milliseconds of the processor by part of each step, and on the clock; the first of the process first."""
    from restorations.faults.services.sheets import _expanded, _of_build
    from tests.cast import make_cast

    name, cast = fullest(knowledge), make_cast()
    bench = worked_on(knowledge, name)
    engine = bench.solver
    print(
        f"{name}: {len(engine.causes)} causes, {len(engine.findings)} findings, {len(engine.checks)} checks, "
        f"{len(engine.remedies)} remedies; {len(bench.events)} lines, {sum(map(_is_shown, bench.events))} of them so"
    )
    sheets = [sheet_of(cast, name, bench, number) for number in range(steps + 1)]
    _expanded.cache_clear()
    _of_build.cache_clear()
    browser = cast.browser("member")
    return [_recorded(browser, sheet, number) for number, sheet in enumerate(sheets)]


def _is_shown(event: Any) -> bool:
    return bool(event.level if isinstance(event, Observed) else event.present)


def _recorded(browser: Any, sheet: Any, number: int) -> dict[str, float]:
    """The answer to one of the advised checks, another one on each sheet."""
    from tests.engines.sent import once
    from tests.faults.sent import SHEET

    snapshot, steps = sheet.latest_snapshot, sheet.steps.count()
    actions = [row["action"] for row in snapshot.advice if row["action"] in _checks(snapshot)]
    action = actions[number % len(actions)]
    said = "0" if _checks(snapshot)[action].entry.answers else "not_found"
    with clocked() as clock:
        begun, worked = perf_counter(), process_time()
        response = browser.post(f"/sheets/{sheet.pk}/record/", once(action=action, answer=said), headers=SHEET)
        total, worked = perf_counter() - begun, process_time() - worked
    if response.status_code != 200 or sheet.steps.count() != steps + 1:
        raise RuntimeError(f"{action}: answered {response.status_code}, nothing recorded")
    parts = {name: 1000.0 * seconds for name, seconds in clock.spent.items()}
    return {**parts, "the rest": 1000.0 * worked - sum(parts.values()), "in all": 1000.0 * worked, WALL: 1000.0 * total}


def _checks(snapshot: Any) -> Any:
    from restorations.faults.services.sheets import stored_knowledge

    return stored_knowledge(snapshot.model.checksum).checks


def main() -> int:
    import django
    from django.conf import settings
    from django.test.utils import get_runner, setup_test_environment

    parser = argparse.ArgumentParser()
    parser.add_argument("--cases", type=int, default=STEPS)
    parser.add_argument("--twice", action="store_true")
    asked = parser.parse_args()
    django.setup()
    setup_test_environment()
    settings.STORAGES["staticfiles"]["BACKEND"] = "django.contrib.staticfiles.storage.StaticFilesStorage"
    runner = get_runner(settings)(verbosity=0)
    databases = runner.setup_databases()
    knowledge = twice(load()) if asked.twice else load()
    try:
        with patch("restorations.faults.services.sheets.in_force", lambda engine: knowledge):
            first, *rows = measure(knowledge, asked.cases)
    finally:
        runner.teardown_databases(databases)
    print(f"{'milliseconds':<14}{'median':>9}{'worst':>9}{'first':>9}   of {len(rows)} steps")
    for part in (*PARTS, "the rest", "in all", WALL):
        each = [row.get(part, 0.0) for row in rows]
        print(f"{part:<14}{median(each):9.1f}{max(each):9.1f}{first.get(part, 0.0):9.1f}")
    return 0


if __name__ == "__main__":
    sys.exit(main())
