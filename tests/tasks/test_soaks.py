"""Soaks: begun, looked after, over; reminders once each; what waiting and trying again do for a remedy."""

from datetime import timedelta
from io import StringIO
from typing import Any

import pytest
from django.core.management import call_command
from django.utils import timezone
from hypothesis import given
from hypothesis import strategies as st

from restorations.faults.facts import bench_facts
from restorations.members.models import Message
from restorations.tasks.models import Soak
from restorations.tasks.services import queue_due_reminders, soaked_at
from restorations.tasks.soaks import LIMIT, remedy_success
from tests.cast import Cast
from tests.factories import NOON, TODAY, make_engine
from tests.faults.builders import do, make_sheet, make_soak
from tests.tasks.bench_builders import make_attempt, sent

DAY = timedelta(days=1)
SHARES = st.floats(0.0, 0.94)
DAYS = st.floats(0.0, 400.0)
ATTEMPTS = st.integers(0, 100)


@pytest.fixture
def engine(cast: Cast) -> Any:
    return make_engine(made_by=cast.owner, owner_member=cast.owner, hands=(cast.member, cast.mate))


def _typed(moment: Any) -> str:
    return timezone.localtime(moment).strftime("%Y-%m-%dT%H:%M")


def test_a_soak_is_begun_with_what_to_do_meanwhile(cast: Cast, engine: Any) -> None:
    form = sent(
        place="left", fluid="steam oil", due_at="2090-01-05T10:00", care="Top up", next_care_at="2090-01-02T10:00"
    )
    assert cast.browser("member").post(f"/engines/{engine.pk}/soaks/", form).status_code == 302
    soak = Soak.objects.get()
    assert (soak.care, soak.next_care_at.day) == ("Top up", 2)


@pytest.mark.parametrize(
    ("change", "words"),
    [
        ({"due_at": "2020-01-01T10:00"}, "ends later than now"),
        ({"next_care_at": "2020-01-01T10:00"}, "That is past"),
        ({"care": "Top up"}, "Say when to top up."),
        ({"due_at": "soon"}, "Enter a valid date/time."),
        ({"place": "tender"}, "tender"),
    ],
    ids=["over before it began", "care in the past", "care without a time", "no moment", "no such place"],
)
def test_a_soak_that_cannot_be_is_refused_and_what_was_typed_is_kept(
    cast: Cast, engine: Any, change: dict[str, str], words: str
) -> None:
    form = sent(**{"place": "left", "fluid": "my own brew", "due_at": "2090-01-05T10:00", **change})
    response = cast.browser("member").post(f"/engines/{engine.pk}/soaks/", form)
    assert response.status_code == 422
    assert words in response.content.decode()
    assert "my own brew" in response.content.decode()
    assert not Soak.objects.exists()


def test_a_soak_does_not_end_before_it_began(cast: Cast, engine: Any) -> None:
    soak = make_soak(engine, cast.member, begun_at=timezone.now() - DAY, due_at=timezone.now() + DAY)
    form = sent(ended_at=_typed(soak.begun_at - DAY))
    response = cast.browser("member").post(f"/soaks/{soak.pk}/end/", form)
    assert response.status_code == 422
    assert "It cannot end before it began" in response.content.decode()
    soak.refresh_from_db()
    assert soak.is_under_way


def test_a_soak_does_not_end_in_days_to_come(cast: Cast, engine: Any) -> None:
    soak = make_soak(engine, cast.member)
    response = cast.browser("member").post(f"/soaks/{soak.pk}/end/", sent(ended_at="2090-01-01T10:00"))
    assert response.status_code == 422
    assert "still to come" in response.content.decode()


def test_the_heat_gate_stays_shut_until_one_of_the_hands_accepts_a_helpers_word(cast: Cast, engine: Any) -> None:
    soak = make_soak(engine, cast.member)
    cast.browser("stranger").post(f"/soaks/{soak.pk}/end/", sent())
    assert bench_facts(engine, on=TODAY).volatile_solvent
    cast.browser("mate").post(f"/soaks/{soak.pk}/accept/", sent())
    assert not bench_facts(engine, on=TODAY).volatile_solvent


def test_a_soak_a_helper_called_over_that_is_not_goes_on(cast: Cast, engine: Any) -> None:
    soak = make_soak(engine, cast.member)
    cast.browser("stranger").post(f"/soaks/{soak.pk}/end/", sent())
    cast.browser("mate").post(f"/soaks/{soak.pk}/refuse/", sent())
    soak.refresh_from_db()
    assert (soak.ended_at, soak.ending_waits) == (None, False)


def test_the_second_of_two_who_end_it_is_told(cast: Cast, engine: Any) -> None:
    soak = make_soak(engine, cast.member)
    cast.browser("member").post(f"/soaks/{soak.pk}/end/", sent())
    response = cast.browser("mate").post(f"/soaks/{soak.pk}/end/", sent())
    assert response.status_code == 422
    assert "This soak was ended already." in response.content.decode()


def test_a_reminder_goes_once_to_whoever_began_it_and_the_hands(cast: Cast, engine: Any) -> None:
    make_soak(engine, cast.member, care="Top up", next_care_at=NOON + DAY)
    assert queue_due_reminders(NOON) == 0
    assert [queue_due_reminders(NOON + DAY) for _ in range(3)] == [1, 0, 0]
    assert {message.to for message in Message.objects.all()} == {cast.member, cast.mate}
    message = Message.objects.first()
    assert "Due now: Top up." in message.body
    assert f"/engines/{engine.pk}/soaks/" in message.body


def test_topped_up_the_next_reminder_is_for_the_next_time(cast: Cast, engine: Any) -> None:
    now = timezone.now()
    soak = make_soak(engine, cast.member, care="Top up", next_care_at=now - DAY, due_at=now + 9 * DAY)
    queue_due_reminders(now)
    cast.browser("member").post(f"/soaks/{soak.pk}/care/", sent(next_care_at=_typed(now + 2 * DAY)))
    assert queue_due_reminders(now + DAY) == 0
    assert queue_due_reminders(now + 3 * DAY) == 1


def test_the_end_of_its_time_is_said_once_and_never_of_a_soak_that_is_over(cast: Cast, engine: Any) -> None:
    make_soak(engine, cast.member)
    make_soak(engine, cast.member, place="right", ended_at=NOON + DAY, ended_by=cast.member)
    assert [queue_due_reminders(NOON + 30 * DAY) for _ in range(2)] == [1, 0]
    assert "The time it was to soak is over" in Message.objects.first().body


def test_nobody_who_left_and_nobody_without_an_address_is_written_to(cast: Cast, engine: Any) -> None:
    make_soak(engine, cast.member)
    type(cast.member).objects.filter(pk=cast.member.pk).update(left_on=timezone.localdate())
    type(cast.mate).objects.filter(pk=cast.mate.pk).update(email="")
    queue_due_reminders(NOON + 30 * DAY)
    assert not Message.objects.exists()


def test_send_messages_writes_and_sends_what_is_due(cast: Cast, engine: Any, mailoutbox: Any) -> None:
    make_soak(engine, cast.member)
    for _ in range(2):
        call_command("send_messages", stdout=StringIO())
    assert len(mailoutbox) == 2
    assert mailoutbox[0].subject == "Wren: left side is soaking"


@given(base=SHARES, days=DAYS, more_days=DAYS, attempts=ATTEMPTS, more_attempts=ATTEMPTS)
def test_success_never_falls_with_soaking_or_trying_and_stays_below_its_limit(
    base: float, days: float, more_days: float, attempts: int, more_attempts: int
) -> None:
    before = remedy_success(base, days, attempts)
    after = remedy_success(base, days + more_days, attempts + more_attempts)
    assert base - 1e-12 <= before <= after + 1e-12
    assert after < LIMIT


@pytest.mark.parametrize("base", [0.0, 0.75, 0.95, 0.99])
def test_a_remedy_just_begun_keeps_the_chance_the_knowledge_gives_it(base: float) -> None:
    assert remedy_success(base, 0.0, 0) == pytest.approx(base, abs=1e-12)
    assert remedy_success(base, -3.0, 0) == pytest.approx(base, abs=1e-12)


def test_a_fortnight_more_takes_away_all_but_a_third_of_what_was_left() -> None:
    # 0.95 - 0.20 / e, by hand.
    assert remedy_success(0.75, 14.0, 0) == pytest.approx(0.95 - 0.20 / 2.718281828459045, abs=1e-12)


def test_how_long_it_soaked_counts_from_the_first_soak_still_under_way(cast: Cast, engine: Any) -> None:
    make_soak(engine, cast.member, begun_at=NOON - 9 * DAY)
    make_soak(engine, cast.member, begun_at=NOON - 2 * DAY)
    make_attempt(engine, cast.member, at=NOON - 10 * DAY)
    make_attempt(engine, cast.member, at=NOON - DAY)
    make_attempt(engine, cast.member, at=NOON - DAY, place="right")
    soaked = soaked_at(engine, "left", at=NOON)
    assert (soaked.days, soaked.attempts) == (pytest.approx(9.0), 1)


def test_a_remedy_done_after_a_long_soak_is_recorded_with_a_better_chance(cast: Cast, engine: Any) -> None:
    sheet = make_sheet(engine, opened_by=cast.member)
    do(sheet, cast.member, "soak_cylinder@left", "begun", at=NOON)
    for days in (5, 8, 12):
        make_attempt(engine, cast.member, at=NOON + days * DAY)
    step = do(sheet, cast.member, "soak_cylinder@left", "done", at=NOON + 18 * DAY)
    # Four days are foreseen: fourteen more and three attempts, from the knowledge's 0.75.
    assert step.success == pytest.approx(remedy_success(0.75, 14.0, 3), abs=1e-9)
    assert not Soak.objects.under_way().filter(place="left", begun_at__lt=NOON + 18 * DAY).exists()
