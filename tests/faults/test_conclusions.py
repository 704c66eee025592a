"""Proposing what it was, closing, signing off, opening again: what is allowed to be said, and by whom."""

from collections.abc import Callable
from uuid import uuid4

import pytest
from django.core.exceptions import PermissionDenied, ValidationError

from restorations.faults import services
from restorations.faults.closing import ConclusionDraft
from restorations.faults.confirming import Confirmed
from restorations.faults.desk import Desk
from restorations.faults.models import Conclusion, FaultSheet, SheetClosed, Step, StoredEvidence
from restorations.faults.services.conclusions import read_sheet
from restorations.members.models import Act, Changed, Message
from tests.cast import Cast
from tests.factories import NOON
from tests.faults.builders import bench_sheet, make_go_ahead, make_soak, make_step, see
from tests.faults.concluding import (
    FLUSH,
    GUMMED,
    NOT_FOUND,
    POLISH,
    RUSTED,
    close,
    closed_sheet,
    cured_sheet,
    doing,
    found,
    looked_at,
    propose,
    put_right,
    reopen,
    reported,
    sign,
    treated_sheet,
)


def refusal(act: Callable[[], object]) -> str:
    with pytest.raises(ValidationError) as caught:
        act()
    return " ".join(caught.value.messages)


# What may be said of a cause


def test_a_cause_cured_and_proved_closes_the_sheet_with_its_remedy_named(cast: Cast) -> None:
    sheet = cured_sheet(cast)
    conclusion = close(sheet, cast.mentor)
    sheet.refresh_from_db()
    (cause,) = conclusion.causes.all()
    assert (cause.name, cause.how, cause.role) == (
        "Dried oil in axleboxes, rod bearings and motion pins",
        "cured",
        "cause",
    )
    assert cause.step == sheet.steps.get(action=FLUSH)
    assert sheet.closed_at == conclusion.closed_at
    assert Act.objects.about(sheet)[0].verb == "closed the fault sheet"


def two_remedies(cast: Cast) -> FaultSheet:
    sheet = treated_sheet(cast)
    put_right(sheet, cast.member, POLISH, RUSTED)
    reported(sheet, cast.member, 0)
    return sheet


def free_with_the_rod_off(cast: Cast) -> FaultSheet:
    sheet = treated_sheet(cast)
    make_step(sheet, cast.member, level=0, state={"off": ["connecting_rod@middle"]})
    return sheet


REFUSED = {
    "its own remedy is its proof": (treated_sheet, Confirmed(GUMMED, "cured"), "its own remedy would be its proof"),
    "two remedies before a look": (two_remedies, Confirmed(GUMMED, "cured"), "which of them cured it is inferred"),
    "free only because the rod is off": (free_with_the_rod_off, Confirmed(GUMMED, "cured"), "its own remedy"),
    "no remedy was aimed at it": (cured_sheet, Confirmed(RUSTED, "cured"), "no remedy on this sheet was aimed at it"),
    "seen by nobody": (cured_sheet, Confirmed(GUMMED, "seen"), "write where and how it was seen"),
    "inferred from nothing said": (cured_sheet, Confirmed(RUSTED, "inferred"), "write what it is inferred from"),
    "inferred from nothing seen": (
        cured_sheet, Confirmed("blast_pipe_choked", "inferred", words="It must be"), "nothing but itself",
    ),
    "unlisted without words": (cured_sheet, Confirmed("unlisted", "seen"), "in your own words"),
    "no such cause": (cured_sheet, Confirmed("no_such_cause", "seen", words="there"), "no such cause"),
}  # fmt: skip


@pytest.mark.parametrize(("sheet", "cause", "words"), REFUSED.values(), ids=REFUSED)
def test_a_cause_is_not_its_own_evidence(
    sheet: Callable[[Cast], FaultSheet], cause: Confirmed, words: str, cast: Cast
) -> None:
    row = sheet(cast)
    assert words in refusal(lambda: close(row, cast.mentor, found(cause, regardless="Given up.")))
    assert words in refusal(lambda: propose(row, cast.member, found(cause)))
    assert not Conclusion.objects.exists()


def test_what_was_found_by_looking_may_be_called_seen(cast: Cast) -> None:
    sheet = bench_sheet(cast)
    reported(sheet, cast.member)
    look = looked_at(sheet, cast.member, RUSTED)
    conclusion = close(sheet, cast.mentor, found(Confirmed(RUSTED, "seen"), regardless="Engine sold."))
    assert conclusion.causes.get().step == look


def test_the_unlisted_cause_is_told_in_words_and_others_are_found_by_the_way(cast: Cast) -> None:
    own = Confirmed("unlisted", "seen", words="A hazel nut in the steam chest.")
    by_the_way = Confirmed(RUSTED, "seen", "by_the_way", "Under the wheel, when it was off.")
    conclusion = close(cured_sheet(cast), cast.mentor, found(own, by_the_way))
    assert [cause.words for cause in conclusion.the_causes] == [own.words]
    assert [cause.cause for cause in conclusion.by_the_way] == [RUSTED]


@pytest.mark.parametrize(
    ("draft", "words"),
    [
        (ConclusionDraft("found"), "Say which cause it was"),
        (ConclusionDraft("not_found", (Confirmed(GUMMED, "cured"),)), "Either the cause was found"),
        (found(Confirmed(GUMMED, "cured"), Confirmed(GUMMED, "seen", words="there")), "named twice"),
    ],
)
def test_what_contradicts_itself_is_refused(draft: ConclusionDraft, words: str, cast: Cast) -> None:
    sheet = cured_sheet(cast)
    assert words in refusal(lambda: close(sheet, cast.mentor, draft))


# What has to be done before


def test_everything_that_is_missing_is_named_at_once(cast: Cast) -> None:
    sheet = treated_sheet(cast)
    make_go_ahead(sheet, cast.member, action="x", words="Press the axle out")
    make_step(sheet, cast.stranger, accepted=False, words="It squeaks")
    make_step(sheet, cast.member, kind="note", words="Heated it", without_go_ahead=True)
    said = refusal(lambda: close(sheet, cast.mentor, NOT_FOUND))
    for part in ("no mentor has looked at it: “Heated it”", "answer: “Press the axle out”", "struck out: “It squeaks”"):
        assert part in said
    assert "looked at again" not in said  # a mentor has answered for that in words
    sheet.refresh_from_db()
    assert sheet.closed_at is None


def test_the_complaint_is_looked_at_again_or_a_mentor_says_why_not(cast: Cast) -> None:
    sheet = treated_sheet(cast)
    make_step(sheet, cast.member, kind="begun", action="soak_cylinder@middle", words="Begun")
    make_soak(sheet.engine, cast.member, place="middle")
    said = refusal(lambda: close(sheet, cast.mentor, ConclusionDraft("not_found")))
    assert "looked at again and gone, with everything on that was on then: “Wheels stiff" in said
    assert "Still soaking" in said
    conclusion = close(sheet, cast.mentor, NOT_FOUND)
    assert conclusion.regardless == "Sold as it stands."


# Who


def test_a_mentor_closes_with_the_very_conclusion_that_was_proposed(cast: Cast) -> None:
    sheet = cured_sheet(cast)
    proposed = propose(sheet, cast.member)
    assert Message.objects.filter(to=cast.mentor, subject__contains="waits for a mentor").exists()
    conclusion = close(sheet, cast.mentor)
    assert conclusion == proposed
    assert (conclusion.concluded_by, conclusion.closed_by) == (cast.member, cast.mentor)


def test_a_mentor_who_sees_it_otherwise_leaves_the_proposal_readable(cast: Cast) -> None:
    sheet = cured_sheet(cast)
    proposed = propose(sheet, cast.member)
    conclusion = close(sheet, cast.mentor, found(words="Black and hard as varnish."))
    proposed.refresh_from_db()
    assert conclusion != proposed
    assert proposed.struck_reason == "conclusion 2 in its place"


def test_the_sheet_waits_until_a_mentor_without_a_part_in_it_has_signed(cast: Cast) -> None:
    conclusion = close(cured_sheet(cast), cast.mentor)
    assert FaultSheet.objects.waiting_for_sign_off().count() == 1
    for person in (cast.mentor, cast.member, cast.inspector):
        with pytest.raises(PermissionDenied):
            sign(conclusion, person)
    sign(conclusion, cast.mentor2)
    assert FaultSheet.objects.waiting_for_sign_off().count() == 0
    assert "signed it already" in refusal(lambda: sign(conclusion, cast.mentor2))


@pytest.mark.parametrize("part", ["a line", "a go-ahead asked", "a proposal"])
def test_whoever_had_a_part_in_it_does_not_sign(part: str, cast: Cast) -> None:
    sheet = cured_sheet(cast)
    if part == "a line":
        reported(sheet, cast.mentor2, 0)
    elif part == "a go-ahead asked":
        make_go_ahead(sheet, cast.mentor2, action="x", answer="given", answered_by=cast.mentor)
    else:
        propose(sheet, cast.mentor2)
    with pytest.raises(PermissionDenied, match="neither did the work"):
        sign(close(sheet, cast.mentor), cast.mentor2)


def test_boiler_work_is_signed_by_the_inspector_too(cast: Cast) -> None:
    conclusion = close(cured_sheet(cast), cast.mentor)
    Conclusion.objects.update(is_of_boiler=True)
    conclusion.refresh_from_db()
    sign(conclusion, cast.mentor2)
    conclusion.refresh_from_db()
    assert conclusion.signed_at is None
    sign(conclusion, cast.inspector)
    conclusion.refresh_from_db()
    assert conclusion.signed_at is not None


# Opening again, and sending things twice


def test_a_sheet_opened_again_is_written_on_and_closed_anew(cast: Cast) -> None:
    sheet = closed_sheet(cast)
    first = sheet.conclusions.get()
    reopen(first, cast.mentor2)
    first.refresh_from_db()
    assert (first.reopened_by, first.reopened_reason) == (cast.mentor2, "It came back.")
    see(sheet, cast.member, "wheels_stiff", 1)
    put_right(sheet, cast.member, POLISH, RUSTED)
    reported(sheet, cast.member, 0)
    second = close(sheet, cast.mentor, found(Confirmed(RUSTED, "cured")))
    assert sheet.conclusions.in_force().get() == second
    happened = cast.browser("member").get(f"/engines/{sheet.engine_id}/timeline/?kind=steps").text
    assert happened.count("Fault sheet closed") == 2 * happened.count("Fault sheet opened again") > 0
    assert "opened this sheet again" in refusal(lambda: reopen(first, cast.mentor))


def test_a_closed_sheet_takes_no_more_steps_and_no_second_conclusion(cast: Cast) -> None:
    sheet = closed_sheet(cast)
    for act in (
        lambda: see(sheet, cast.member, "wheels_stiff", 1),
        lambda: close(sheet, cast.mentor2),
        lambda: propose(sheet, cast.member),
    ):
        with pytest.raises(SheetClosed, match="Nothing was written"):
            act()


def test_forms_sent_twice_count_once(cast: Cast) -> None:
    sheet, mark, again = cured_sheet(cast), uuid4(), uuid4()
    conclusion = close(sheet, cast.mentor, mark=mark)
    assert close(sheet, cast.mentor, mark=mark) == conclusion
    reopen(conclusion, cast.mentor, mark=again)
    assert reopen(conclusion, cast.mentor, mark=again) == conclusion


def test_a_line_written_while_the_form_was_open_is_read_first(cast: Cast) -> None:
    sheet = cured_sheet(cast)
    version = FaultSheet.objects.get(pk=sheet.pk).version
    see(sheet, cast.mate, "wheels_stiff", 1)
    with pytest.raises(Changed):
        close(sheet, cast.mentor, version=version)


def test_a_withdrawn_proposal_stays_readable(cast: Cast) -> None:
    sheet = cured_sheet(cast)
    row = propose(sheet, cast.member)
    services.withdraw_proposal(conclusion=row, reason="Wrong sheet", doing=doing(cast.member), mark=uuid4())
    row.refresh_from_db()
    assert row.struck_reason == "Wrong sheet"
    assert not Conclusion.objects.proposed().exists()


def test_nothing_is_called_cured_while_something_dangerous_is_still_so(cast: Cast) -> None:
    sheet = cured_sheet(cast)
    expanded = read_sheet(sheet).expanded
    name = next(name for name, placed in expanded.findings.items() if placed.entry.dangerous)
    make_step(sheet, cast.member, finding=name, level=1, words="Seen")
    said = refusal(lambda: close(sheet, cast.mentor, found(regardless="Stopped, see there.")))
    assert "nothing is called cured while" in said


def test_what_waits_to_be_closed_or_signed_lies_on_the_desk_of_whoever_may(cast: Cast) -> None:
    proposed, waits = propose(cured_sheet(cast), cast.member), close(cured_sheet(cast), cast.mentor)
    of_boiler = close(cured_sheet(cast), cast.mentor)
    Conclusion.objects.filter(pk=of_boiler.pk).update(is_of_boiler=True)
    desks = {name: Desk.of(cast[name], at=NOON) for name in ("mentor", "mentor2", "inspector")}
    assert [list(desk.to_close()) for desk in desks.values()] == [[proposed], [proposed], []]
    assert [set(desk.to_sign()) for desk in desks.values()] == [set(), {waits, of_boiler}, {of_boiler}]
    sign(of_boiler, cast.mentor2)
    assert [set(desk.to_sign()) for desk in desks.values()] == [set(), {waits}, {of_boiler}]
    assert "sign it off" in cast.browser("mentor2").get("/desk/").text


def test_a_sheet_of_500_observations_is_closed_and_teaches(cast: Cast) -> None:
    sheet = cured_sheet(cast)
    pattern = Step.objects.filter(sheet=sheet).latest("number")
    names = sorted(read_sheet(sheet).expanded.findings)
    Step.objects.bulk_create(
        Step(
            sheet=sheet, number=10 + n, kind="observation", finding=names[n % len(names)], level=0, words=f"Line {n}",
            state=pattern.state, happened_at=NOON, done_by=cast.member, recorded_by=cast.member, accepted_at=NOON,
            accepted_by=cast.member,
        )
        for n in range(500)
    )  # fmt: skip
    close(sheet, cast.mentor)
    kept = StoredEvidence.objects.get(sheet=sheet)
    assert kept.at_start or kept.left_out


def test_only_who_could_sign_it_hears_that_it_waits_for_a_sign_off(cast: Cast) -> None:
    sheet = cured_sheet(cast)
    looked_at(sheet, cast.mentor2, RUSTED, present=False)
    close(sheet, cast.mentor)
    assert not Message.objects.filter(subject__contains="waits for a sign-off").exists()
