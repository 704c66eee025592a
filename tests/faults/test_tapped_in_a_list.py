"""A thing seen is recorded where it is listed: one button says which and how much."""

import pytest

from restorations.faults.models import Step
from tests.cast import Cast
from tests.faults.builders import bench_sheet, make_sheet, two_sided
from tests.faults.sent import post, trouble


def test_one_tap_records_which_and_how_much(cast: Cast) -> None:
    sheet = bench_sheet(cast)
    response = post(cast, "member", f"/sheets/{sheet.pk}/observe/", seen="wheels_stiff:2", reported="yes")
    assert response.status_code == 302
    step = Step.objects.get()
    assert (step.finding, step.level, step.reported) == ("wheels_stiff", 2, True)


@pytest.mark.parametrize("seen", ["", ":", "wheels_stiff", "wheels_stiff:", "wheels_stiff:9", "nothing:1", "a:b:c"])
def test_a_button_nobody_was_shown_is_answered_in_words(cast: Cast, seen: str) -> None:
    sheet = bench_sheet(cast)
    response = post(cast, "member", f"/sheets/{sheet.pk}/observe/", seen=seen, reported="yes")
    assert response.status_code == 422
    assert trouble(response)
    assert not Step.objects.exists()


def test_a_tap_on_the_right_side_lists_that_sides_places(cast: Cast) -> None:
    sheet = make_sheet(two_sided(cast), opened_by=cast.member)
    text = cast.browser("member").get(f"/sheets/{sheet.pk}/findings/?region=cylinders&side=right").text
    assert "cylinders, right side" in text
    assert "@right" in text
    assert "@left" not in text
