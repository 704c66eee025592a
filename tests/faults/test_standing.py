"""Standing go-aheads: one member, one engine, one kind of step, until a day; never for what is grave."""

from datetime import timedelta
from typing import Any

import pytest
from django.utils import timezone

from restorations.engines.models import Engine
from restorations.faults.models import StandingGoAhead
from restorations.faults.standing_kinds import actions_of, is_of_boiler, kind_of, kinds_on
from restorations.knowledge import load
from restorations.knowledge.entries import Remedy
from restorations.members.models import Message
from tests.cast import Cast
from tests.engines.sent import error_beside
from tests.factories import NOON
from tests.faults.builders import bench_engine, do, make_sheet, make_step
from tests.faults.sent import page_of, post
from tests.faults.test_lapses import _dangerous, _known

HAND, KIND = "rebush_big_end@middle", "motion:hand"


def _give(cast: Cast, engine: Engine, who: str = "mentor", to: str = "member", **changes: Any) -> Any:
    until = timezone.localdate() + timedelta(days=30)
    data = {"member": cast[to].pk, "kind": KIND, "until": until.isoformat(), "conditions": "Measure first."}
    return post(cast, who, f"/engines/{engine.pk}/standing/", **{**data, **changes})


def _given(cast: Cast, engine: Engine, **changes: Any) -> StandingGoAhead:
    spell = {"given_at": NOON - timedelta(days=1), "until": NOON + timedelta(days=9)}
    plain = {"member": cast.member, "kind": KIND, "given_by": cast.mentor, **spell}
    return StandingGoAhead.objects.create(engine=engine, **{**plain, **changes})


# What it may cover


def test_no_kind_covers_what_can_kill_or_ruin_steam_boilers_fire_or_what_cannot_be_undone() -> None:
    known = load()
    covered = [entry for table in (known.checks, known.remedies) for entry in table.values() if kind_of(entry)]
    assert covered
    for entry in covered:
        assert entry.is_risky
        assert max(entry.risk_person, entry.risk_engine) < 3
        assert "steam" not in entry.uses
        assert not is_of_boiler(entry)
        assert entry.system != "firing"
        assert not (isinstance(entry, Remedy) and entry.cannot_be_undone)


def test_the_kinds_of_an_engine_are_those_its_own_steps_have() -> None:
    kinds = kinds_on(_known())
    assert "motion:hand" in kinds
    assert all(kinds.values())
    assert sum(map(len, kinds.values())) == len(actions_of(_known(), frozenset(kinds)))


# Giving, and taking back


def test_a_mentor_gives_one_to_somebody_at_the_engine_who_is_told(cast: Cast) -> None:
    engine = bench_engine(cast)
    assert _give(cast, engine).status_code == 302
    row = StandingGoAhead.objects.get()
    assert (row.member, row.kind, row.given_by) == (cast.member, KIND, cast.mentor)
    message = Message.objects.get()
    assert message.to == cast.member
    assert "Wheels, rods and motion, by hand" in message.body
    sheet = make_sheet(engine, opened_by=cast.member)
    assert "Wheels, rods and motion, by hand" in page_of(cast, sheet, "mate")
    assert "Wheels, rods and motion, by hand" in cast.browser("mentor2").get("/desk/").text


@pytest.mark.parametrize(
    ("changes", "field", "words"),
    [
        ({"to": "stranger"}, "member", "choice"),
        ({"to": "mentor"}, "member", "choice"),
        ({"kind": "boiler:hand"}, "kind", "choice"),
        ({"kind": "cylinders:steam"}, "kind", "choice"),
        ({"until": ""}, "until", "Say until when"),
        ({"until": "2020-01-01"}, "until", "past"),
        ({"until": "2999-01-01"}, "until", "a year at the most"),
    ],
)
def test_what_is_wrong_is_said_and_what_was_typed_is_kept(
    cast: Cast, changes: dict[str, Any], field: str, words: str
) -> None:
    engine = bench_engine(cast, hands=(cast.member, cast.mentor))
    response = _give(cast, engine, **changes)
    assert response.status_code == 422
    assert words in error_beside(response.content.decode(), field)
    assert "Measure first." in response.content.decode()
    assert not StandingGoAhead.objects.exists()


def test_it_is_taken_back_once_with_a_reason_and_stays_readable(cast: Cast) -> None:
    row = _given(cast, bench_engine(cast), until=timezone.now() + timedelta(days=9))
    address = f"/standing/{row.pk}/revoke/"
    assert post(cast, "mentor2", address).status_code == 422
    assert post(cast, "mentor2", address, reason="has sold the press").status_code == 302
    response = post(cast, "mentor", address, reason="twice")
    assert response.status_code == 409
    assert "Philippa Oxenhope has taken it back already" in response.content.decode()
    assert "has sold the press" in cast.browser("member").get(f"/engines/{row.engine_id}/standing/").text
    assert {message.to for message in Message.objects.all()} == {cast.member, cast.mentor}


# Going by it


def test_a_step_under_one_is_marked_so_and_is_not_done_without(cast: Cast) -> None:
    engine = bench_engine(cast)
    row, sheet = _given(cast, engine), make_sheet(engine, opened_by=cast.member)
    step = do(sheet, cast.member, HAND, "done", taken_off=("connecting_rod@middle",))
    assert (step.standing_go_ahead, step.go_ahead, step.without_go_ahead, step.done_although) == (row, None, False, "")
    assert "under the standing go-ahead of Mungo Askerrigg" in page_of(cast, sheet)


def test_it_opens_the_gate_on_the_page_of_whoever_has_it_and_of_nobody_else(cast: Cast) -> None:
    engine = bench_engine(cast)
    _given(cast, engine, until=timezone.now() + timedelta(days=9))
    address = f"/sheets/{make_sheet(engine, opened_by=cast.member).pk}/actions/{HAND}/"
    assert "Ask for a go-ahead" not in cast.browser("member").get(address).text
    assert "Ask for a go-ahead" in cast.browser("mate").get(address).text


@pytest.mark.parametrize(
    "changes",
    [
        {"kind": "cylinders:hand"},
        {"until": NOON - timedelta(minutes=1)},
        {"given_at": NOON + timedelta(minutes=1)},
        {"struck_at": NOON},
        {"member": "mate"},
    ],
    ids=["another kind", "ended", "given afterwards", "taken back", "another's"],
)
def test_outside_what_it_says_it_does_not_hold(cast: Cast, changes: dict[str, Any]) -> None:
    engine = bench_engine(cast)
    _given(cast, engine, **{name: cast[value] if name == "member" else value for name, value in changes.items()})
    assert do(make_sheet(engine, opened_by=cast.member), cast.member, HAND, "done").without_go_ahead


def test_on_another_engine_it_does_not_hold(cast: Cast) -> None:
    _given(cast, bench_engine(cast))
    assert do(make_sheet(bench_engine(cast), opened_by=cast.member), cast.member, HAND, "done").without_go_ahead


def test_something_dangerous_seen_on_the_engine_since_ends_it(cast: Cast) -> None:
    engine = bench_engine(cast, configuration={"kind": "tank_locomotive"})
    sheet = make_sheet(engine, opened_by=cast.member)
    _given(cast, engine)
    action = "rebush_big_end@left"
    assert not do(sheet, cast.member, action, "not_sure", at=NOON).without_go_ahead
    make_step(sheet, cast.mate, at=NOON, finding=_dangerous(sheet))
    assert do(sheet, cast.member, action, "not_sure", at=NOON + timedelta(hours=1)).without_go_ahead
