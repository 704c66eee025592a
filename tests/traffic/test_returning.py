"""Return to traffic: every condition named, never one's own work, and nothing changed in between."""

from collections.abc import Callable
from datetime import date, timedelta
from typing import Any
from uuid import uuid4

import pytest
from django.core.exceptions import PermissionDenied, ValidationError
from django.utils import timezone

from restorations.engines.models import Engine, Stoppage
from restorations.engines.services import lift_stop
from restorations.engines.state import state_of
from restorations.members.doing import Doing
from restorations.members.models import Message
from restorations.tasks.models import Connection, DayBookEntry, JobCard, Soak, StrippedPart, Tag
from restorations.traffic.conditions import conditions_of
from restorations.traffic.models import ReturnToTraffic
from restorations.traffic.report.counting import failures
from restorations.traffic.report.period import Period
from restorations.traffic.services.returning import record_return, sign_fit
from tests.cast import Cast
from tests.engines.sent import once
from tests.factories import LONG_AGO, make_engine, make_stop
from tests.faults.builders import ONE_CYLINDER, make_sheet, make_step
from tests.tasks.work_builders import make_card

TODAY = timezone.localdate


@pytest.fixture
def engine(cast: Cast) -> Engine:
    """Stopped since yesterday for a defect; nothing else is missing."""
    engine = make_engine(
        made_by=cast.owner, owner_member=cast.owner, hands=(cast.member, cast.mate), configuration=ONE_CYLINDER
    )
    make_stop(engine)
    return engine


def _doing(cast: Cast, who: str) -> Doing:
    return Doing(cast[who], timezone.now())


def _sign(cast: Cast, engine: Engine, who: str = "mentor") -> None:
    sign_fit(engine=engine, words="turned and tried", doing=_doing(cast, who), mark=uuid4())


def _record(cast: Cast, engine: Engine, who: str = "secretary", on: date | None = None) -> ReturnToTraffic:
    return record_return(engine=engine, on=on or TODAY(), words="", doing=_doing(cast, who), mark=uuid4())


def _accepted(cast: Cast) -> dict[str, Any]:
    return {"accepted_at": timezone.now(), "accepted_by": cast.member}


def _part(cast: Cast, engine: Engine) -> Any:
    return StrippedPart.objects.create(
        engine=engine, number=1, name="the dome", off_by=cast.member, **_accepted(cast)
    )  # fmt: skip


def _connection(cast: Cast, engine: Engine) -> Any:
    return Connection.objects.create(
        engine=engine, number=1, name="steam pipe", carries="steam", end_a="boiler", end_b="chest",
        parted_by=cast.member, **_accepted(cast),
    )  # fmt: skip


def _card(cast: Cast, engine: Engine, **changes: Any) -> Any:
    hours = {"low_hours": 1.0, "likely_hours": 2.0, "high_hours": 3.0}
    return JobCard.objects.create(engine=engine, title="bush the rods", made_by=cast.member, **hours, **changes)


def _tag(cast: Cast, engine: Engine) -> Any:
    return Tag.objects.create(
        engine=engine, kind="no_air", reason="no valve in", put_on_by=cast.member, **_accepted(cast)
    )


def _soak(cast: Cast, engine: Engine) -> Any:
    due = timezone.now() + timedelta(days=2)
    return Soak.objects.create(
        engine=engine, place="engine", fluid="oil", begun_by=cast.member, due_at=due, **_accepted(cast)
    )


def _danger(cast: Cast, engine: Engine) -> Any:
    sheet = make_sheet(engine, opened_by=cast.member)
    return make_step(
        sheet, cast.member, kind="observation", finding="sudden_steam_escape@middle", level=1, words="a cloud of steam"
    )


def _lapsed(cast: Cast, engine: Engine) -> Any:
    return engine.certificates.create(
        kind="insurance", passed_on=LONG_AGO, lapses_on=TODAY() - timedelta(days=1), by_whom="office",
        recorded_by=cast.secretary,
    )  # fmt: skip


MISSING: dict[str, Callable[[Cast, Engine], Any]] = {
    "parts": _part, "connections": _connection, "cards": _card, "tags": _tag, "soaks": _soak, "dangers": _danger,
    "papers": _lapsed,
    "boiler": lambda cast, engine: make_stop(engine, kind="boiler", cause_class="boiler"),
}  # fmt: skip


def test_a_mentor_signs_and_the_secretary_records(cast: Cast, engine: Engine) -> None:
    _sign(cast, engine)
    assert Message.objects.get(to=cast.secretary).body.count(f"/engines/{engine.pk}/return/") == 1
    row = _record(cast, engine)
    assert state_of(engine, TODAY()).is_in_traffic
    stop = row.ended.get()
    assert stop.lifted_by == cast.secretary
    assert "signed fit by" in stop.lifted_words
    assert Message.objects.filter(to=cast.member, subject__contains="back in traffic").exists()


@pytest.mark.parametrize("key", sorted(MISSING))
def test_each_thing_missing_is_named_and_holds_it_up(cast: Cast, engine: Engine, key: str) -> None:
    MISSING[key](cast, engine)
    unmet = conditions_of(engine, TODAY()).unmet
    assert [row.key for row in unmet] == [key]
    with pytest.raises(ValidationError, match="Not yet: "):
        _sign(cast, engine)
    page = cast.browser("mentor").get(f"/engines/{engine.pk}/return/").text.replace("&#x27;", "'")
    assert unmet[0].missing[0].words.replace("&", "&amp;") in page
    assert f'href="{unmet[0].missing[0].href}"' in page


def test_an_engine_with_a_boiler_needs_both_tests_in_date(cast: Cast) -> None:
    engine = make_engine(owner_member=cast.owner, configuration={**ONE_CYLINDER, "boiler": "copper"})
    make_stop(engine)
    assert [row.key for row in conditions_of(engine, TODAY()).unmet] == ["papers"]


def test_a_card_that_may_wait_and_an_open_sheet_without_danger_hold_nothing_up(cast: Cast, engine: Engine) -> None:
    _card(cast, engine, may_wait=True)
    make_sheet(engine, opened_by=cast.member, complaint="a squeak")
    now = conditions_of(engine, TODAY())
    assert now.are_met
    assert "a squeak" in cast.browser("mentor").get(f"/engines/{engine.pk}/return/").text


def _entry(cast: Cast, engine: Engine, who: str, **changes: Any) -> DayBookEntry:
    row = {"text": "fitted the rods", "happened_at": timezone.now(), "done_by": cast[who], "recorded_by": cast[who]}
    made: DayBookEntry = DayBookEntry.objects.create(engine=engine, **row, **_accepted(cast), **changes)
    return made


def test_nobody_signs_for_their_own_work(cast: Cast, engine: Engine) -> None:
    _entry(cast, engine, "mentor")
    _entry(cast, engine, "member").helpers.add(cast.mentor2)
    for who in ("mentor", "mentor2"):
        with pytest.raises(PermissionDenied, match="own work"):
            _sign(cast, engine, who)
    assert "Not your own work." in cast.browser("mentor").get(f"/engines/{engine.pk}/return/").text
    stop = Stoppage.objects.get()
    sent = once(reason="it was nothing")
    assert cast.browser("mentor").post(f"/stops/{stop.pk}/strike/", sent).status_code == 403
    stop.refresh_from_db()
    assert stop.is_open


def test_work_before_the_stop_does_not_bar_a_mentor(cast: Cast, engine: Engine) -> None:
    row = _entry(cast, engine, "mentor")
    DayBookEntry.objects.filter(pk=row.pk).update(happened_at=timezone.now() - timedelta(days=9))
    _sign(cast, engine)


@pytest.mark.parametrize("who", ["member", "owner", "secretary", "inspector", "stranger"])
def test_only_a_mentor_signs(cast: Cast, engine: Engine, who: str) -> None:
    with pytest.raises(PermissionDenied):
        _sign(cast, engine, who)


@pytest.mark.parametrize("who", ["member", "owner", "mentor", "inspector"])
def test_only_the_secretary_records(cast: Cast, engine: Engine, who: str) -> None:
    _sign(cast, engine)
    with pytest.raises(PermissionDenied):
        _record(cast, engine, who)
    assert not ReturnToTraffic.objects.exists()


def test_without_a_signature_nothing_is_recorded(cast: Cast, engine: Engine) -> None:
    with pytest.raises(ValidationError, match="No mentor has signed"):
        _record(cast, engine)
    assert state_of(engine, TODAY()).kind == "stopped"


def test_a_signature_lapses_when_work_is_written_down_even_if_nothing_is_missing_after_it(
    cast: Cast, engine: Engine
) -> None:
    _sign(cast, engine)
    _entry(cast, engine, "member")
    assert conditions_of(engine, TODAY()).are_met
    with pytest.raises(ValidationError, match="Something changed since"):
        _record(cast, engine)
    assert "no longer holds" in cast.browser("secretary").get(f"/engines/{engine.pk}/return/").text
    _sign(cast, engine)
    _record(cast, engine)


def test_a_part_that_came_off_and_went_back_lapses_it_too(cast: Cast, engine: Engine) -> None:
    _sign(cast, engine)
    part = _part(cast, engine)
    StrippedPart.objects.filter(pk=part.pk).update(
        ended_at=timezone.now(), ended_by=cast.member, ending="refitted"
    )  # fmt: skip
    assert conditions_of(engine, TODAY()).are_met
    with pytest.raises(ValidationError, match="Something changed since"):
        _record(cast, engine)


def test_it_cannot_be_back_before_it_was_stopped(cast: Cast, engine: Engine) -> None:
    _sign(cast, engine)
    address, early = f"/engines/{engine.pk}/return/record/", TODAY() - timedelta(days=5)
    answer = cast.browser("secretary").post(address, once(on=str(early)))
    assert answer.status_code == 422
    assert "cannot have ended before that" in answer.text
    assert not ReturnToTraffic.objects.exists()
    assert Stoppage.objects.open(TODAY()).count() == 1


def test_the_return_sent_twice_is_recorded_once(cast: Cast, engine: Engine) -> None:
    _sign(cast, engine)
    sent = once(on=str(TODAY()))
    for _ in range(2):
        assert cast.browser("secretary").post(f"/engines/{engine.pk}/return/record/", sent).status_code == 302
    assert ReturnToTraffic.objects.count() == 1


def test_an_old_signature_is_not_used_for_a_second_return(cast: Cast, engine: Engine) -> None:
    _sign(cast, engine)
    _record(cast, engine)
    make_stop(engine, words="again")
    with pytest.raises(ValidationError, match="No mentor has signed"):
        _record(cast, engine)


def test_a_stop_planned_for_later_stays_planned(cast: Cast, engine: Engine) -> None:
    later = make_stop(engine, kind="works", began_on=TODAY() + timedelta(days=60))
    _sign(cast, engine)
    _record(cast, engine)
    later.refresh_from_db()
    assert later.is_open
    assert state_of(engine, TODAY()).is_in_traffic


def test_an_engine_in_traffic_has_nothing_to_return_from(cast: Cast) -> None:
    engine = make_engine(configuration=ONE_CYLINDER)
    with pytest.raises(ValidationError, match="nothing stops it"):
        _sign(cast, engine)


def test_who_worked_on_the_boiler_does_not_lift_its_stop(cast: Cast, engine: Engine) -> None:
    stop = make_stop(engine, kind="boiler", cause_class="boiler")
    browser = cast.browser("inspector")
    _entry(cast, engine, "inspector", system="motion")
    assert browser.get(f"/stops/{stop.pk}/lift/").status_code == 200
    _entry(cast, engine, "inspector", system="fittings")
    for act, sent in (("lift", {"words": "fine", "on": str(TODAY())}), ("strike", {"reason": "no leak after all"})):
        answer = browser.post(f"/stops/{stop.pk}/{act}/", once(**sent))
        assert (act, answer.status_code) == (act, 403)
    page = browser.get(f"/stops/{stop.pk}/").text
    assert f"/stops/{stop.pk}/lift/" not in page
    assert f"/stops/{stop.pk}/strike/" not in page


def test_work_done_while_the_boiler_was_stopped_is_own_work_after_the_inspector_lifted_it(cast: Cast) -> None:
    engine = make_engine(configuration=ONE_CYLINDER)
    began = TODAY() - timedelta(days=20)
    stop = make_stop(engine, kind="boiler", cause_class="boiler", began_on=began)
    row = _entry(cast, engine, "mentor")
    DayBookEntry.objects.filter(pk=row.pk).update(happened_at=timezone.now() - timedelta(days=9))
    card = make_card(engine, cast.member, state="done", ended_at=timezone.now() - timedelta(days=8))
    card.people.add(cast.mentor2)
    make_stop(engine, began_on=TODAY() - timedelta(days=1))
    lift_stop(stoppage=stop, words="proved", on=TODAY(), doing=_doing(cast, "inspector"), mark=uuid4())
    for who in ("mentor", "mentor2"):
        with pytest.raises(PermissionDenied, match="own work"):
            _sign(cast, engine, who)


def test_after_the_inspector_the_mentor_and_the_secretary_still_have_to_speak(cast: Cast, engine: Engine) -> None:
    Stoppage.objects.all().delete()
    stop = make_stop(engine, kind="boiler", cause_class="boiler")
    lift_stop(stoppage=stop, words="proved", on=TODAY(), doing=_doing(cast, "inspector"), mark=uuid4())
    state = state_of(engine, TODAY())
    assert (state.kind, state.since) == ("in_works", stop.began_on)
    assert failures(Stoppage.objects.all(), Period(stop.began_on, TODAY() + timedelta(days=1)), 0).count == 1
    _sign(cast, engine)
    _record(cast, engine)
    assert state_of(engine, TODAY()).is_in_traffic


def test_the_secretary_of_a_private_engine_sees_how_many_things_are_missing_but_not_what(cast: Cast) -> None:
    engine = make_engine(owner_member=cast.owner, is_private=True, configuration=ONE_CYLINDER)
    make_stop(engine)
    _part(cast, engine)
    address = f"/engines/{engine.pk}/return/"
    assert "the dome" in cast.browser("owner").get(address).text
    page = cast.browser("secretary").get(address).text
    assert "the dome" not in page
    assert "missing" in page
