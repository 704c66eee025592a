"""Attempts at freeing what is stuck: the rule in words, the strip, the plot, movements as typed."""

from datetime import timedelta
from typing import Any
from xml.etree import ElementTree as ET

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.db import connection
from django.test.utils import CaptureQueriesContext
from hypothesis import given
from hypothesis import strategies as st

from restorations.tasks.gain_plot import Gained, plot_gains
from restorations.tasks.models import FreeingAttempt
from restorations.tasks.soaks import Gain, advice
from tests.cast import Cast
from tests.factories import NOON, make_engine
from tests.faults.builders import make_soak
from tests.photos.pictures import jpeg
from tests.tasks.bench_builders import make_attempt, sent

ROCKED, WEDGED = "rocked by hand", "wooden wedge"


def _tries(*gains: float, method: str = ROCKED) -> list[Gain]:
    return [Gain(method, gained) for gained in gains]


@pytest.fixture
def engine(cast: Cast) -> Any:
    return make_engine(made_by=cast.owner, owner_member=cast.owner, hands=(cast.member, cast.mate))


@pytest.mark.parametrize(
    ("attempts", "kind"),
    [
        ([], "begin"),
        (_tries(0), "again"),
        (_tries(0, 0), "again"),
        (_tries(0, 0, 0), "change"),
        (_tries(0, 0, 0, 0), "change"),
        (_tries(0, 0, 1), "keep"),
        (_tries(1, 0, 0), "again"),
        (_tries(1, 0, 0, 0), "change"),
        ([*_tries(0, 0, 0), *_tries(0, method=WEDGED)], "again"),
        ([*_tries(0, 0), *_tries(0, method="  Rocked by HAND ")], "change"),
        ([*_tries(1), Gain(ROCKED, 360.0, full_turn=True), *_tries(0)], "turned"),
    ],
)
def test_the_rule_of_three_attempts(attempts: list[Gain], kind: str) -> None:
    assert advice(attempts).kind == kind


@given(st.lists(st.tuples(st.sampled_from([ROCKED, WEDGED]), st.floats(0.0, 9.0), st.booleans()), max_size=12))
def test_air_is_never_advised_and_a_full_turn_is_never_forgotten(tries: list[tuple[str, float, bool]]) -> None:
    said = advice([Gain(*one) for one in tries])
    assert (said.kind == "turned") == any(turned for _, _, turned in tries)
    assert "air" not in said.words.casefold() or "Do not connect air" in said.words


def test_an_attempt_is_written_down_as_typed_and_in_the_units_it_is_compared_in(cast: Cast, engine: Any) -> None:
    soak = make_soak(engine, cast.member)
    form = sent(place="left", method=ROCKED, push="strong", forward="1/16 in", back="0", note="a crack, then it moved")
    assert cast.browser("member").post(f"/engines/{engine.pk}/freeing/", form).status_code == 302
    row = FreeingAttempt.objects.get()
    assert (row.forward_typed, row.forward_mm, row.back_typed, row.back_mm) == ("1/16 in", 1.5875, "0", 0.0)
    assert (row.forward_deg, row.soak) == (None, soak)


@pytest.mark.parametrize(("forward", "back"), [("5 deg", "0"), ("0", "5 deg"), ("5°", "0 mm")])
def test_nothing_gained_takes_the_measure_of_the_other_way(cast: Cast, engine: Any, forward: str, back: str) -> None:
    form = sent(place="left", method=ROCKED, push="stiff", forward=forward, back=back)
    assert cast.browser("member").post(f"/engines/{engine.pk}/freeing/", form).status_code == 302
    row = FreeingAttempt.objects.get()
    assert (row.forward_deg, row.back_deg) == pytest.approx((5.0, 0.0) if forward.startswith("5") else (0.0, 5.0))
    assert row.forward_mm is row.back_mm is None


@pytest.mark.parametrize(
    ("forward", "back", "words"),
    [
        ("5 deg", "2 mm", "both in mm, or both in degrees"),
        ("2", "0", "Add the unit"),
        ("0,5 mm", "0", "Use a point, not a comma: 0.5 mm."),
        ("-2 mm", "0", "outside what is possible"),
        ("400 deg", "0", "outside what is possible"),
        ("5 psi", "0", "unit of pressure"),
        ("", "0", "This field is required."),
    ],
    ids=["two measures", "no unit", "comma", "negative", "more than a turn", "pressure", "left open"],
)
def test_a_movement_that_cannot_be_read_is_refused_with_the_fix(
    cast: Cast, engine: Any, forward: str, back: str, words: str
) -> None:
    form = sent(place="left", method="my own way", push="stiff", forward=forward, back=back)
    response = cast.browser("member").post(f"/engines/{engine.pk}/freeing/", form)
    page = response.content.decode()
    assert response.status_code == 422
    assert words in page
    assert "my own way" in page
    assert not FreeingAttempt.objects.exists()


def test_the_page_says_what_the_rule_calls_for_and_helpers_attempts_do_not_count_yet(cast: Cast, engine: Any) -> None:
    for hours in range(2):
        make_attempt(engine, cast.member, at=NOON + timedelta(hours=hours))
    helpers = make_attempt(engine, cast.stranger, stands=False, at=NOON + timedelta(hours=3))
    browser, address = cast.browser("mate"), f"/engines/{engine.pk}/freeing/"
    assert "try once more this way" in browser.get(address).content.decode()
    browser.post(f"/attempts/{helpers.pk}/accept/", sent())
    assert "ask a mentor first" in browser.get(address).content.decode()


def test_a_photo_is_laid_over_the_one_before_and_the_last_is_shown_for_the_next(cast: Cast, engine: Any) -> None:
    browser, address = cast.browser("member"), f"/engines/{engine.pk}/freeing/"
    for _ in range(2):
        photo = SimpleUploadedFile("spot.jpg", jpeg(64, 48), "image/jpeg")
        form = sent(place="left", method=ROCKED, push="strong", forward="1 mm", back="0", photos=photo)
        assert browser.post(address, form).status_code == 302
    page = browser.get(address).content.decode()
    assert page.count('class="ghost"') == 1
    assert "Hold the phone where this one was taken" in page


def test_the_first_full_turn_asks_for_stiffness_and_forbids_air(cast: Cast, engine: Any) -> None:
    make_attempt(engine, cast.member, forward="300 deg", back="60 deg", full_turn=True)
    page = cast.browser("member").get(f"/engines/{engine.pk}/freeing/").content.decode()
    assert "measure how stiff it is now, all the way round. Do not connect air." in page


def test_the_plot_is_drawn_once_something_moved_and_its_table_stands_beside_it(cast: Cast, engine: Any) -> None:
    browser, address = cast.browser("member"), f"/engines/{engine.pk}/freeing/"
    make_attempt(engine, cast.member)
    assert "<svg" not in browser.get(address).content.decode()
    make_attempt(engine, cast.member, forward="2 deg", back="1 deg", at=NOON + timedelta(hours=1))
    page = browser.get(address).content.decode()
    assert "it moves 2 deg forward and 1 deg back" in page
    assert " style=" not in page
    assert "2 deg" in page.split("<table")[1]


def test_a_plot_is_lawful_markup_and_none_where_nothing_moved() -> None:
    assert plot_gains([Gained(0.0, 0.0)] * 3, "mm") is None
    drawn = plot_gains([Gained(1.0, 0.5)] * 40, "mm")
    assert drawn is not None
    said = ET.fromstring(drawn).attrib["aria-label"]  # noqa: S314 - our own drawing
    assert "it moves 40 mm forward and 20 mm back" in said


def test_the_page_asks_as_many_questions_for_ten_attempts_as_for_one(cast: Cast, engine: Any) -> None:
    browser, counts = cast.browser("member"), []
    for hours in (range(1), range(1, 10)):
        for hour in hours:
            make_attempt(engine, cast.member, at=NOON + timedelta(hours=hour))
        with CaptureQueriesContext(connection) as asked:
            browser.get(f"/engines/{engine.pk}/freeing/")
        counts.append(len(asked))
    assert counts[0] == counts[1]
