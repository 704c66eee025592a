"""Proposing, closing, signing off and opening again. What is heavy is worked out before the transaction or after it."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from uuid import UUID

from django.core.exceptions import PermissionDenied, ValidationError
from django.db import IntegrityError, transaction
from django.utils import timezone

from restorations.faults.closing import ConclusionDraft, bars_of, faults_in, to_be_done, what_is_missing
from restorations.faults.confirming import Confirmed, cure_of, look_that_found, name_of
from restorations.faults.models import Conclusion, ConfirmedCause, FaultSheet, SheetScore, SignOff, Snapshot, Step
from restorations.faults.reviewers import who_may
from restorations.faults.scoring import score_of
from restorations.faults.services.learning import rebuild_learning
from restorations.faults.services.sheets import is_repeat, stored_knowledge, until_unchanged
from restorations.faults.signing import Signature, signature_of, still_to_sign, took_part, who_may_sign
from restorations.knowledge import UNLISTED, EngineKnowledge
from restorations.members.doing import Doing
from restorations.members.models import Changed, Member, Message
from restorations.members.models.records import Submission, record, submit_once

OWN_WORK = (
    "A conclusion is signed off by somebody who neither did the work, nor asked for a go-ahead, nor concluded it."
)


@dataclass(frozen=True, slots=True)
class Reading:
    """A sheet as it is read for a conclusion: its standing steps, and the knowledge of its newest ranking."""

    sheet: FaultSheet
    snapshot: Snapshot
    expanded: EngineKnowledge
    steps: list[Step]


def read_sheet(sheet: FaultSheet) -> Reading:
    snapshot = sheet.latest_snapshot
    if snapshot is None:
        raise LookupError(f"{sheet} has no ranking")
    steps = list(sheet.steps.standing().select_related("done_by").in_order())
    return Reading(sheet, snapshot, stored_knowledge(snapshot.model.checksum), steps)


def _fresh(sheet: FaultSheet) -> FaultSheet:
    fresh: FaultSheet = FaultSheet.objects.select_related("engine").get(pk=sheet.pk)
    fresh.require_open()
    return fresh


def propose_conclusion(*, sheet: FaultSheet, draft: ConclusionDraft, doing: Doing, mark: UUID) -> Conclusion:
    """By anybody who works on the engine; it takes the place of the one proposed before."""

    def make() -> Conclusion:
        reading = read_sheet(_fresh(sheet))
        _refuse(faults_in(draft, reading.steps, reading.expanded))
        row = _write(reading, draft, doing)
        record(doing.member, "proposed a conclusion", sheet, after=_plain(draft, reading.expanded))
        mentors = who_may("close a fault sheet", sheet.engine, on=timezone.localdate(doing.at))
        _tell(mentors, doing, sheet, "a conclusion waits for a mentor", row)
        return row

    return submit_once(doing.member, mark, make)[0]


def close_sheet(
    *, sheet: FaultSheet, draft: ConclusionDraft, doing: Doing, mark: UUID, version: int | None = None
) -> Conclusion:
    """By a mentor. `version` is the sheet's when the form was opened: a line written since is read first (Changed)."""
    if is_repeat(doing.member, mark):
        return _repeated(doing.member, mark)

    def attempt() -> Conclusion:
        reading = read_sheet(_fresh(sheet))
        if version is not None and reading.sheet.version != version:
            raise Changed(reading.sheet)
        return _close(reading, draft, doing, mark)

    conclusion: Conclusion = attempt() if version is not None else until_unchanged(attempt)
    rebuild_learning(at=doing.at)
    return conclusion


def _close(reading: Reading, draft: ConclusionDraft, doing: Doing, mark: UUID) -> Conclusion:
    sheet, version = reading.sheet, reading.sheet.version
    bars = bars_of(sheet, reading.steps, reading.expanded)
    _refuse([*faults_in(draft, reading.steps, reading.expanded), *what_is_missing(draft, bars)])
    score = score_of(sheet, draft.causes, reading.steps, reading.expanded)

    def make() -> Conclusion:
        sheet.save_from(version, closed_at=doing.at)
        _refuse([bar.words for bar in to_be_done(sheet)])  # asked for, or written by a helper, in this very moment
        row = _standing_as_drafted(sheet, draft) or _write(reading, draft, doing)
        row.closed_at, row.closed_by, row.snapshot = doing.at, doing.member, reading.snapshot
        row.save()
        SheetScore.objects.create(conclusion=row, **score)
        record(doing.member, "closed the fault sheet", sheet, after=_plain(draft, reading.expanded))
        _tell_of_closing(sheet, row, doing)
        return row

    return submit_once(doing.member, mark, make)[0]


def sign_off(*, conclusion: Conclusion, words: str, doing: Doing, mark: UUID) -> SignOff:
    """By a mentor who had no part in it, and of boiler work by the inspector too."""

    def make() -> SignOff:
        row = Conclusion.objects.select_related("sheet__engine", "closed_by").get(pk=conclusion.pk)
        signature = signature_of(doing.member, row, on=timezone.localdate(doing.at))
        if not row.is_in_force:
            raise ValidationError("This conclusion does not hold any more: the sheet was opened again.")
        if not signature:
            raise PermissionDenied(OWN_WORK)
        signed = _sign(row, signature, words, doing)
        if not still_to_sign(row, list(row.sign_offs.all())):
            Conclusion.objects.filter(pk=row.pk, signed_at__isnull=True).update(signed_at=doing.at)
        record(doing.member, "signed off a fault sheet", row.sheet, after={"words": words})
        if row.closed_by is not None:
            _tell([row.closed_by], doing, row.sheet, "signed off", row)
        return signed

    return submit_once(doing.member, mark, make)[0]


def _sign(conclusion: Conclusion, signature: Signature, words: str, doing: Doing) -> SignOff:
    offices = {"as_mentor": signature.as_mentor, "as_inspector": signature.as_inspector}
    try:
        with transaction.atomic():
            return SignOff.objects.create(conclusion=conclusion, at=doing.at, by=doing.member, words=words, **offices)
    except IntegrityError:
        raise ValidationError("You have signed it already.") from None


def reopen_sheet(*, conclusion: Conclusion, reason: str, doing: Doing, mark: UUID) -> Conclusion:
    """The conclusion stays readable with the reason, and counts no more."""
    if is_repeat(doing.member, mark):
        return _repeated(doing.member, mark)

    def attempt() -> Conclusion:
        sheet = FaultSheet.objects.select_related("engine").get(pk=conclusion.sheet_id)
        return submit_once(doing.member, mark, lambda: _reopen(conclusion, sheet, reason, doing))[0]

    reopened: Conclusion = until_unchanged(attempt)
    rebuild_learning(at=doing.at)
    return reopened


def _reopen(conclusion: Conclusion, sheet: FaultSheet, reason: str, doing: Doing) -> Conclusion:
    changed = Conclusion.objects.in_force().filter(pk=conclusion.pk).update(
        reopened_at=doing.at, reopened_by=doing.member, reopened_reason=reason
    )  # fmt: skip
    if not changed:
        raise ValidationError("Somebody has opened this sheet again meanwhile.")
    sheet.save_from(sheet.version, closed_at=None)
    row: Conclusion = Conclusion.objects.select_related("closed_by", "concluded_by").get(pk=conclusion.pk)
    record(doing.member, "opened the fault sheet again", sheet, after={"reason": reason})
    signers = Member.objects.filter(pk__in=row.sign_offs.values("by"))
    _tell([row.closed_by, row.concluded_by, *signers], doing, sheet, "opened again", row)
    return row


def withdraw_proposal(*, conclusion: Conclusion, reason: str, doing: Doing, mark: UUID) -> Conclusion:
    """Struck out: it stays readable with the reason."""

    def make() -> Conclusion:
        _fresh(conclusion.sheet)
        _strike(conclusion, doing, reason)
        record(doing.member, "withdrew a conclusion", conclusion.sheet, after={"reason": reason})
        return conclusion

    return submit_once(doing.member, mark, make)[0]


def _repeated(member: Member, mark: UUID) -> Conclusion:
    row: Conclusion = Submission.objects.get(member=member, mark=mark).row
    return row


def _refuse(problems: Sequence[str]) -> None:
    if problems:
        raise ValidationError(list(problems))


def _standing_as_drafted(sheet: FaultSheet, draft: ConclusionDraft) -> Conclusion | None:
    """The proposal, where the mentor closes with just that."""
    proposed: list[Conclusion] = list(sheet.conclusions.proposed().prefetch_related("causes"))
    return next((row for row in proposed if drafted(row).says_the_same_as(draft)), None)


def drafted(row: Conclusion) -> ConclusionDraft:
    causes = tuple(Confirmed(one.cause, one.how, one.role, one.words) for one in row.causes.all())
    return ConclusionDraft(row.outcome, causes, row.words, row.regardless)


def _write(reading: Reading, draft: ConclusionDraft, doing: Doing) -> Conclusion:
    """Call inside a transaction."""
    sheet = reading.sheet
    number = (sheet.conclusions.order_by("-number").values_list("number", flat=True).first() or 0) + 1
    for earlier in sheet.conclusions.proposed():
        _strike(earlier, doing, f"conclusion {number} in its place")
    row = Conclusion(
        sheet=sheet, number=number, outcome=draft.outcome, words=draft.words, regardless=draft.regardless,
        is_of_boiler=_is_of_boiler(draft, reading), concluded_at=doing.at, concluded_by=doing.member,
    )  # fmt: skip
    row.full_clean(exclude=["sheet", "concluded_by"])
    row.save()
    for one in draft.causes:
        _confirm(row, one, reading)
    return row


def _confirm(row: Conclusion, one: Confirmed, reading: Reading) -> None:
    placed = reading.expanded.causes[one.cause]
    step = {
        "seen": look_that_found(one.cause, reading.steps),
        "cured": cure_of(one.cause, reading.steps, reading.expanded).remedy,
    }.get(one.how)
    ConfirmedCause.objects.create(
        conclusion=row, cause=one.cause, name=placed.name[:200], system=placed.entry.system, how=one.how,
        role=one.role, words=one.words, step=step,
    )  # fmt: skip


def _is_of_boiler(draft: ConclusionDraft, reading: Reading) -> bool:
    """A cause of the boiler, one that only the inspector lets be put right, or a finding that stops the boiler."""
    causes = {one.cause for one in draft.causes} - {UNLISTED}
    expanded = reading.expanded
    inspectors = (remedy for remedy in expanded.remedies.values() if remedy.entry.authority == "inspector")
    seen = {step.finding for step in reading.steps if step.kind == "observation" and step.level}
    return (
        any(expanded.causes[cause].entry.system == "boiler" for cause in causes)
        or any(causes & remedy.causes for remedy in inspectors)
        or any(expanded.findings[name].entry.stops == "boiler" for name in seen & expanded.findings.keys())
    )


def _strike(row: Conclusion, doing: Doing, reason: str) -> None:
    if row.closed_at is not None:
        raise ValidationError("A mentor has closed the sheet with it: it is opened again, not withdrawn.")
    row.strike_out(member=doing.member, reason=reason, at=doing.at)


def _plain(draft: ConclusionDraft, expanded: EngineKnowledge) -> dict[str, str]:
    causes = "; ".join(f"{name_of(one.cause, expanded)} ({one.role}, {one.how})" for one in draft.causes)
    return {"outcome": draft.outcome, "causes": causes, "words": draft.words, "regardless": draft.regardless}


def _tell_of_closing(sheet: FaultSheet, row: Conclusion, doing: Doing) -> None:
    """Who opened it and who concluded; and whoever could sign it, which nobody can who had a part in it."""
    _tell([sheet.opened_by, row.concluded_by], doing, sheet, "fault sheet closed", row)
    others = (one for one in who_may_sign(row, on=timezone.localdate(doing.at)) if not took_part(one, sheet))
    _tell(others, doing, sheet, "waits for a sign-off", row)


def _tell(to: Iterable[Member | None], doing: Doing, sheet: FaultSheet, what: str, row: Conclusion) -> None:
    body = f"{sheet}\n{row}. {row.words}\n{doing.member}: {sheet.get_absolute_url()}\n"
    for member in dict.fromkeys(one for one in to if one is not None and one.pk != doing.member.pk):
        Message.objects.create(to=member, subject=f"{sheet.engine}: {what}"[:150], body=body)
