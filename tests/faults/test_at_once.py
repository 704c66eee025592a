"""Several people on one sheet at the same moment: what one writes while another's ranking is being worked out."""

from collections.abc import Callable
from typing import Any
from uuid import uuid4

import pytest

from restorations.faults import services
from restorations.faults.models import FaultSheet, GoAhead, Step
from restorations.faults.services import sheets
from restorations.members.doing import Doing
from restorations.members.models import Member, Submission
from restorations.tasks.models import StrippedPart
from tests.cast import Cast
from tests.engines.sent import once
from tests.factories import NOON
from tests.faults.builders import bench_sheet, latest, make_go_ahead, make_step, see
from tests.faults.sent import SHEET, observe, page_of, post, trouble

ROD = "connecting_rod@middle"


@pytest.fixture
def sheet(cast: Cast) -> FaultSheet:
    return bench_sheet(cast)


@pytest.fixture
def meanwhile(monkeypatch: pytest.MonkeyPatch) -> Callable[..., None]:
    """Arrange that something is done while a ranking is worked out: `times` times, then no more."""

    def arrange(act: Callable[[], Any], *, times: int = 1) -> None:
        left, sound = [act] * times, sheets.rank

        def busy(*args: Any) -> Any:
            ranking = sound(*args)
            if left:
                left.pop()()
            return ranking

        monkeypatch.setattr(sheets, "rank", busy)

    return arrange


def _note(sheet: FaultSheet, by: Member, words: str = "meanwhile", mark: Any = None) -> Step:
    draft = services.StepDraft(kind="note", words=words)
    return services.record_step(sheet=sheet, draft=draft, doing=Doing(by, NOON), mark=mark or uuid4())


def test_two_people_record_at_once_and_both_lines_are_there(
    cast: Cast, sheet: FaultSheet, meanwhile: Callable[..., None]
) -> None:
    meanwhile(lambda: see(sheet, cast.mate, "varnish_seen@middle", 1))
    assert observe(cast, sheet).status_code == 302
    first, second = sheet.steps.order_by("number")
    assert (first.done_by, first.finding) == (cast.mate, "varnish_seen@middle")
    assert (second.done_by, second.finding) == (cast.member, "wheels_stiff")
    assert second.before == first.after
    assert sorted(latest(sheet).events) == [1, 2]
    sheet.refresh_from_db()
    assert sheet.version == 3


def test_whoever_is_overtaken_three_times_is_told_and_nothing_of_theirs_is_saved(
    cast: Cast, sheet: FaultSheet, meanwhile: Callable[..., None]
) -> None:
    def overtake() -> None:
        FaultSheet.objects.filter(pk=sheet.pk).update(version=FaultSheet.objects.get(pk=sheet.pk).version + 1)

    meanwhile(overtake, times=3)
    data = once(finding="wheels_stiff", level="1", reported="yes")
    browser = cast.browser("member")
    response = browser.post(f"/sheets/{sheet.pk}/observe/", data, headers=SHEET)
    assert response.status_code == 409
    assert "Others are writing on this sheet" in trouble(response)
    assert not sheet.steps.exists()
    assert not Submission.objects.exists()
    assert browser.post(f"/sheets/{sheet.pk}/observe/", data).status_code == 302
    assert sheet.steps.count() == 1


@pytest.mark.parametrize("act", ["rank", "undo", "accept", "strike"])
def test_the_same_holds_for_every_other_change(
    cast: Cast, sheet: FaultSheet, meanwhile: Callable[..., None], act: str
) -> None:
    step = make_step(sheet, cast.member, accepted=act != "accept")

    def overtake() -> None:
        FaultSheet.objects.filter(pk=sheet.pk).update(version=FaultSheet.objects.get(pk=sheet.pk).version + 1)

    meanwhile(overtake, times=3)
    address = f"/sheets/{sheet.pk}/rank/" if act == "rank" else f"/steps/{step.pk}/{act}/"
    response = post(cast, "member", address, reason="wrong side")
    assert response.status_code in {409, 422}
    assert "Others are writing on this sheet" in response.content.decode()
    step.refresh_from_db()
    assert (step.is_struck, step.stands) == (False, act != "accept")
    assert sheet.snapshots.count() == 1


def test_the_state_is_changed_while_somebody_writes_a_line_and_both_hold(
    cast: Cast, sheet: FaultSheet, meanwhile: Callable[..., None]
) -> None:
    meanwhile(lambda: _note(sheet, cast.mate))
    state = {**sheet.state["conditions"], "temperature": "warm"}
    data = {f"condition_{name}": value for name, value in state.items()}
    assert post(cast, "member", f"/sheets/{sheet.pk}/state/", boiler="cold", **data).status_code == 302
    sheet.refresh_from_db()
    assert sheet.state["conditions"]["temperature"] == "warm"
    assert sheet.steps.get().words == "meanwhile"


def test_one_form_that_arrives_twice_at_once_is_one_line(
    cast: Cast, sheet: FaultSheet, meanwhile: Callable[..., None]
) -> None:
    mark = uuid4()
    meanwhile(lambda: _note(sheet, cast.member, mark=mark))
    step = _note(sheet, cast.member, mark=mark)
    assert list(sheet.steps.all()) == [step]


def test_the_same_mark_of_two_people_is_two_forms(cast: Cast, sheet: FaultSheet) -> None:
    mark = uuid4()
    _note(sheet, cast.member, mark=mark)
    _note(sheet, cast.mate, mark=mark)
    assert sheet.steps.count() == 2


def test_two_people_take_the_same_rod_off_at_once_and_it_is_one_row(
    cast: Cast, sheet: FaultSheet, meanwhile: Callable[..., None]
) -> None:
    def take(who: str) -> Any:
        return post(
            cast, who, f"/sheets/{sheet.pk}/record/", action="turn_wheels_one_rod_off@middle", answer="1",
            taken_off=[ROD],
        )  # fmt: skip

    meanwhile(lambda: take("mate"))
    assert take("member").status_code == 302
    assert [part.part_id for part in StrippedPart.objects.all()] == [ROD]
    assert [step.state["off"] for step in sheet.steps.all()] == [[ROD], [ROD]]


def test_a_line_struck_out_while_it_is_being_accepted_is_not_accepted(
    cast: Cast, sheet: FaultSheet, meanwhile: Callable[..., None]
) -> None:
    step = make_step(sheet, cast.stranger, accepted=False)
    meanwhile(lambda: step.strike_out(member=cast.stranger, reason="mistaken"))
    response = post(cast, "mate", f"/steps/{step.pk}/accept/")
    assert response.status_code == 422
    step.refresh_from_db()
    assert step.accepted_at is None
    assert sheet.snapshots.count() == 1
    assert "mistaken" in page_of(cast, sheet)


def test_two_mentors_who_answer_with_the_page_open_get_one_answer(cast: Cast, sheet: FaultSheet) -> None:
    row = make_go_ahead(sheet, cast.member, action="rebush_big_end@middle")
    seen_by_both = GoAhead.objects.get(pk=row.pk)
    decision = services.Decision("given", "not alone", None)
    services.answer_go_ahead(go_ahead=row, decision=decision, doing=Doing(cast.mentor, NOON), mark=uuid4())
    with pytest.raises(Exception, match="has answered meanwhile: given"):
        services.answer_go_ahead(
            go_ahead=seen_by_both, decision=decision, doing=Doing(cast.mentor2, NOON), mark=uuid4()
        )
    row.refresh_from_db()
    assert row.answered_by == cast.mentor
