"""Laying an engine up with care, and being reminded of it once."""

from datetime import date, timedelta
from typing import Any

import pytest
from django.utils import timezone

from restorations.engines.models import Engine, LayUp, Stoppage
from restorations.engines.services.lay_up import queue_lay_up_reminders
from restorations.engines.state import state_of
from restorations.members.models import Message
from tests.cast import Cast
from tests.engines.sent import error_beside, once
from tests.factories import make_engine, make_stop

TODAY = timezone.localdate


def _engine(cast: Cast) -> Engine:
    return make_engine(made_by=cast.owner, owner_member=cast.owner, hands=(cast.member,))


def _laid_up(engine: Engine, began_on: date, **plan: Any) -> LayUp:
    stop = make_stop(engine, kind="laid_up", cause_class="storage", words="winter", began_on=began_on)
    return LayUp.objects.create(stoppage=stop, **plan)


def test_laying_up_says_what_was_done_and_ends_the_work_in_the_shop(cast: Cast) -> None:
    engine = _engine(cast)
    works = make_stop(engine, kind="works")
    sent = once(
        words="winter", began_on=str(TODAY()), done=["drained", "oiled"], turn_over_days="28", frost_month="12",
        place="road 2",
    )  # fmt: skip
    assert cast.browser("member").post(f"/engines/{engine.pk}/lay-up/", sent).status_code == 302
    state = state_of(engine, TODAY())
    assert (state.kind, len(state.stoppages)) == ("laid_up", 1)
    works.refresh_from_db()
    assert works.ended_on == TODAY()
    assert set(LayUp.objects.get().care.values_list("item", flat=True)) == {"drained", "oiled"}
    assert state.main is not None
    page = cast.browser("member").get(state.main.get_absolute_url()).text
    assert "Turned over every 28 days." in page
    assert "not yet" in page


def test_it_is_laid_up_once(cast: Cast) -> None:
    engine = _engine(cast)
    _laid_up(engine, TODAY())
    answer = cast.browser("owner").post(
        f"/engines/{engine.pk}/lay-up/", once(words="winter again", began_on=str(TODAY()))
    )
    assert answer.status_code == 409
    assert "winter again" in answer.text
    assert Stoppage.objects.count() == 1


@pytest.mark.parametrize(
    ("last", "due"),
    [
        (None, date(2026, 11, 1)),
        (date(2026, 8, 1), date(2026, 11, 1)),  # too early to count for the winter
        (date(2026, 10, 10), date(2027, 11, 1)),
        (date(2026, 11, 5), date(2027, 11, 1)),  # late, and done
        (date(2025, 10, 20), date(2026, 11, 1)),  # last winter's
    ],
)
def test_a_look_against_frost_counts_for_its_winter(last: date | None, due: date) -> None:
    lay_up = LayUp(stoppage=Stoppage(began_on=date(2026, 3, 1)), frost_month=11)
    assert lay_up.frost_due(last) == due


def test_what_is_due_is_told_once_however_often_it_runs_and_again_when_it_is_due_again(cast: Cast) -> None:
    engine = _engine(cast)
    lay_up = _laid_up(engine, TODAY() - timedelta(days=30), turn_over_days=28)
    now = timezone.now()
    assert [queue_lay_up_reminders(now) for _ in range(2)] == [1, 0]
    assert set(Message.objects.values_list("to__sign_in_name", flat=True)) == {"member", "owner"}
    assert "DO NOT TURN" in Message.objects.all()[0].body
    given = once(item="turn_over", done_on=str(TODAY()), done_by="A. Tell")
    assert cast.browser("member").post(f"/stops/{lay_up.stoppage_id}/care/", given).status_code == 302
    assert queue_lay_up_reminders(now) == 0
    assert queue_lay_up_reminders(now + timedelta(days=28)) == 1


def test_frost_is_told_two_weeks_before_its_month(cast: Cast) -> None:
    engine = _engine(cast)
    begun = date(2026, 3, 1)
    _laid_up(engine, begun, frost_month=11)
    noon = timezone.make_aware(timezone.datetime(2026, 10, 17, 12))
    assert queue_lay_up_reminders(noon) == 0
    assert queue_lay_up_reminders(noon + timedelta(days=1)) == 1


def test_nothing_is_due_once_it_is_no_longer_laid_up_or_has_left(cast: Cast) -> None:
    gone, back = _engine(cast), _engine(cast)
    _laid_up(gone, date(2026, 1, 1), turn_over_days=7)
    lay_up = _laid_up(back, date(2026, 1, 1), turn_over_days=7)
    Engine.objects.filter(pk=gone.pk).update(gone_on=TODAY(), gone_words="sold")
    Stoppage.objects.filter(pk=lay_up.stoppage_id).update(
        ended_on=TODAY(), lifted_by=cast.mentor, lifted_at=timezone.now()
    )
    assert queue_lay_up_reminders(timezone.now()) == 0


def test_care_struck_out_is_due_again_and_impossible_days_are_answered(cast: Cast) -> None:
    lay_up = _laid_up(_engine(cast), TODAY() - timedelta(days=9), turn_over_days=7)
    row = lay_up.care.create(item="turn_over", done_on=TODAY(), done_by="A", recorded_by=cast.member)
    address = f"/stops/{lay_up.stoppage_id}/care/"
    assert 'status work">due' not in cast.browser("member").get(f"/stops/{lay_up.stoppage_id}/").text
    cast.browser("member").post(f"{address}{row.pk}/strike/", once(reason="it was the other one"))
    assert f"due {(TODAY() - timedelta(days=2)):%-d %b}" in cast.browser("member").get("/").text
    wrong = cast.browser("member").post(address, once(item="oiled", done_on="2999-01-01", done_by="A"))
    assert wrong.status_code == 422
    assert error_beside(wrong.text, "done_on")
