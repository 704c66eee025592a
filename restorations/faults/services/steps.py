"""Recording a step: evidence, what it moved on the bench, and the ranking that follows, in one piece."""

from collections.abc import Sequence
from dataclasses import dataclass, field, replace
from datetime import datetime, timedelta
from typing import Any
from uuid import UUID

from django.core.exceptions import ValidationError
from django.db.models import Max
from django.utils import timezone

from restorations.faults.facts import SheetState, facts_from, first_state, parts_off_at, turns_freely
from restorations.faults.gates import tag_gates
from restorations.faults.leave import Leave, leave_on
from restorations.faults.models import FaultSheet, Snapshot, Step
from restorations.faults.ranking import Ranking
from restorations.faults.services.dangers import stop_for_danger, with_stop
from restorations.faults.services.lapses import note_lapses
from restorations.faults.services.sheets import (
    Change,
    Ground,
    change_sheet,
    ground_of,
    is_repeat,
    leave_for_all,
    next_number,
    note_correction,
    ranking_of,
    save_snapshot,
    until_unchanged,
)
from restorations.faults.standing_kinds import is_of_boiler, kind_of
from restorations.faults.telling import tell_of_step_without
from restorations.knowledge import EngineFacts
from restorations.members.doing import Doing
from restorations.members.models import Member
from restorations.members.models.records import Submission, record, submit_once
from restorations.photos.models import Photo
from restorations.photos.services import accept_photo, attach
from restorations.tasks.services import SoakPlan, begin_soak, end_soaks, put_back_all, soaked_at, take_off
from restorations.tasks.soaks import remedy_success

PERMISSION_GATES = frozenset({"go-ahead", "inspector", "consent"})
UNDO_WITHIN = timedelta(minutes=10)


@dataclass(frozen=True, slots=True)
class StepDraft:
    """A step as a form gives it, checked against the engine's knowledge but not yet written."""

    kind: str
    words: str
    action: str = ""
    finding: str = ""
    level: int | None = None
    cause: str = ""
    present: bool | None = None
    sensitivity: float | None = None
    false_alarm: float | None = None
    causes: tuple[str, ...] = ()
    success: float | None = None
    reported: bool = False
    conditions: dict[str, str] = field(default_factory=dict)
    note: str = ""
    turn_degrees: str = ""
    prepared: tuple[str, ...] = ()
    """Gate facts that whoever did it made so: wheels chocked, tied down, the steam pipe parted."""
    taken_off: tuple[str, ...] = ()
    refitted: tuple[str, ...] = ()
    box: str = ""
    happened_at: datetime | None = None
    soak: tuple[str, str, bool, float] | None = None
    """Place, fluid, volatile, days: a soak this step begins."""
    ends_soak: str = ""
    """The place where this step ends whatever soaks there."""


def record_step(*, sheet: FaultSheet, draft: StepDraft, doing: Doing, mark: UUID, photos: Sequence[Photo] = ()) -> Step:
    """Write the step, what came with it and the new ranking; a repeat gets the first one's step.

    `photos` are rows that photos.services.take_in made ready.
    """
    earlier = Submission.objects.filter(member=doing.member, mark=mark).first()
    if earlier is not None:
        return earlier.row  # type: ignore[no-any-return]

    def attempt() -> Step:
        fresh = FaultSheet.objects.select_related("engine").get(pk=sheet.pk)
        fresh.require_open()
        return _attempt(fresh, draft, doing, mark, photos)

    step: Step = until_unchanged(attempt)
    return step


def _attempt(sheet: FaultSheet, draft: StepDraft, doing: Doing, mark: UUID, photos: Sequence[Photo]) -> Step:
    before, version, was = sheet.latest_snapshot, sheet.version, sheet.configuration_id
    ground = ground_of(sheet, at=doing.at)
    draft = _as_soaked(sheet, draft, ground, doing.at)
    step = _unsaved_step(sheet, draft, ground, doing)
    _mark_gates(step, draft, ground, doing)
    if doing.stands:
        ground = _with(ground, step, draft)
    ground = with_stop(ground, step)
    leave, facts = leave_for_all(sheet, ground, at=doing.at)
    ranking = ranking_of(ground, facts)

    def make() -> Step:
        sheet.save_from(version, state=_carried_on(draft, ground, sheet).plain(), configuration=ground.configuration)
        note_correction(sheet, ground, doing, was=was)
        step.number, step.before = next_number(sheet), before
        step.stoppage = stop_for_danger(step, ground, doing)
        step.full_clean(exclude=["before", "after", "go_ahead"])
        step.save()
        attach(photos, step.photos, doing)
        _move_parts(sheet, draft, doing)
        _link_snapshot(step, save_snapshot(sheet, ground, _numbered(ranking, step.number)))
        note_lapses(leave, at=doing.at)
        record(doing.member, "recorded a step", step, after={"words": step.words})
        tell_of_step_without(step)
        return step

    return submit_once(doing.member, mark, make)[0]


def _as_soaked(sheet: FaultSheet, draft: StepDraft, ground: Ground, at: datetime) -> StepDraft:
    """A soak that went on longer than its remedy foresees, and was tried again and again, freed more."""
    remedy = ground.expanded.remedies.get(draft.action)
    if remedy is None or draft.success is None or not draft.ends_soak:
        return draft
    soaked = soaked_at(sheet.engine, draft.ends_soak, at=at)
    longer = soaked.days - remedy.entry.waiting_days
    return replace(draft, success=remedy_success(draft.success, longer, soaked.attempts))


def _carried_on(draft: StepDraft, ground: Ground, sheet: FaultSheet) -> SheetState:
    """A check sets the engine up and leaves it so; a thing merely seen does not."""
    state = SheetState.of(sheet.state)
    if _is_late(draft, ground):
        return state
    state = state.prepared(draft.prepared, refitted=draft.refitted)
    return replace(state, conditions={**state.conditions, **draft.conditions}) if draft.action else state


def _is_late(draft: StepDraft, ground: Ground) -> bool:
    """Written down after something that came later: it takes its place and changes nothing of today."""
    return draft.happened_at is not None and any(row.happened_at > draft.happened_at for row in ground.steps)


def _state_then(sheet: FaultSheet, draft: StepDraft, ground: Ground) -> dict[str, Any]:
    """The state this was seen or done in: today's, or that of the line before it where it is written down late."""
    state = _state_before(draft, ground) if _is_late(draft, ground) else SheetState.of(sheet.state)
    state = state.prepared(draft.prepared, refitted=draft.refitted)
    off = ground.bench.off if draft.happened_at is None else parts_off_at(sheet.engine, draft.happened_at)
    off = (off | frozenset(draft.taken_off)) - frozenset(draft.refitted)
    return {**state.plain(), "off": sorted(off), "conditions": {**state.conditions, **draft.conditions}}


def _state_before(draft: StepDraft, ground: Ground) -> SheetState:
    earlier = [row for row in ground.steps if draft.happened_at and row.happened_at <= draft.happened_at]
    return SheetState.of(earlier[-1].state) if earlier else first_state(ground.expanded)


def _unsaved_step(sheet: FaultSheet, draft: StepDraft, ground: Ground, doing: Doing) -> Step:
    last = sheet.steps.not_struck().aggregate(last=Max("happened_at"))["last"] or doing.at
    return Step(
        sheet=sheet, number=0, kind=draft.kind, action=draft.action, finding=draft.finding, level=draft.level,
        cause=draft.cause, present=draft.present, sensitivity=draft.sensitivity, false_alarm=draft.false_alarm,
        causes=list(draft.causes), success=draft.success, reported=draft.reported,
        state=_state_then(sheet, draft, ground),
        words=draft.words[:400], note=draft.note, turn_degrees=draft.turn_degrees, done_by=doing.member,
        recorded_by=doing.member, happened_at=draft.happened_at or max(doing.at, last), recorded_at=doing.at,
        **doing.acceptance,
    )  # fmt: skip


def _with(ground: Ground, step: Step, draft: StepDraft) -> Ground:
    """The ground once this step stands: in its place by time, parts moved."""
    steps = sorted([*ground.steps, step], key=lambda row: (row.happened_at, row.number or 10**9))
    bench = ground.bench.after(taken_off=draft.taken_off, refitted=draft.refitted, at=step.happened_at)
    soaks = {soak for soak in bench.soaks if soak[0] != draft.ends_soak}
    if draft.soak is not None:
        place, _, volatile, _ = draft.soak
        soaks.add((place, volatile))
    bench = replace(bench, soaks=frozenset(soaks))
    return replace(ground, bench=bench, steps=steps)


def _mark_gates(step: Step, draft: StepDraft, ground: Ground, doing: Doing) -> None:
    """The truth is never refused: what was done although a gate was shut is written down and marked."""
    if not step.action or step.kind in {"could_not_do", "note"}:
        return
    leave, facts = _leave_then(step, draft, ground, doing)
    placed = ground.expanded.checks.get(step.action) or ground.expanded.remedies[step.action]
    gates = (*tag_gates(placed.entry, ground.bench.tags), *ground.expanded.gates(step.action, facts))
    kind = kind_of(placed.entry)
    step.go_ahead = next((row for row in reversed(leave.go_aheads) if row.action == step.action), None)
    standing = next((row for row in leave.standing if row.kind == kind), None)
    step.standing_go_ahead = None if step.go_ahead else standing
    step.is_of_boiler = is_of_boiler(placed.entry)
    step.without_go_ahead = any(gate.kind in PERMISSION_GATES for gate in gates)
    step.done_although = "; ".join(gate.words for gate in gates)[:400]


def _leave_then(step: Step, draft: StepDraft, ground: Ground, doing: Doing) -> tuple[Leave, EngineFacts]:
    """What was allowed when it was done, and how the engine stood. A helper goes by nobody's go-ahead."""
    earlier = [row for row in ground.steps if row.happened_at <= step.happened_at]
    bench = ground.bench.after(taken_off=draft.taken_off, refitted=draft.refitted, at=step.happened_at)
    state = SheetState.of(step.state)
    turns = turns_freely(earlier, bench, state.slackened)
    bare = facts_from(state, bench, turns=turns, go_aheads=frozenset(), consents=frozenset())
    leave = leave_on(step.sheet, ground.expanded, bare, at=step.happened_at, by=doing.member)
    if not doing.stands:
        leave = replace(leave, go_aheads=(), standing=(), actions=frozenset())
    return leave, leave.on(bare)


def _move_parts(sheet: FaultSheet, draft: StepDraft, doing: Doing) -> None:
    then = replace(doing, at=draft.happened_at or doing.at)
    for part_id in draft.taken_off:
        take_off(engine=sheet.engine, part_id=part_id, box=draft.box, doing=then)
    put_back_all(sheet.engine, draft.refitted, doing)
    if draft.ends_soak:
        end_soaks(sheet.engine, draft.ends_soak, doing)
    if draft.soak is not None:
        place, fluid, volatile, days = draft.soak
        plan = SoakPlan(place, fluid, volatile, then.at + timedelta(days=days))
        begin_soak(engine=sheet.engine, plan=plan, doing=then)


def _numbered(ranking: Ranking, number: int) -> Ranking:
    """The step had no number while it was ranked; give it the one it got."""
    return replace(ranking, events=[row or number for row in ranking.events])


def _link_snapshot(step: Step, snapshot: Snapshot) -> None:
    step.after = snapshot
    step.save(update_fields=["after"])


def strike_step(*, step: Step, member: Member, reason: str, at: datetime, mark: UUID) -> FaultSheet:
    """Strike a step out with a reason and rank the sheet without it."""

    def write() -> None:
        step.strike_out(member=member, reason=reason, at=at)
        record(member, "struck out a step", step, before={"words": step.words}, after={"reason": reason})

    change = Change(
        "ranked without a struck step", stands=lambda steps: [row for row in steps if row.pk != step.pk], write=write
    )
    return change_sheet(step.sheet, change, member=member, mark=mark, at=at)


def undo_step(*, step: Step, member: Member, at: datetime, mark: UUID) -> FaultSheet:
    """Take one's own line back while it is fresh; a repeat finds it done."""
    if not is_repeat(member, mark) and not can_undo(step, member, at=at):
        raise ValidationError("A line can be undone for ten minutes, once. Strike it out instead.")
    return strike_step(step=step, member=member, reason="undone at once", at=at, mark=mark)


def accept_step(*, step: Step, member: Member, at: datetime, mark: UUID) -> FaultSheet:
    """One of the hands takes a helper's step for true; only now does it count."""

    def stands(steps: list[Step]) -> list[Step]:
        rest = [row for row in steps if row.pk != step.pk]
        return sorted([*rest, step], key=lambda row: (row.happened_at, row.number))

    def write() -> None:
        if not Step.objects.waiting().filter(pk=step.pk).update(accepted_at=at, accepted_by=member):
            raise ValidationError("This line was accepted or struck out meanwhile.")
        for photo in step.photos.all():
            accept_photo(photo=photo, member=member, at=at)
        record(member, "accepted a step", step)

    change = Change("ranked with an accepted step", stands=stands, write=write)
    return change_sheet(step.sheet, change, member=member, mark=mark, at=at)


def can_undo(step: Step, member: Member, *, at: datetime | None = None) -> bool:
    """One's own last step, for a few minutes."""
    at = at or timezone.now()
    return step.recorded_by_id == member.pk and not step.is_struck and at - step.recorded_at < UNDO_WITHIN
