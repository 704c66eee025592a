"""The competent person: in a club with one mentor, for engine work, until a second mentor is there or its day."""

from datetime import timedelta
from typing import Any
from uuid import uuid4

import pytest
from django.utils import timezone

from restorations.engines.access import places_of
from restorations.members.models import CompetentPerson, Message, is_competent
from restorations.members.services.people import record_left, set_offices
from tests.cast import Cast
from tests.engines.sent import error_beside, once
from tests.factories import TODAY, make_engine

MONTH = timedelta(days=30)


@pytest.fixture
def one_mentor(cast: Cast) -> Cast:
    """The club once its second mentor has gone."""
    cast.mentor2.is_mentor = False
    cast.mentor2.save()
    return cast


def _named(cast: Cast, **changes: Any) -> CompetentPerson:
    plain = {"member": cast.mate, "from_on": TODAY, "until_on": TODAY + MONTH, "why": "thirty years a fitter"}
    row: CompetentPerson = CompetentPerson.objects.create(**{**plain, "named_by": cast.administrator, **changes})
    return row


def _name(cast: Cast, who: str = "mate", **changes: Any) -> Any:
    today = timezone.localdate()
    plain = {"member": cast[who].pk, "from_on": today, "until_on": today + MONTH, "why": "thirty years a fitter"}
    return cast.browser("administrator").post("/people/competent/", once(**{**plain, **changes}))


def test_the_administrator_names_one_and_they_are_told(one_mentor: Cast) -> None:
    assert _name(one_mentor).status_code == 302
    row = CompetentPerson.objects.get()
    assert (row.member, row.named_by) == (one_mentor.mate, one_mentor.administrator)
    assert is_competent(one_mentor.mate, timezone.localdate())
    assert Message.objects.get().to == one_mentor.mate
    assert "Jory Penhallick" in one_mentor.browser("stranger").get("/people/competent/").text


def test_they_stand_as_competent_towards_an_engine_and_that_is_no_mentors_place(one_mentor: Cast) -> None:
    _named(one_mentor)
    assert places_of(one_mentor.mate, make_engine(), TODAY) == {"member", "competent"}


def test_it_holds_from_its_first_day_to_the_end_of_its_last(one_mentor: Cast) -> None:
    row = _named(one_mentor)
    days = [row.from_on - timedelta(days=1), row.from_on, row.until_on, row.until_on + timedelta(days=1)]
    assert [is_competent(one_mentor.mate, day) for day in days] == [False, True, True, False]


def test_where_there_are_two_mentors_it_does_not_hold_and_nobody_can_be_named(cast: Cast) -> None:
    _named(cast)
    assert not is_competent(cast.mate, TODAY)
    assert "The club has 2 mentors" in _name(cast, "member").text
    assert CompetentPerson.objects.count() == 1


def test_a_second_mentor_ends_it_for_good(one_mentor: Cast) -> None:
    row, newcomer, by = _named(one_mentor, until_on=timezone.localdate() + MONTH), one_mentor.mentor2, one_mentor.owner
    set_offices(member=newcomer, by=by, offices=frozenset({"mentor"}), version=newcomer.version, mark=uuid4())
    row.refresh_from_db()
    assert row.struck_reason == "ended by itself: the club has a second mentor, Philippa Oxenhope"
    newcomer.refresh_from_db()
    set_offices(member=newcomer, by=by, offices=frozenset(), version=newcomer.version, mark=uuid4())
    assert not is_competent(one_mentor.mate, TODAY)


def test_a_mentor_who_comes_back_ends_it_too(one_mentor: Cast) -> None:
    _named(one_mentor, until_on=timezone.localdate() + MONTH)
    back = one_mentor.mentor2
    type(back).objects.filter(pk=back.pk).update(is_mentor=True, left_on=timezone.localdate())
    assert is_competent(one_mentor.mate, timezone.localdate())
    record_left(member=back, by=one_mentor.administrator, left_on=None, version=back.version, mark=uuid4())
    assert CompetentPerson.objects.get().is_struck


def test_it_does_not_hold_while_the_only_mentor_is_gone(one_mentor: Cast) -> None:
    _named(one_mentor)
    type(one_mentor.mentor).objects.filter(pk=one_mentor.mentor.pk).update(is_mentor=False)
    assert not is_competent(one_mentor.mate, TODAY)


@pytest.mark.parametrize(
    ("changes", "field", "words"),
    [
        ({"until_on": "2020-01-01"}, "until_on", "past"),
        ({"until_on": "2999-01-01"}, "until_on", "a year at the most"),
        ({"why": ""}, "why", "required"),
        ({"member": 987654}, "member", "choice"),
    ],
)
def test_what_is_wrong_with_a_naming_is_said(one_mentor: Cast, changes: dict[str, Any], field: str, words: str) -> None:
    response = _name(one_mentor, **changes)
    assert response.status_code == 422
    assert words in error_beside(response.text, field)
    assert not CompetentPerson.objects.exists()


@pytest.mark.parametrize("who", ["administrator", "mentor"])
def test_nobody_names_themselves_nor_a_mentor(one_mentor: Cast, who: str) -> None:
    assert _name(one_mentor, who).status_code == 422
    assert not CompetentPerson.objects.exists()


def test_there_is_one_at_a_time_and_it_can_be_ended_with_a_reason(one_mentor: Cast) -> None:
    row = _named(one_mentor, from_on=timezone.localdate(), until_on=timezone.localdate() + MONTH)
    assert "End that first" in _name(one_mentor, "member").text
    browser = one_mentor.browser("administrator")
    assert browser.post(f"/people/competent/{row.pk}/end/", once()).status_code == 422
    assert browser.post(f"/people/competent/{row.pk}/end/", once(reason="has moved away")).status_code == 302
    assert not is_competent(one_mentor.mate, timezone.localdate())
    assert "has moved away" in one_mentor.browser("mate").get("/people/competent/").text
    assert _name(one_mentor, "member").status_code == 302
