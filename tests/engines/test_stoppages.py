"""Reporting a defect, adding to it, keeping it up, lifting it; who may and who is told."""

from datetime import date, timedelta
from typing import Any
from uuid import uuid4

import pytest
from django.core.exceptions import PermissionDenied, ValidationError
from django.utils import timezone

from restorations.engines.facts import steam_allowed
from restorations.engines.models import Engine, Stoppage
from restorations.engines.services import AlreadyStopped, StopDraft, end_stop, lift_stop, stop_engine
from restorations.engines.state import state_of
from restorations.members.doing import Doing
from restorations.members.models import Message
from tests.cast import Cast
from tests.engines.sent import error_beside, once
from tests.factories import LONG_AGO, make_engine, make_hand, make_stop

TODAY = timezone.localdate


def _engine(cast: Cast, **changes: Any) -> Engine:
    return make_engine(made_by=cast.owner, owner_member=cast.owner, hands=(cast.member, cast.mate), **changes)


def _doing(cast: Cast, who: str = "stranger") -> Doing:
    return Doing(cast[who], timezone.now())


def _draft(**changes: Any) -> StopDraft:
    plain = {"kind": "defect", "cause_class": "motion", "words": "the left rod knocks", "began_on": TODAY()}
    return StopDraft(**{**plain, **changes})


def _defect(**changes: Any) -> dict[str, Any]:
    return once(**{"words": "the left rod knocks", "cause_class": "motion", **changes})


def test_anybody_who_sees_it_stops_it_in_two_answers_and_those_concerned_are_told(cast: Cast) -> None:
    engine = _engine(cast)
    assert cast.browser("stranger").post(f"/engines/{engine.pk}/stop/", _defect()).status_code == 302
    assert state_of(engine, TODAY()).kind == "stopped"
    told = set(Message.objects.values_list("to__sign_in_name", flat=True))
    assert told == {"member", "mate", "owner", "mentor", "mentor2", "secretary"}
    page = cast.browser("member").get(f"/engines/{engine.pk}/").text
    assert "wheels, rods and motion" in page
    assert '<span class="status stop">stopped</span>' in page


@pytest.mark.parametrize("answers", [{"cause_class": "boiler"}, {"for_inspector": "on"}])
def test_what_concerns_the_boiler_is_for_the_inspector(cast: Cast, answers: dict[str, str]) -> None:
    engine = _engine(cast)
    cast.browser("stranger").post(f"/engines/{engine.pk}/stop/", _defect(**answers))
    assert engine.stoppages.get().is_of_boiler
    assert Message.objects.filter(to=cast.inspector, body__contains="not to be steamed").exists()


def test_the_same_form_sent_twice_stops_it_once(cast: Cast) -> None:
    engine, sent = _engine(cast), _defect()
    for _ in range(2):
        assert cast.browser("stranger").post(f"/engines/{engine.pk}/stop/", sent).status_code == 302
    assert engine.stoppages.count() == 1


def test_the_same_stop_reported_by_another_is_offered_to_be_added_to_and_nothing_typed_is_lost(cast: Cast) -> None:
    engine = _engine(cast)
    make_stop(engine)
    again = _defect(words="it knocks when coasting")
    answer = cast.browser("mate").post(f"/engines/{engine.pk}/stop/", again)
    assert answer.status_code == 409
    assert "Stopped for this already." in answer.text
    assert "it knocks when coasting" in answer.text
    stop = engine.stoppages.get()
    assert cast.browser("mate").post(f"/stops/{stop.pk}/add/", again).status_code == 302
    assert stop.notes.get().words == "it knocks when coasting"
    assert "it knocks when coasting" in cast.browser("member").get(f"/stops/{stop.pk}/").text


def test_something_else_in_the_same_place_is_a_stop_of_its_own(cast: Cast) -> None:
    engine = _engine(cast)
    make_stop(engine)
    sent = _defect(words="the right one too", besides="yes")
    assert cast.browser("mate").post(f"/engines/{engine.pk}/stop/", sent).status_code == 302
    assert engine.stoppages.count() == 2


@pytest.mark.parametrize(
    ("sent", "field"),
    [
        ({"words": ""}, "words"),
        ({"cause_class": "papers"}, "cause_class"),
        ({"began_on": "2999-01-01"}, "began_on"),
        ({"began_on": "1066-10-14"}, "began_on"),
        ({"began_on": "no day"}, "began_on"),
    ],
)
def test_a_report_that_cannot_be_is_answered_beside_its_field(cast: Cast, sent: dict[str, str], field: str) -> None:
    engine = _engine(cast)
    answer = cast.browser("stranger").post(f"/engines/{engine.pk}/stop/", _defect(**sent))
    assert answer.status_code == 422
    assert error_beside(answer.text, field)
    assert not engine.stoppages.exists()


def test_a_stop_cannot_end_before_it_began_and_its_words_stay_in_the_form(cast: Cast) -> None:
    stop = make_stop(_engine(cast), kind="boiler", cause_class="boiler", began_on=TODAY() - timedelta(days=3))
    sent = once(words="proved at one and a half times", on=str(TODAY() - timedelta(days=4)))
    answer = cast.browser("inspector").post(f"/stops/{stop.pk}/lift/", sent)
    assert answer.status_code == 422
    assert "cannot have ended before that" in error_beside(answer.text, "on")
    assert "proved at one and a half times" in answer.text
    stop.refresh_from_db()
    assert stop.is_open


def test_who_expects_it_back_is_asked_with_the_day_and_kept_with_when_it_was_said(cast: Cast) -> None:
    stop = make_stop(_engine(cast))
    sent: dict[str, Any] = {"version": 1, "cause_class": "motion", "waits_for": "parts", "place": "road 3"}
    day = str(TODAY() + timedelta(days=30))
    answer = cast.browser("secretary").post(f"/stops/{stop.pk}/update/", once(**sent, expected_on=day))
    assert answer.status_code == 422
    assert error_beside(answer.text, "expected_by")
    saved = cast.browser("secretary").post(
        f"/stops/{stop.pk}/update/", once(**sent, expected_on=day, expected_by="the foundry")
    )
    assert saved.status_code == 302
    stop.refresh_from_db()
    assert (stop.waits_for, stop.place, stop.expected_by) == ("parts", "road 3", "the foundry")
    assert stop.expected_said_at is not None


def test_two_who_keep_the_same_stop_are_both_shown(cast: Cast) -> None:
    stop = make_stop(_engine(cast))
    sent: dict[str, Any] = {"version": 1, "cause_class": "motion", "waits_for": "parts"}
    cast.browser("member").post(f"/stops/{stop.pk}/update/", once(**sent))
    answer = cast.browser("mate").post(f"/stops/{stop.pk}/update/", once(**{**sent, "waits_for": "mentor"}))
    assert answer.status_code == 409
    assert "Changed meanwhile" in answer.text


@pytest.mark.parametrize("who", ["member", "mate", "owner", "mentor", "secretary", "administrator", "stranger"])
def test_nobody_but_the_inspector_lifts_a_stop_on_a_boiler(cast: Cast, who: str) -> None:
    stop = make_stop(_engine(cast), kind="boiler", cause_class="boiler")
    with pytest.raises(PermissionDenied):
        lift_stop(stoppage=stop, words="fine again", on=TODAY(), doing=_doing(cast, who), mark=uuid4())
    stop.refresh_from_db()
    assert stop.is_open


@pytest.mark.parametrize("tie", ["owner", "hands"])
def test_an_inspector_does_not_lift_the_stop_on_their_own_boiler(cast: Cast, tie: str) -> None:
    engine = make_engine(owner_member=cast.inspector) if tie == "owner" else _engine(cast)
    if tie == "hands":
        make_hand(engine, cast.inspector)
    stop = make_stop(engine, kind="boiler", cause_class="boiler")
    with pytest.raises(PermissionDenied, match="never by one who owns it"):
        end_stop(stoppage=stop, words="fine again", on=TODAY(), doing=_doing(cast, "inspector"))


def test_lifting_the_last_stop_on_a_boiler_leaves_the_engine_to_its_return(cast: Cast) -> None:
    engine = _engine(cast)
    stop = make_stop(engine, kind="boiler", cause_class="boiler")
    lift_stop(stoppage=stop, words="proved", on=TODAY(), doing=_doing(cast, "inspector"), mark=uuid4())
    state = state_of(engine, TODAY())
    assert state.kind == "in_works"
    assert not state.has_boiler_stop
    assert state.main is not None
    assert state.main.waits_for == "mentor"


def test_a_stop_on_the_boiler_closes_the_steam_gate_and_lifting_opens_it_again(cast: Cast) -> None:
    engine = _engine(cast)
    for kind in ("hydraulic_test", "steam_test"):
        engine.certificates.create(
            kind=kind, passed_on=LONG_AGO, lapses_on=date(2040, 1, 1), by_whom="I", recorded_by=cast.inspector
        )
    assert steam_allowed(engine, TODAY())
    stop = make_stop(engine, kind="boiler", cause_class="boiler")
    assert not steam_allowed(engine, TODAY())
    assert "A stop on the boiler stands" in cast.browser("member").get(f"/engines/{engine.pk}/papers/").text
    lift_stop(stoppage=stop, words="proved", on=TODAY(), doing=_doing(cast, "inspector"), mark=uuid4())
    assert steam_allowed(engine, TODAY())


def test_a_stop_is_struck_out_by_a_mentor_with_a_reason_but_not_on_an_engine_of_their_own(cast: Cast) -> None:
    engine = _engine(cast)
    make_hand(engine, cast.mentor)
    stop = make_stop(engine)
    address, sent = f"/stops/{stop.pk}/strike/", once(reason="it was the other engine")
    assert cast.browser("mentor").post(address, sent).status_code == 403
    assert cast.browser("mentor2").post(address, sent).status_code == 302
    assert state_of(engine, TODAY()).is_in_traffic
    assert "it was the other engine" in cast.browser("member").get(f"/stops/{stop.pk}/").text


def test_what_was_lifted_is_neither_added_to_nor_lifted_again(cast: Cast) -> None:
    stop = make_stop(_engine(cast), kind="boiler", cause_class="boiler")
    lift_stop(stoppage=stop, words="proved", on=TODAY(), doing=_doing(cast, "inspector"), mark=uuid4())
    stop.refresh_from_db()
    with pytest.raises(ValidationError, match="lifted this stop"):
        end_stop(stoppage=stop, words="again", on=TODAY(), doing=_doing(cast, "inspector"))
    answer = cast.browser("mate").post(f"/stops/{stop.pk}/add/", once(words="and the dome"))
    assert answer.status_code == 422
    assert "report it anew" in answer.text


def test_into_works_and_only_once(cast: Cast) -> None:
    engine = _engine(cast)
    sent = {"kind": "works", "cause_class": "motion", "words": "new bushes", "began_on": str(TODAY())}
    assert cast.browser("secretary").post(f"/engines/{engine.pk}/out-of-traffic/", once(**sent)).status_code == 302
    assert state_of(engine, TODAY()).kind == "in_works"
    again = cast.browser("member").post(f"/engines/{engine.pk}/out-of-traffic/", once(**sent))
    assert again.status_code == 409


def test_a_private_engine_is_stopped_by_the_secretary_and_only_those_who_see_it_are_told(cast: Cast) -> None:
    engine = make_engine(made_by=cast.owner, owner_member=cast.owner, is_private=True)
    cast.browser("secretary").post(f"/engines/{engine.pk}/stop/", _defect())
    assert set(Message.objects.values_list("to__sign_in_name", flat=True)) == {"owner"}


def test_the_service_says_which_stop_stands_already(cast: Cast) -> None:
    engine = _engine(cast)
    first = stop_engine(engine=engine, draft=_draft(), doing=_doing(cast), mark=uuid4())
    with pytest.raises(AlreadyStopped) as found:
        stop_engine(engine=engine, draft=_draft(words="again"), doing=_doing(cast, "mate"), mark=uuid4())
    assert found.value.stoppage == first
    assert Stoppage.objects.count() == 1


def test_the_stops_of_an_engine_are_taken_away_as_a_table(cast: Cast) -> None:
    engine = _engine(cast)
    make_stop(engine, words="=1+1", waits_for="parts")
    told = cast.browser("stranger").get(f"/engines/{engine.pk}/stops/?as=csv")
    assert told["content-type"] == "text/csv; charset=utf-8"
    assert "'=1+1" in told.text
    assert ",parts," in told.text
