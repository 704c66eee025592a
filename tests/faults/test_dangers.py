"""A danger seen on a sheet stops the engine at once, is said before any ranking, and stays until it is lifted."""

from datetime import date
from typing import Any

import pytest
from django.utils import timezone

from restorations.engines.models import Stoppage
from restorations.engines.state import state_of
from restorations.faults.danger import danger_in
from restorations.faults.facts import bench_facts
from restorations.faults.models import FaultSheet, Step
from restorations.faults.services.sheets import ground_of
from restorations.members.models import Message
from tests.cast import Cast
from tests.factories import LONG_AGO
from tests.faults.builders import ONE_CYLINDER, bench_engine, make_sheet
from tests.faults.sent import observe, page_of, post

TODAY = timezone.localdate


@pytest.fixture
def sheet(cast: Cast) -> FaultSheet:
    engine = bench_engine(cast, configuration={**ONE_CYLINDER, "boiler": "copper"})
    return make_sheet(engine, opened_by=cast.member)


def _dangerous(sheet: FaultSheet, stops: str) -> str:
    expanded = ground_of(sheet, at=timezone.now()).expanded
    found = (row for row in expanded.findings.values() if row.entry.dangerous and row.entry.stops == stops)
    return str(min(row.id for row in found))


def _see(cast: Cast, sheet: FaultSheet, finding: str, who: str = "member", **data: Any) -> None:
    assert observe(cast, sheet, who, finding=finding, **data).status_code == 302


@pytest.mark.parametrize(("stops", "kind"), [("engine", "defect"), ("boiler", "boiler")])
def test_what_is_dangerous_stops_the_engine_in_the_same_breath(
    cast: Cast, sheet: FaultSheet, stops: str, kind: str
) -> None:
    _see(cast, sheet, _dangerous(sheet, stops))
    stop = Stoppage.objects.get()
    assert (stop.kind, stop.engine, sheet.steps.get().stoppage) == (kind, sheet.engine, stop)
    assert f"fault sheet {sheet.pk}" in stop.words
    told = set(Message.objects.filter(subject__contains="stopped").values_list("to__sign_in_name", flat=True))
    assert {"mentor", "mentor2", "inspector", "mate", "owner"} <= told


def test_a_look_that_finds_nothing_stops_nothing(cast: Cast, sheet: FaultSheet) -> None:
    _see(cast, sheet, _dangerous(sheet, "boiler"), level="0")
    _see(cast, sheet, "wheels_stiff", level="1")
    assert not Stoppage.objects.exists()


def test_the_page_says_stop_before_any_ranking_with_the_card(cast: Cast, sheet: FaultSheet) -> None:
    expanded = ground_of(sheet, at=timezone.now()).expanded
    finding = min(row.id for row in expanded.findings.values() if row.entry.card and row.entry.stops == "boiler")
    _see(cast, sheet, finding)
    page = page_of(cast, sheet)
    order = [page.index(words) for words in ("<b>Stop.</b>", "Emergency card:", "<h2>Now</h2>", "Why we think so")]
    assert order == sorted(order)
    assert "until the club&#x27;s inspector lifts it" in page or "until the club's inspector lifts it" in page


def test_seen_again_it_is_the_same_stop(cast: Cast, sheet: FaultSheet) -> None:
    finding = _dangerous(sheet, "boiler")
    for who in ("member", "mate"):
        _see(cast, sheet, finding, who)
    assert Stoppage.objects.count() == 1
    assert sheet.steps.filter(stoppage=Stoppage.objects.get()).count() == 2


def test_a_helpers_word_is_enough_to_stop_it(cast: Cast, sheet: FaultSheet) -> None:
    _see(cast, sheet, _dangerous(sheet, "boiler"), "stranger")
    assert not sheet.steps.get().stands
    assert state_of(sheet.engine, TODAY()).has_boiler_stop


@pytest.mark.parametrize("way", ["struck out", "looked at again and gone"])
def test_struck_out_or_cured_the_stop_remains_and_says_so(cast: Cast, sheet: FaultSheet, way: str) -> None:
    finding = _dangerous(sheet, "boiler")
    _see(cast, sheet, finding)
    if way == "struck out":
        step = sheet.steps.get()
        assert post(cast, "mentor", f"/steps/{step.pk}/strike/", reason="it was condensation").status_code == 302
    else:
        _see(cast, sheet, finding, level="0")
    assert state_of(sheet.engine, TODAY()).has_boiler_stop
    page = page_of(cast, sheet)
    assert way in page
    assert "The stop holds until" in page
    assert page.index("<b>Stopped.</b>") < page.index("<h2>Now</h2>")


def test_the_mentor_cannot_lift_it_and_the_inspector_can(cast: Cast, sheet: FaultSheet) -> None:
    _see(cast, sheet, _dangerous(sheet, "boiler"))
    stop = Stoppage.objects.get()
    sent = {"words": "examined, proved", "on": str(TODAY())}
    assert post(cast, "mentor", f"/stops/{stop.pk}/lift/", **sent).status_code == 403
    assert post(cast, "inspector", f"/stops/{stop.pk}/lift/", **sent).status_code == 302
    assert not state_of(sheet.engine, TODAY()).has_boiler_stop


def test_seen_once_more_after_it_was_lifted_it_stops_anew(cast: Cast, sheet: FaultSheet) -> None:
    finding = _dangerous(sheet, "boiler")
    _see(cast, sheet, finding)
    post(cast, "inspector", f"/stops/{Stoppage.objects.get().pk}/lift/", words="proved", on=str(TODAY()))
    _see(cast, sheet, finding)
    assert state_of(sheet.engine, TODAY()).has_boiler_stop


def test_the_steam_gate_closes_with_the_stop_and_the_ranking_made_with_it_knows(cast: Cast, sheet: FaultSheet) -> None:
    for kind in ("hydraulic_test", "steam_test"):
        sheet.engine.certificates.create(
            kind=kind, passed_on=LONG_AGO, lapses_on=date(2040, 1, 1), by_whom="I", recorded_by=cast.inspector
        )
    assert bench_facts(sheet.engine, on=TODAY()).steam_allowed
    _see(cast, sheet, _dangerous(sheet, "boiler"))
    bench = bench_facts(sheet.engine, on=TODAY())
    assert not bench.steam_allowed
    snapshot = sheet.latest_snapshot
    assert snapshot is not None
    assert snapshot.facts_checksum == bench.checksum


def test_nothing_is_half_written_where_the_step_cannot_be(cast: Cast, sheet: FaultSheet) -> None:
    answer = observe(cast, sheet, finding=_dangerous(sheet, "boiler"), turn_degrees="a quarter")
    assert answer.status_code == 422
    assert not Stoppage.objects.exists()
    assert not Step.objects.exists()


def test_every_dangerous_finding_of_the_knowledge_is_a_danger_at_every_level_but_the_first(
    cast: Cast, sheet: FaultSheet
) -> None:
    expanded = ground_of(sheet, at=timezone.now()).expanded
    for row in expanded.findings.values():
        for level in range(len(row.entry.levels)):
            step = Step(kind="observation", finding=row.id, level=level)
            assert (danger_in(step, expanded) is not None) == (row.entry.dangerous and level > 0)
