"""Engines for a running day: asked for, allocated, withdrawn; what each did goes into its day book."""

from dataclasses import dataclass
from datetime import datetime, time
from uuid import UUID, uuid5

from django.core.exceptions import PermissionDenied, ValidationError
from django.db import IntegrityError, transaction
from django.utils import timezone

from restorations.engines.access import places_of
from restorations.engines.models import Engine
from restorations.engines.state import day as on_day
from restorations.members.doing import Doing
from restorations.members.models.records import record, submit_once
from restorations.members.permissions import allowed
from restorations.tasks.models import DayBookEntry
from restorations.tasks.services.day_book import EntryDraft, write_entry
from restorations.traffic.models import Allocation, RunningDay
from restorations.traffic.services.running_days import refuse_before, refuse_called_off
from restorations.traffic.what_runs import CANNOT, Runs, runs_of, with_boilers

MOST_CONDITION = 500
RESULT_REFUSED = "What an engine did is recorded by its hands, its owner, a mentor or the secretary."


def how_it_stands(engine: Engine, row: RunningDay, at: datetime) -> Runs:
    """Whether this engine can run that day, by state and papers."""
    found = with_boilers(Engine.objects.filter(pk=engine.pk))
    return runs_of(found, row.on, today=timezone.localdate(at), opened={engine.pk})[0]


def ask_for(*, row: RunningDay, engine: Engine, words: str, doing: Doing, mark: UUID) -> Allocation:
    """A member would like it to run; the secretary allocates. What stands against it is said, not refused."""

    def make() -> Allocation:
        if row.on < timezone.localdate(doing.at):
            raise ValidationError("This day has gone by; the secretary adds an engine that ran as well.")
        return _enter(row, engine, words, doing)

    return submit_once(doing.member, mark, make)[0]


def allocate(*, row: RunningDay, engine: Engine, words: str, doing: Doing, mark: UUID) -> Allocation:
    """Put it on the day. One that cannot run then is refused; one that could if something happens, with that if.

    From the day itself on nothing is refused: what ran has run.
    """

    def make() -> Allocation:
        Engine.objects.select_for_update().get(pk=engine.pk)
        condition = _condition(engine, row, doing)
        asked = row.allocations.holding().filter(engine=engine).first()
        if asked is not None and asked.allocated_at is not None:
            raise ValidationError(f"{engine} is allocated to this day already.")
        held = asked or _enter(row, engine, words, doing)
        Allocation.objects.filter(pk=held.pk).update(
            allocated_by=doing.member, allocated_at=doing.at, condition=condition
        )
        held.refresh_from_db()
        record(doing.member, "allocated an engine", row, after={"engine": engine, "if": condition})
        return held

    return submit_once(doing.member, mark, make)[0]


def _condition(engine: Engine, row: RunningDay, doing: Doing) -> str:
    runs = how_it_stands(engine, row, doing.at)
    if runs.answer == CANNOT and row.on > timezone.localdate(doing.at):
        raise ValidationError(f"{engine} cannot run on {on_day(row.on)}: {runs.sentence}.")
    return runs.sentence[:MOST_CONDITION]


def _enter(row: RunningDay, engine: Engine, words: str, doing: Doing) -> Allocation:
    refuse_called_off(row)
    if engine.gone_on is not None and engine.gone_on <= row.on:
        raise ValidationError(engine.gone_in_words)
    try:
        with transaction.atomic():
            held = Allocation.objects.create(
                day=row, engine=engine, words=words, asked_by=doing.member, asked_at=doing.at
            )
    except IntegrityError:
        raise ValidationError(f"{engine} is asked for or allocated on this day already.") from None
    record(doing.member, "asked for an engine", row, after={"engine": engine, "what for": words})
    return held


def withdraw(*, allocation: Allocation, reason: str, doing: Doing, mark: UUID) -> Allocation:
    """It does not run that day after all; kept, with the reason."""

    def make() -> Allocation:
        changes = {"withdrawn_by": doing.member, "withdrawn_at": doing.at, "withdrawn_reason": reason}
        fresh = _locked(allocation)
        if fresh.withdrawn_at is not None:
            raise ValidationError(f"It is withdrawn already: {fresh.withdrawn_reason}.")
        if fresh.has_result:
            raise ValidationError("What it did that day is in its day book already; strike that out first.")
        Allocation.objects.filter(pk=fresh.pk).update(**changes)
        record(doing.member, "withdrew an engine", fresh.day, after={"engine": fresh.engine, "reason": reason})
        fresh.refresh_from_db()
        return fresh

    return submit_once(doing.member, mark, make)[0]


@dataclass(frozen=True, slots=True)
class Ran:
    """What an engine did on the day; `by_name` is whoever ran it, where that was not the one who writes it down."""

    ran: bool
    laps: int | None = None
    minutes: int | None = None
    words: str = ""
    by_name: str = ""


def record_result(*, allocation: Allocation, ran: Ran, doing: Doing, mark: UUID) -> Allocation:
    """Write it into the engine's day book; a helper's line waits for one of the hands, as everywhere."""
    places = places_of(doing.member, allocation.engine, timezone.localdate(doing.at))
    if not allowed("record what an engine did on a running day", places):
        raise PermissionDenied(RESULT_REFUSED)

    def make() -> Allocation:
        fresh = _locked(allocation)
        _refuse_result(fresh, doing.at)
        writing = Doing(doing.member, doing.at, stands=allowed("log work", places))
        entry = _write(fresh, ran, writing, mark)
        Allocation.objects.filter(pk=fresh.pk).update(ran=ran.ran, laps=ran.laps, minutes=ran.minutes, entry=entry)
        fresh.refresh_from_db()
        record(doing.member, "recorded what an engine did", fresh.day, after={"engine": fresh.engine, "ran": ran.ran})
        return fresh

    return submit_once(doing.member, mark, make)[0]


def _locked(allocation: Allocation) -> Allocation:
    """The row itself, and not what it may be without, which PostgreSQL would not lock."""
    rows = Allocation.objects.select_for_update(of=("self",)).select_related("day", "engine", "entry")
    return rows.get(pk=allocation.pk)


def _refuse_result(allocation: Allocation, at: datetime) -> None:
    refuse_before(allocation.day, at)
    if allocation.withdrawn_at is not None:
        raise ValidationError(f"It was withdrawn from this day: {allocation.withdrawn_reason}.")
    if allocation.has_result:
        raise ValidationError("What it did that day is in its day book already; strike that out first.")


def _write(allocation: Allocation, ran: Ran, doing: Doing, mark: UUID) -> DayBookEntry:
    """Hours run are no hours worked, so the line itself carries none."""
    noon = timezone.make_aware(datetime.combine(allocation.day.on, time(12)))
    draft = EntryDraft(
        text=in_words(allocation.day, ran), happened=(min(noon, doing.at), "day"), by_name=ran.by_name
    )  # fmt: skip
    return write_entry(engine=allocation.engine, draft=draft, doing=doing, mark=_of_entry(mark))


def _of_entry(mark: UUID) -> UUID:
    """The line in the day book is a submission of its own, known again by the mark of the form."""
    return uuid5(mark, "day book")


def in_words(row: RunningDay, ran: Ran) -> str:
    """ "Ran on 14 Nov 2026, Autumn steaming: 12 laps, 3 h."."""
    did = []
    if ran.laps is not None:
        did.append(f"{ran.laps} lap{'' if ran.laps == 1 else 's'}")
    if ran.minutes is not None:
        did.append(f"{ran.minutes / 60:.3g} h")
    what = f": {', '.join(did)}" if did else ""
    verb = "Ran on" if ran.ran else "Was to run on, and did not,"
    return f"{verb} {on_day(row.on)}, {row.title}{what}. {ran.words}".strip()
