"""Readings: kept as typed, compared in one unit, spread of repeats, wrong units refused, known good of a sister."""

from datetime import date, timedelta
from typing import Any

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from hypothesis import given
from hypothesis import strategies as st

from restorations.engines.models import Design
from restorations.tasks.measuring import (
    MOST_REPEATS,
    SHOWN,
    WHATS,
    difference_in_words,
    in_shown_unit,
    read_line,
    read_repeats,
    shown_value,
)
from restorations.tasks.models import Reading
from restorations.tasks.plots import days_named, plot_over_time
from restorations.web.units import EXAMPLES, UNITS, NotAQuantity
from tests.cast import Cast
from tests.factories import NOON, make_engine
from tests.tasks.work_builders import error_beside, make_reading, once

UNITS_AND_KINDS = [(unit, kind) for kind, names in UNITS.items() for unit in names]
numbers = st.decimals(min_value="0.001", max_value="9999", places=3, allow_nan=False, allow_infinity=False)


def _write(cast: Cast, engine: Any, who: str = "member", **data: Any) -> Any:
    said = {"what": "cylinder bore", "where": "left", "value": "28.6 mm", **data}
    return cast.browser(who).post(f"/engines/{engine.pk}/readings/", once(**said))


@given(number=numbers, unit=st.sampled_from(UNITS_AND_KINDS))
def test_any_number_with_any_unit_is_read_by_its_unit_and_kept_as_typed(number: Any, unit: tuple[str, str]) -> None:
    typed = f"{number} {unit[0]}"
    measured = read_repeats(typed)
    assert measured == read_repeats(typed, unit[1])
    assert (measured.typed, measured.dimension, len(measured.values_si)) == (typed, unit[1], 1)


@given(number=numbers, unit=st.sampled_from(UNITS_AND_KINDS), other=st.sampled_from(sorted(UNITS)))
def test_a_unit_of_the_wrong_kind_is_refused_and_both_kinds_are_named(
    number: Any, unit: tuple[str, str], other: str
) -> None:
    if other != unit[1]:
        with pytest.raises(NotAQuantity, match=rf"is a unit of {unit[1]}; a {other} is wanted"):
            read_repeats(f"{number} {unit[0]}", other)


@given(number=numbers, kind=st.sampled_from(sorted(SHOWN)))
def test_what_is_shown_for_comparison_reads_back_to_the_same_value(number: Any, kind: str) -> None:
    unit, _, places = SHOWN[kind]
    si = read_repeats(f"{number} {unit}", kind).mean_si
    again = read_repeats(in_shown_unit(si, kind).replace("\u00a0", " "), kind).mean_si
    # Rounded once to the places shown: half a unit in the last of them.
    assert abs(shown_value(again, kind) - shown_value(si, kind)) <= 0.5 * 10**-places * (1 + 1e-6)


@given(values=st.lists(numbers, min_size=1, max_size=MOST_REPEATS), unit=st.sampled_from(["mm", "in", "psi", "lbf"]))
def test_repeats_lie_between_least_and_most_and_share_the_last_unit(values: list[Any], unit: str) -> None:
    measured = read_repeats("; ".join(map(str, values)) + f" {unit}")
    singly = [read_repeats(f"{value} {unit}").mean_si for value in values]
    assert measured.values_si == tuple(singly)
    assert measured.least_si <= measured.mean_si * (1 + 1e-12)
    assert measured.mean_si <= measured.most_si * (1 + 1e-12)


@given(whole=st.integers(0, 99), top=st.integers(0, 63), bottom=st.sampled_from([2, 4, 8, 16, 32, 64]))
def test_a_mixed_fraction_of_an_inch_is_what_it_says(whole: int, top: int, bottom: int) -> None:
    read = read_repeats(f"{whole} {top}/{bottom} in").mean_si
    assert read == pytest.approx((whole + top / bottom) * 0.0254, abs=1e-12)  # an inch is 25.4 mm by definition


def _refusal(read: Any, text: str) -> str | None:
    """What it says where it refuses; None where it reads. Anything else it raises is an error."""
    try:
        read(text)
    except NotAQuantity as refused:
        return str(refused)
    return None


@given(text=st.text(max_size=60))
def test_whatever_is_typed_is_read_or_refused_in_words(text: str) -> None:
    told = [_refusal(read, text) for read in (read_repeats, read_line)]
    assert all(words is None or words.endswith((".", "”")) for words in told)


@pytest.mark.parametrize(
    ("line", "what", "where", "values"),
    [
        ("cylinder bore, left = 28.6 mm", "cylinder bore", "left", 1),
        ("axle play, up and down, left front = 4 thou", "axle play, up and down", "left front", 1),
        ("Axle side play = 4; 5; 4 thou", "axle side play", "", 3),
        ("gap at the chimney = 1/8 in", "gap at the chimney", "", 1),
    ],
)
def test_a_line_of_the_day_book_is_parted(line: str, what: str, where: str, values: int) -> None:
    read = read_line(line)
    assert (read.what, read.where, len(read.measured.values_si)) == (what, where, values)


def test_everything_in_the_list_has_a_unit_to_be_shown_in() -> None:
    assert {*WHATS.values()} <= {*SHOWN}
    assert {*SHOWN} <= {*EXAMPLES}


def test_a_difference_is_said_in_the_unit_of_comparison() -> None:
    assert difference_in_words(0.0287, 0.0286, "length") == "0.1\u00a0mm more"
    assert difference_in_words(0.0286, 0.0287, "length") == "0.1\u00a0mm less"
    assert difference_in_words(293.15, 293.15, "temperature") == "the same"
    assert difference_in_words(303.15, 293.15, "temperature") == "10\u00a0°C more"


def test_a_reading_keeps_what_was_typed_and_the_spread_of_its_repeats(cast: Cast) -> None:
    engine = make_engine(hands=(cast.member,))
    assert _write(cast, engine, value="1 1/8 in; 28.6 mm", state="cold").status_code == 302
    reading = Reading.objects.get()
    assert (reading.typed, reading.repeats, reading.state) == ("1 1/8 in; 28.6 mm", 2, "cold")
    assert reading.least_si == pytest.approx(0.028575)
    page = cast.browser("member").get(reading.get_absolute_url()).text
    assert "1 1/8 in; 28.6 mm" in page
    assert "28.575\u00a0mm to 28.6\u00a0mm" in page


@pytest.mark.parametrize(
    ("value", "words"),
    [
        ("90 psi", "“psi” is a unit of pressure; a length is wanted"),
        ("1 1/ in", "not a number with a unit"),
        ("1,5 mm", "Use a point, not a comma: 1.5 mm"),
        ("28.6", "Add the unit"),
        ("9**9**9 mm", "not a number with a unit"),
        ("28.6;" * 20 + "28.6 mm", "up to 12"),
    ],
)
def test_a_value_that_cannot_be_is_refused_beside_its_box(cast: Cast, value: str, words: str) -> None:
    engine = make_engine(hands=(cast.member,))
    response = _write(cast, engine, value=value)
    assert response.status_code == 422
    assert words in response.text
    assert f'value="{value}"' in response.text
    assert not Reading.objects.exists()


def test_what_is_typed_freely_keeps_the_kind_of_unit_it_had(cast: Cast) -> None:
    engine = make_engine(hands=(cast.member,))
    assert _write(cast, engine, what="gap at the chimney", value="2 mm").status_code == 302
    refused = _write(cast, engine, what="Gap at the  chimney", value="2 psi")
    assert "a length is wanted" in error_beside(refused.text, "value")


def test_one_kind_is_shown_over_time_with_all_its_readings_in_the_table(cast: Cast) -> None:
    engine = make_engine(hands=(cast.member,))
    make_reading(engine, cast.member, "28.6 mm", at=NOON - timedelta(days=30))
    last = make_reading(engine, cast.member, "28.7 mm; 28.8 mm")
    make_reading(engine, cast.member, "28.9 mm", where="right")
    page = cast.browser("member").get(last.get_absolute_url()).text
    assert page.count('<tr id="reading-') == 2
    assert "28.9 mm" not in page
    assert 'role="img"' in page
    assert "the last 28.75\u00a0mm" in page


def test_a_chart_has_no_inline_style_and_takes_no_words_for_markup(cast: Cast) -> None:
    engine = make_engine(hands=(cast.member,))
    reading = make_reading(engine, cast.member, what="<script>alert(1)</script>", where="a&b")
    chart = plot_over_time([reading], reading)
    assert "style=" not in chart
    assert "<style" not in chart
    assert "<script" not in chart
    assert "a&amp;b" in chart
    assert 'stroke="currentColor"' in chart


def test_a_series_of_another_engine_is_not_there(cast: Cast) -> None:
    engine, other = make_engine(), make_engine(name="Rail")
    reading = make_reading(other, cast.member)
    for asked in (str(reading.pk), "", "x", "9" * 30):
        assert cast.browser("member").get(f"/engines/{engine.pk}/readings/series/?reading={asked}").status_code == 404


def _sisters(cast: Cast, **changes: Any) -> tuple[Any, Any]:
    design = Design.objects.create(name="Marsh Warbler")
    return make_engine(hands=(cast.member,), design=design), make_engine(name="Rail", design=design, **changes)


def test_a_reading_stands_beside_the_known_good_one_of_a_sister_and_who_measured_it(cast: Cast) -> None:
    engine, sister = _sisters(cast, hands=(cast.mate,))
    good = make_reading(sister, cast.mate, "28.6 mm")
    assert cast.browser("mate").post(f"/readings/{good.pk}/known-good/", once(known_good="yes")).status_code == 302
    own = make_reading(engine, cast.member, "28.9 mm")
    for address in (own.get_absolute_url(), f"/engines/{engine.pk}/readings/"):
        page = cast.browser("member").get(address).text
        assert "28.6 mm" in page
        assert "Rail" in page
        assert "Jory Penhallick" in page
        assert "0.3\u00a0mm more" in page


def test_known_good_is_taken_back(cast: Cast) -> None:
    engine, sister = _sisters(cast)
    good = make_reading(sister, cast.mate)
    browser = cast.browser("mentor")
    browser.post(f"/readings/{good.pk}/known-good/", once(known_good="yes"))
    browser.post(f"/readings/{good.pk}/known-good/", once(known_good="no"))
    own = make_reading(engine, cast.member)
    assert "Nobody has named a known-good value" in browser.get(own.get_absolute_url()).text


def test_a_private_sisters_known_good_is_not_shown(cast: Cast) -> None:
    engine, sister = _sisters(cast, is_private=True, owner_member=cast.owner)
    good = make_reading(sister, cast.owner, "27.1 mm")
    cast.browser("owner").post(f"/readings/{good.pk}/known-good/", once(known_good="yes"))
    own = make_reading(engine, cast.member)
    assert "27.1 mm" not in cast.browser("member").get(own.get_absolute_url()).text


@pytest.mark.parametrize(("stands", "has_design"), [(False, True), (True, False)])
def test_known_good_needs_a_standing_reading_and_a_design(cast: Cast, stands: bool, has_design: bool) -> None:
    engine = _sisters(cast)[0] if has_design else make_engine(hands=(cast.member,))
    reading = make_reading(engine, cast.member, stands=stands)
    cast.browser("member").post(f"/readings/{reading.pk}/known-good/", once(known_good="yes"))
    reading.refresh_from_db()
    assert reading.known_good_for is None


def test_a_struck_reading_is_out_of_the_chart_and_stays_in_the_table(cast: Cast) -> None:
    engine = make_engine(hands=(cast.member,))
    reading = make_reading(engine, cast.member, "28.6 mm")
    browser = cast.browser("member")
    assert browser.post(f"/readings/{reading.pk}/strike/", once(reason="misread")).status_code == 302
    page = browser.get(reading.get_absolute_url()).text
    assert "<s>28.6 mm</s>" in page
    assert "misread" in page
    assert 'role="img"' not in page


def test_a_helpers_reading_waits_and_is_accepted(cast: Cast) -> None:
    engine = make_engine(hands=(cast.member,))
    _write(cast, engine, "stranger")
    reading = Reading.objects.get()
    assert not reading.stands
    cast.browser("member").post(f"/readings/{reading.pk}/accept/", once())
    reading.refresh_from_db()
    assert reading.stands


@pytest.mark.parametrize("page", ["readings/", "readings/series/?reading={}"])
def test_pages_of_readings_ask_the_same_for_one_and_for_twenty(cast: Cast, page: str) -> None:
    engine, sister = _sisters(cast, hands=(cast.mate,))
    good = make_reading(sister, cast.mate)
    cast.browser("mate").post(f"/readings/{good.pk}/known-good/", once(known_good="yes"))
    first = make_reading(engine, cast.member)
    browser = cast.browser("member")

    def asked() -> int:
        with CaptureQueriesContext(connection) as queries:
            browser.get(f"/engines/{engine.pk}/{page.format(first.pk)}")
        return len(queries)

    one = asked()
    for number in range(20):
        make_reading(engine, cast.member, f"{number} mm", where="left" if number % 2 else f"left {number}")
    assert asked() == one


@given(first=st.dates(date(1900, 1, 1), date(2090, 1, 1)), days=st.integers(0, 50_000))
def test_a_few_days_are_named_along_the_foot_of_a_chart(first: date, days: int) -> None:
    last = first + timedelta(days=days)
    named = days_named(first, last)
    assert named[0] == first
    assert named[-1] <= last
    assert len(set(named)) == len(named) <= 5
