"""Nasty values at every form of the sheet: a clear answer, never a bare 500, and nothing half saved."""

from collections.abc import Callable
from typing import Any
from uuid import uuid4

import pytest
from django.test import Client
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from restorations.faults.models import Conclusion, FaultSheet, Question
from restorations.members.models import Club
from tests.cast import Cast
from tests.engines.sent import once
from tests.factories import NOON
from tests.faults.builders import bench_sheet, make_go_ahead, make_step
from tests.faults.nasty import NASTY, check, pairs, rows
from tests.faults.sent import SHEET

RISKY, CHECK, SOAK = "rebush_big_end@middle", "turn_wheels_all_on", "soak_cylinder@middle"
UNANSWERED = dict.fromkeys(("ever_ran", "ran_well_when_put_away", "rebuilt_since", "first_run_done"), "not_known")


def _sheet(cast: Cast) -> tuple[FaultSheet, dict[str, str]]:
    """A sheet with a line to strike, a helper's to accept, and a go-ahead to answer; and where each is posted."""
    sheet = bench_sheet(cast)
    mine, helpers = make_step(sheet, cast.member), make_step(sheet, cast.stranger, accepted=False)
    asked, mine_asked = (
        make_go_ahead(sheet, cast[who], action=act) for who, act in (("mate", RISKY), ("member", SOAK))
    )
    concluded = _closed(cast)
    put = Question.objects.create(sheet=sheet, words="Pinned or keyed?", asked_by=cast.stranger)
    acts = (
        "observe",
        "record",
        "note",
        "state",
        "history",
        "rank",
        "ask",
        "elbow",
        "question",
        "ask-owner",
        "conclude",
    )
    return sheet, {
        "open": f"/engines/{sheet.engine_id}/sheets/new/",
        **{act: f"/sheets/{sheet.pk}/{act}/" for act in acts},
        "undo": f"/steps/{mine.pk}/undo/",
        "strike": f"/steps/{mine.pk}/strike/",
        "accept": f"/steps/{helpers.pk}/accept/",
        "answer": f"/go-aheads/{asked.pk}/",
        "withdraw": f"/go-aheads/{mine_asked.pk}/withdraw/",
        "reply": f"/questions/{put.pk}/answer/",
        "standing": f"/engines/{sheet.engine_id}/standing/",
        **{act: f"/conclusions/{concluded.pk}/{act}/" for act in ("sign", "reopen")},
    }


def _closed(cast: Cast) -> Conclusion:
    """Of another sheet, that a mentor without a part in it may sign or open again."""
    sheet = bench_sheet(cast)
    FaultSheet.objects.filter(pk=sheet.pk).update(closed_at=NOON)
    by = {"concluded_by": cast.mate, "concluded_at": NOON, "closed_by": cast.mentor2, "closed_at": NOON}
    return Conclusion.objects.create(sheet=sheet, number=1, outcome="not_found", **by)


def _good(act: str, sheet: FaultSheet) -> dict[str, Any]:
    """What the form of that page would send."""
    conditions = {f"condition_{name}": value for name, value in sheet.state["conditions"].items()}
    forms: dict[str, dict[str, Any]] = {
        "open": {"complaint": "Will not turn", "years": "12", "stored": ["damp"], "why_stopped": "", **UNANSWERED},
        "observe": {
            "finding": "wheels_stiff", "level": "1", "reported": "", "note": "", "turn_degrees": "5, 185",
            "happened_at": "2026-01-01T10:00",
        },
        "record": {
            "action": CHECK, "answer": "1", "taken_off": ["connecting_rod@middle"], "refitted": ["crosshead@middle"],
            "box": "4", "prepared": ["tied_down"], "note": "", "turn_degrees": "", "happened_at": "",
        },
        "note": {"note": "Left as it stands."},
        "state": {**conditions, "boiler": "cold", "tied_down": "on", "slackened": ["piston_gland@middle"]},
        "history": {"years": "12", "stored": ["dry"], "why_stopped": "", **UNANSWERED},
        "ask": {"action": RISKY, "reason": "It knocks."},
        "strike": {"reason": "wrong side"},
        "answer": {"answer": "given", "conditions": "not alone", "until": "", "lasts": "week", "seen": "9"},
        "elbow": {"action": RISKY, "mentor": "1", "code": "402917", "conditions": "", "lasts": "week", "until": ""},
        "question": {"question": "Which way?", "action": RISKY},
        "ask-owner": {"action": "restore_bore@middle", "reason": "It is scored."},
        "withdraw": {"reason": "found another way"},
        "reply": {"words": "Pinned."},
        "conclude": {
            "act": "propose", "outcome": "found", "verdict:bearings_gummed": "cause.seen", "version": "1",
            "words:bearings_gummed": "Black.", "another": "", "words": "", "regardless": "Sold.",
        },
        "sign": {"words": "Turned it myself."},
        "reopen": {"reason": "It came back."},
        "standing": {"member": "1", "kind": "motion:hand", "until": "2026-12-01", "conditions": ""},
    }  # fmt: skip
    return {"submission": str(uuid4()), **forms.get(act, {})}


ACTS = (
    "open", "observe", "record", "note", "state", "history", "rank", "ask", "undo", "strike", "accept", "answer",
    "elbow", "question", "ask-owner", "withdraw", "reply", "standing", "conclude", "sign", "reopen",
)  # fmt: skip


def _who(act: str) -> str:
    return "mentor" if act in {"answer", "reply", "standing", "sign", "reopen"} else "member"


@pytest.mark.parametrize("act", ACTS)
def test_one_nasty_value_in_any_field_is_answered_and_nothing_is_half_saved(cast: Cast, act: str) -> None:
    sheet, addresses = _sheet(cast)
    client = cast.browser(_who(act))
    for field, nasty in pairs(list(_good(act, sheet)), at_most=14, start=ACTS.index(act)):
        check(client, addresses[act], {**_good(act, sheet), field: nasty})


@pytest.mark.parametrize("act", ACTS)
def test_a_form_with_a_field_missing_is_answered_and_nothing_is_half_saved(cast: Cast, act: str) -> None:
    sheet, addresses = _sheet(cast)
    client = cast.browser(_who(act))
    for field in _good(act, sheet):
        check(client, addresses[act], {name: value for name, value in _good(act, sheet).items() if name != field})
    check(client, addresses[act], {})


@pytest.mark.parametrize("act", [act for act in ACTS if act not in {"open", "answer", "strike", "conclude"}])
def test_htmx_is_answered_with_the_sheet_whatever_it_sends(cast: Cast, act: str) -> None:
    sheet, addresses = _sheet(cast)
    client = cast.browser("member")
    for nasty in ("null bytes", "html"):
        data = {field: NASTY[nasty] for field in _good(act, sheet) if field != "submission"}
        check(client, addresses[act], once(**data), headers=SHEET)


@pytest.mark.parametrize("act", ACTS)
def test_a_body_that_is_no_form_is_answered(cast: Cast, act: str) -> None:
    _, addresses = _sheet(cast)
    client = cast.browser(_who(act))
    bodies = (
        ("application/json", b'{"complaint": "x"}'), ("application/x-www-form-urlencoded", b"%FF%FE=%00&=&&&level"),
        ("multipart/form-data; boundary=x", b"--x\r\nnonsense"), ("text/plain", b"\x00\xff"),
    )  # fmt: skip
    for kind, body in bodies:
        before = rows()
        response = client.post(addresses[act], body, content_type=kind)
        assert response.status_code in {400, 422}, (act, kind)
        assert rows() == before


TEXT = st.one_of(
    st.sampled_from([*NASTY.values(), CHECK, SOAK, "wheels_stiff", "0", "1", "done", "begun", "could_not_do"]),
    st.text(max_size=30),
)
FIELDS = {
    "observe": ("finding", "level", "reported", "note", "turn_degrees", "happened_at"),
    "record": ("action", "answer", "taken_off", "refitted", "box", "prepared", "note", "turn_degrees", "happened_at"),
    "ask": ("action", "reason"),
    "state": ("condition_wheels", "boiler", "tied_down", "slackened"),
}


def _forms(act: str) -> st.SearchStrategy[dict[str, str]]:
    return st.fixed_dictionaries({}, optional=dict.fromkeys(FIELDS[act], TEXT))


@pytest.fixture
def addresses(cast: Cast) -> dict[str, str]:
    """Of one sheet for all examples of a test: each leaves it a line longer at the most."""
    return _sheet(cast)[1]


@pytest.mark.parametrize("act", FIELDS)
@settings(max_examples=8, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(data=st.data())
def test_any_mixture_of_values_is_answered_and_nothing_is_half_saved(
    cast: Cast, addresses: dict[str, str], act: str, data: st.DataObject
) -> None:
    typed = data.draw(_forms(act))
    check(cast.browser("member"), addresses[act], once(**typed))


@pytest.mark.parametrize("zone", ["Pacific/Auckland", "America/Los_Angeles"])
@pytest.mark.parametrize(("act", "field"), [("observe", "happened_at"), ("record", "happened_at"), ("answer", "until")])
def test_the_ends_of_the_calendar_are_answered_in_any_zone(cast: Cast, zone: str, act: str, field: str) -> None:
    Club.objects.update_or_create(pk=1, defaults={"time_zone": zone})
    sheet, addresses = _sheet(cast)
    for moment in ("9999-12-31T23:59", "0001-01-01T00:00", "9999-12-31", "0001-01-01", "1900-01-01T00:00"):
        check(cast.browser(_who(act)), addresses[act], {**_good(act, sheet), field: moment})


def test_addresses_of_rows_that_are_not_there_are_not_there(cast: Cast) -> None:
    client: Client = cast.browser("mentor")
    wrong: list[Callable[[str], str]] = [
        lambda pk: f"/sheets/{pk}/observe/", lambda pk: f"/steps/{pk}/undo/", lambda pk: f"/go-aheads/{pk}/",
        lambda pk: f"/engines/{pk}/sheets/new/", lambda pk: f"/questions/{pk}/answer/",
        lambda pk: f"/standing/{pk}/revoke/",
    ]  # fmt: skip
    for address in wrong:
        for pk in ("0", "987654321", "9" * 30, "-1", "1.5", "one", "١"):
            assert client.post(address(pk), once()).status_code == 404
