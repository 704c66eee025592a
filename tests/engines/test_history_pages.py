"""An engine's past: answers per system, and work done before it came."""

from typing import Any

import pytest

from restorations.engines.facts import history_of
from restorations.engines.models import Engine, PastWork
from restorations.engines.models.history import GENERAL, SYSTEMS
from restorations.knowledge import load
from restorations.members.models import Act
from tests.cast import Cast
from tests.engines.sent import HTMX, error_beside, names_asked, once, said_in_box, told
from tests.factories import NOON, make_engine


def _engine(cast: Cast) -> Engine:
    return make_engine(hands=(cast.member, cast.mate))


def _answer(cast: Cast, engine: Engine, system: str = "", **answers: Any) -> Any:
    address = f"/engines/{engine.pk}/history/" + (f"?system={system}" if system else "")
    return cast.browser("member").post(address, once(**answers))


def test_the_systems_are_those_of_the_knowledge() -> None:
    known = load()
    assert {cause.system for cause in known.causes.values()} <= set(SYSTEMS) - {GENERAL}


def test_nothing_answered_is_not_known(cast: Cast) -> None:
    history = history_of(_engine(cast))
    assert history.general.ever_ran == "not_known"
    assert history.by_system == {}


def test_answers_reach_the_knowledge(cast: Cast) -> None:
    engine = _engine(cast)
    answers = {"ever_ran": "yes", "years": "12.5", "stored": ["damp", "oiled"], "why_stopped": "pump split"}
    assert _answer(cast, engine, **answers).status_code == 302
    general = history_of(engine).general
    assert (general.ever_ran, general.years, general.stored) == ("yes", 12.5, {"damp", "oiled"})
    assert general.why_stopped == "pump split"


def test_a_system_differs_and_later_follows_the_whole_engine_again(cast: Cast) -> None:
    engine = _engine(cast)
    _answer(cast, engine, ever_ran="yes")
    _answer(cast, engine, "cylinders", ever_ran="yes", rebuilt_since="yes", first_run_done="no")
    assert history_of(engine).answers("cylinders").first_run_done == "no"
    assert history_of(engine).answers("motion").rebuilt_since == "not_known"
    _answer(cast, engine, "cylinders", follow="1")
    assert history_of(engine).by_system == {}
    assert engine.histories.count() == 3


def test_the_latest_answer_counts_and_earlier_ones_stay(cast: Cast) -> None:
    engine = _engine(cast)
    _answer(cast, engine, ever_ran="no")
    _answer(cast, engine, ever_ran="yes")
    assert history_of(engine).general.ever_ran == "yes"
    assert [row.ever_ran for row in engine.histories.order_by("pk")] == ["no", "yes"]
    assert Act.objects.about(engine).count() == 2


@pytest.mark.parametrize(
    ("answers", "asked", "not_asked"),
    [
        ({}, "ran_well_when_put_away", "first_run_done"),
        ({"ever_ran": "no"}, "rebuilt_since", "ran_well_when_put_away"),
        ({"rebuilt_since": "yes"}, "first_run_done", "nothing"),
    ],
)
def test_only_what_can_be_is_asked(cast: Cast, answers: dict[str, str], asked: str, not_asked: str) -> None:
    page = _answer(cast, _engine(cast), show="1", **answers).text
    assert asked in names_asked(page)
    assert not_asked not in names_asked(page)


def test_a_rebuild_brings_up_the_question_whether_it_has_run_since(cast: Cast) -> None:
    engine = _engine(cast)
    browser = cast.browser("member")
    response = browser.post(f"/engines/{engine.pk}/history/?system=motion", once(rebuilt_since="yes"))
    assert response.url.endswith("?system=motion")
    assert "One more question" in told(browser)


@pytest.mark.parametrize(
    ("answers", "field", "words"),
    [
        ({"years": "12,5"}, "years", "plain number with a point"),
        ({"years": "nan"}, "years", "plain number with a point"),
        ({"years": "-1"}, "years", "greater than or equal to 0"),
        ({"stored": ["dry", "damp"]}, "stored", "Damp and dry cannot both be so"),
        ({"why_stopped": "x" * 10000}, "why_stopped", "at most 200"),
        ({"ever_ran": "perhaps"}, "ever_ran", "not one of the available"),
    ],
)
def test_an_answer_that_cannot_be_is_refused_in_words(
    cast: Cast, answers: dict[str, Any], field: str, words: str
) -> None:
    engine = _engine(cast)
    response = _answer(cast, engine, **answers)
    assert response.status_code == 422
    assert words in error_beside(response.text, field)
    assert not engine.histories.exists()


def test_what_was_typed_is_kept_beside_its_error(cast: Cast) -> None:
    page = _answer(cast, _engine(cast), years="12,5").text
    assert said_in_box(page, "years") == "12,5"


def test_an_invented_system_is_not_there(cast: Cast) -> None:
    assert _answer(cast, _engine(cast), "teapot").status_code == 404


def _write(cast: Cast, engine: Engine, name: str = "member", **changes: Any) -> Any:
    data = {"text": "New gland packing", "year": "1998", "by": "previous owner", **changes}
    return cast.browser(name).post(f"/engines/{engine.pk}/past-work/", once(**data))


@pytest.mark.parametrize(
    ("when", "precision", "shown"),
    [
        ({}, "year", "1998"),
        ({"about": "on"}, "about", "about 1998"),
        ({"month": "5"}, "month", "May 1998"),
        ({"month": "5", "day": "7"}, "day", "7 May 1998"),
    ],
)
def test_past_work_is_dated_as_exactly_as_it_is_known(
    cast: Cast, when: dict[str, str], precision: str, shown: str
) -> None:
    engine = _engine(cast)
    assert _write(cast, engine, **when).status_code == 302
    row = PastWork.objects.get()
    assert (row.happened_precision, row.doer, row.recorded_by) == (precision, "previous owner", cast.member)
    assert f">{shown}<" in cast.browser("stranger").get(f"/engines/{engine.pk}/past-work/").text


@pytest.mark.parametrize(
    ("changes", "field", "words"),
    [
        ({"year": "2998"}, "year", "yet to come"),
        ({"year": "98"}, "year", "greater than or equal to 1800"),
        ({"year": "MCMXCVIII"}, "year", "Enter a whole number"),
        ({"year": "9" * 400}, "year", "less than or equal to 9999"),
        ({"month": "2", "day": "30"}, "day", "no such day"),
        ({"day": "3"}, "month", "Give the month too"),
        ({"text": ""}, "text", "required"),
        ({"text": "x" * 10000}, "text", "at most 2000"),
        ({"by": ""}, "by", "required"),
    ],
)
def test_past_work_that_cannot_be_is_refused(cast: Cast, changes: dict[str, str], field: str, words: str) -> None:
    response = _write(cast, _engine(cast), **changes)
    assert response.status_code == 422
    assert words in error_beside(response.text, field)
    assert not PastWork.objects.exists()


def test_the_same_line_twice_is_one_line(cast: Cast) -> None:
    engine, data = _engine(cast), once(text="Painted", year="1998", by="previous owner")
    for _ in range(2):
        cast.browser("member").post(f"/engines/{engine.pk}/past-work/", data)
    assert PastWork.objects.count() == 1


def _line(engine: Engine, cast: Cast) -> PastWork:
    return engine.past_work.create(
        text="Painted", happened_at=NOON, done_by_name="previous owner", recorded_by=cast.member
    )


def test_a_struck_line_stays_readable_with_its_reason(cast: Cast) -> None:
    engine = _engine(cast)
    row = _line(engine, cast)
    address = f"/engines/{engine.pk}/past-work/{row.pk}/strike/"
    assert cast.browser("mentor").post(address, once(reason="another engine")).status_code == 302
    row.refresh_from_db()
    page = cast.browser("stranger").get(f"/engines/{engine.pk}/past-work/").text
    assert (row.is_struck, row.struck_by) == (True, cast.mentor)
    assert "Painted" in page
    assert "another engine" in page


def test_striking_out_needs_a_reason_and_happens_once(cast: Cast) -> None:
    engine = _engine(cast)
    address = f"/engines/{engine.pk}/past-work/{_line(engine, cast).pk}/strike/"
    without = cast.browser("member").post(address, once(reason=""), headers=HTMX)
    assert without.status_code == 422
    assert without.text.strip().startswith('<div id="past-work-desk">')
    assert "Say why in a few words" in without.text
    cast.browser("member").post(address, once(reason="wrong"))
    again = cast.browser("member").post(address, once(reason="wrong again"))
    assert again.status_code == 422
    assert PastWork.objects.get().struck_reason == "wrong"


def test_a_line_of_another_engine_is_not_struck_from_here(cast: Cast) -> None:
    row = _line(_engine(cast), cast)
    other = make_engine(hands=(cast.member,))
    response = cast.browser("member").post(f"/engines/{other.pk}/past-work/{row.pk}/strike/", once(reason="wrong"))
    assert response.status_code == 404
