"""A sheet with 500 observations: answered in words, in bounded time, and nothing is lost."""

from itertools import cycle, islice
from typing import Any

import pytest

from restorations.faults import ranking
from restorations.faults.models import FaultSheet, Step
from restorations.faults.services.sheets import ground_of
from tests.cast import Cast
from tests.factories import NOON
from tests.faults.builders import latest, make_sheet, two_sided
from tests.faults.sent import observe, page_of

MANY = 500


def _crowded(cast: Cast, *, shown: int) -> FaultSheet:
    """Every finding of the engine looked at over and over in changing states, the first `shown` of them as so."""
    sheet = make_sheet(two_sided(cast), opened_by=cast.member)
    expanded = ground_of(sheet, at=NOON).expanded
    findings, parts = sorted(expanded.findings), [[part] for part in sorted(expanded.parts)]
    rows = islice(zip(cycle(enumerate(findings)), cycle([[], *parts]), strict=False), MANY)
    Step.objects.bulk_create(
        Step(
            sheet=sheet, number=number, kind="observation", finding=finding, level=int(place < shown),
            reported=number == 1, words=f"line {number}", state={"off": off}, happened_at=NOON, recorded_at=NOON,
            done_by=cast.member, recorded_by=cast.member, accepted_at=NOON, accepted_by=cast.member,
        )
        for number, ((place, finding), off) in enumerate(rows, start=1)
    )  # fmt: skip
    return sheet


def test_500_observations_that_all_hang_together_are_refused_in_words_and_can_be_added_to(cast: Cast) -> None:
    sheet = _crowded(cast, shown=80)
    assert observe(cast, sheet, finding="knock", level="1").status_code == 302
    assert latest(sheet).problem.startswith("Too many findings hang together")
    assert sheet.steps.count() == MANY + 1
    page = page_of(cast, sheet)
    assert "Too many findings hang together" in page
    assert "line 499" in page


def test_500_observations_of_which_few_showed_anything_are_ranked_without_the_why(
    cast: Cast, monkeypatch: pytest.MonkeyPatch
) -> None:
    def never(*args: Any, **options: Any) -> Any:
        raise AssertionError("five hundred posteriors for one page")

    monkeypatch.setattr(ranking, "weights_of_evidence", never)
    sheet = _crowded(cast, shown=4)
    assert observe(cast, sheet, finding="knock", level="1").status_code == 302
    assert (latest(sheet).problem, sheet.steps.count()) == ("", MANY + 1)
    assert latest(sheet).advice
    assert latest(sheet).weights == {}
