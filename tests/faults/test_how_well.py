"""Scores of closed sheets, read from the snapshots as they were stored, and the page that adds them up."""

import json
from pathlib import Path

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from restorations.calc.diagnosis.scoring import Prediction
from restorations.faults import how_well
from restorations.faults.confirming import Confirmed
from restorations.faults.how_well import Score, benchmark_in, of_scores
from restorations.faults.models import Conclusion, FaultSheet, SheetScore
from restorations.faults.wording import probability
from tests.cast import Cast
from tests.factories import NOON
from tests.faults.builders import bench_sheet, do, see
from tests.faults.concluding import RUSTED, close, closed_sheet, found, reopen


@pytest.fixture
def followed(cast: Cast) -> FaultSheet:
    """A complaint, two looks at parts, a remedy, and gone: each with its ranking."""
    sheet = bench_sheet(cast)
    see(sheet, cast.member, "wheels_stiff", 1)
    do(sheet, cast.member, "look_at_oil_in_bearings", "not_found")
    do(sheet, cast.member, "look_at_journal@axle1", "found")
    do(sheet, cast.member, "polish_journal@axle1", "done")
    see(sheet, cast.member, "wheels_stiff", 0, reported=False)
    return sheet


def test_a_sheet_is_scored_by_the_rankings_as_they_stood(followed: FaultSheet, cast: Cast) -> None:
    opening, before_look = followed.snapshots.order_by("pk")[1:3]
    score = close(followed, cast.mentor, found(Confirmed(RUSTED, "cured"))).score
    suspected = sorted(opening.log_odds, key=lambda cause: -opening.log_odds[cause])
    named = [cause for cause in suspected if cause in {"piston_gummed@middle", "bearings_gummed", RUSTED}]
    assert score.ranks["opening"] >= named.index(RUSTED) + 1
    assert score.ranks["2"] == score.ranks["8"] == 1
    assert (score.system, score.checks) == ("motion", 2)
    p = probability(before_look.log_odds[RUSTED])
    look = followed.steps.get(cause=RUSTED, kind="inspection")
    expected = p * look.sensitivity + (1 - p) * look.false_alarm
    assert score.predictions[1] == [pytest.approx(expected, abs=1e-6), True]
    assert score.predictions[0][1] is False
    assert score.minutes_spent > 0
    assert score.minutes_even == opening.minutes_within(0.5)


def test_a_cause_on_no_list_stands_after_the_last(followed: FaultSheet, cast: Cast) -> None:
    own = Confirmed("unlisted", "seen", words="A hazel nut in the steam chest.")
    score = close(followed, cast.mentor, found(own)).score
    assert score.system == ""
    assert score.ranks["opening"] > 10


def test_only_conclusions_in_force_are_counted(cast: Cast) -> None:
    sheet = closed_sheet(cast)
    assert how_well.how_well().closed == 1
    reopen(sheet.conclusions.get(), cast.mentor2)
    assert how_well.how_well().closed == 0


def scored(rank: int, *, system: str = "motion", spent: float = 60.0) -> Score:
    ranks = {"opening": rank, "2": rank, "4": 1, "8": 1}
    predictions = (Prediction(0.75, came_true=True), Prediction(0.25, came_true=False))
    return Score("found", system, ranks, predictions, spent, 90.0, 120.0)


def test_shares_calibration_and_minutes_are_added_up_overall_and_per_system() -> None:
    found_ones = [scored(1), scored(4, spent=100.0), scored(9, system="", spent=200.0)]
    told = of_scores([*found_ones, Score("not_found", "", {}, (), 5.0, None, None)], closed=4)
    overall, (motion,) = told.overall, told.systems
    assert [line.shares[0] for line in overall.lines] == [*["1 of 3 (33%)"] * 2, *["3 of 3 (100%)"] * 2]
    assert overall.lines[0].shares == ("1 of 3 (33%)", "1 of 3 (33%)", "2 of 3 (67%)")
    assert (motion.title, motion.sheets) == ("Wheels, rods and motion", 2)
    assert (told.not_found, told.on_no_list, told.predictions) == (1, 1, 6)
    assert told.brier_score == pytest.approx(0.0625)  # by hand: a quarter off each time
    assert told.log_score == pytest.approx(0.287682072)  # ln 4 / 3, by hand
    assert overall.minutes is not None
    assert (overall.minutes.within_even, overall.minutes.within_likely) == (1, 2)


def test_the_page_says_when_there_is_little_and_asks_as_many_questions_for_ten_sheets(cast: Cast) -> None:
    browser = cast.browser("member")
    assert "No sheet is closed yet" in browser.get("/how-well/").text
    sheet = closed_sheet(cast)
    assert "Only 1 sheet." in browser.get("/how-well/").text
    with CaptureQueriesContext(connection) as one:
        browser.get("/how-well/")
    for number in range(9):
        _another(sheet, number)
    with CaptureQueriesContext(connection) as ten:
        assert "Only 10 sheets." in browser.get("/how-well/").text
    assert len(ten) == len(one)


def _another(sheet: FaultSheet, number: int) -> None:
    other = FaultSheet.objects.get(pk=sheet.pk)
    other.pk = None
    other.save()
    by = sheet.conclusions.get().closed_by
    row = Conclusion.objects.create(
        sheet=other, number=1, outcome="found", concluded_by=by, concluded_at=NOON, closed_by=by, closed_at=NOON
    )
    SheetScore.objects.create(
        conclusion=row, system="motion", ranks={"opening": number + 1}, predictions=[[0.3, False]]
    )


def test_the_shipped_benchmark_is_read_where_there_is_one(tmp_path: Path) -> None:
    file = tmp_path / "benchmark.json"
    assert benchmark_in(file, "abc") is None
    half = {"cases": 40, "first": 20, "first_3": 34, "first_5": 36, "first_within_4_checks": 37}
    written = tmp_path / "written.json"
    written.write_text(json.dumps({"knowledge": "abc", "made_on": "2026-11-25", "halves": {"motion": half}}))
    told = benchmark_in(written, "abc")
    assert told is not None
    assert told.is_of_this_knowledge
    assert told.lines[0].first_three == "34 of 40 (85%)"
