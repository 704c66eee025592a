"""Planning a running day, changing it, calling it off, saying how it went, and who comes."""

from collections.abc import Collection, Mapping
from datetime import date, datetime
from typing import Any
from uuid import UUID

from django.core.exceptions import ValidationError
from django.db import IntegrityError, transaction
from django.utils import timezone

from restorations.calc.schedule import months_later
from restorations.engines.state import day
from restorations.members.doing import Doing
from restorations.members.models import Member
from restorations.members.models.records import record, submit_once
from restorations.members.services.people import changed
from restorations.traffic.models import Attendance, RunningDay

MONTHS_AHEAD = 36
PAST = "This day has gone by: a running day is planned ahead. What an engine did is written in its day book."
TOO_FAR = f"That is more than {MONTHS_AHEAD // 12} years ahead; look at the year again."
NOT_YET = "This day is yet to come: say how it went once it has been."
NOT_HELD = "This day was called off."


def plan_day(*, on: date, said: Mapping[str, Any], doing: Doing, mark: UUID) -> RunningDay:
    """Put a day into the calendar: title, begins_at, ends_at, note."""

    def make() -> RunningDay:
        _refuse_date(on, timezone.localdate(doing.at))
        row: RunningDay = _once_a_date(on, lambda: RunningDay.objects.create(
            on=on, made_by=doing.member, made_at=doing.at, changed_at=doing.at, **said
        ))  # fmt: skip
        record(doing.member, "planned a running day", row, after={"on": on, **said})
        return row

    return submit_once(doing.member, mark, make)[0]


def _once_a_date(on: date, save: Any) -> Any:
    try:
        with transaction.atomic():
            return save()
    except IntegrityError:
        there = RunningDay.objects.filter(on=on).first()
        if there is None:
            raise
        off = ", called off; change that one to hold it after all" if there.is_called_off else ""
        raise ValidationError({"on": f"There is a running day on {day(on)} already: {there.title}{off}."}) from None


def _refuse_date(on: date, today: date) -> None:
    if on < today:
        raise ValidationError({"on": PAST})
    if on > months_later(today, MONTHS_AHEAD):
        raise ValidationError({"on": TOO_FAR})


def change_day(*, row: RunningDay, version: int, said: dict[str, Any], doing: Doing, mark: UUID) -> RunningDay:
    """Another date or other words; a day that was called off takes place again. Raises Changed where somebody saved."""

    def make() -> RunningDay:
        today, before = timezone.localdate(doing.at), {name: getattr(row, name) for name in said}
        if said["on"] != row.on or row.on < today:
            _refuse_date(said["on"], today)
        back = {"cancelled_at": None, "cancelled_by": None, "cancelled_reason": ""}
        _once_a_date(said["on"], lambda: row.save_from(version, **said, **back, changed_at=doing.at))
        record(doing.member, "changed a running day", row, **changed(before, said))
        return row

    return submit_once(doing.member, mark, make)[0]


def call_off(*, row: RunningDay, reason: str, doing: Doing, mark: UUID) -> RunningDay:
    """It does not take place; the row stays, with the reason."""

    def make() -> RunningDay:
        fresh = RunningDay.objects.select_for_update().get(pk=row.pk)
        if fresh.is_called_off:
            raise ValidationError(f"It is called off already: {fresh.cancelled_reason}.")
        fresh.save_from(
            fresh.version, cancelled_at=doing.at, cancelled_by=doing.member, cancelled_reason=reason,
            changed_at=doing.at,
        )  # fmt: skip
        record(doing.member, "called a running day off", fresh, after={"reason": reason})
        return fresh

    return submit_once(doing.member, mark, make)[0]


def tell_how_it_went(*, row: RunningDay, version: int, words: str, doing: Doing, mark: UUID) -> RunningDay:
    """In a few words, once the day has come. Raises Changed where somebody saved since."""

    def make() -> RunningDay:
        refuse_before(row, doing.at)
        before = row.outcome
        row.save_from(version, outcome=words, changed_at=doing.at)
        record(doing.member, "told how a running day went", row, before={"outcome": before}, after={"outcome": words})
        return row

    return submit_once(doing.member, mark, make)[0]


def refuse_called_off(row: RunningDay) -> None:
    """As it stands in the database: somebody may have called it off a moment ago."""
    if RunningDay.objects.filter(pk=row.pk, cancelled_at__isnull=False).exists():
        raise ValidationError(NOT_HELD)


def refuse_before(row: RunningDay, at: datetime) -> None:
    """What came of a day is recorded from that day on, and not of one that was called off."""
    refuse_called_off(row)
    if row.on > timezone.localdate(at):
        raise ValidationError(NOT_YET)


def say_coming(*, row: RunningDay, coming: str, doing: Doing, mark: UUID) -> Attendance:
    """A member comes, or cannot; the last word counts."""

    def make() -> Attendance:
        refuse_called_off(row)
        if row.on < timezone.localdate(doing.at):
            raise ValidationError("This day has gone by; the secretary records who came.")
        mine, _ = Attendance.objects.update_or_create(day=row, member=doing.member, defaults={"coming": coming})
        record(doing.member, "said whether they come", row, after={"coming": mine.get_coming_display()})
        return mine

    return submit_once(doing.member, mark, make)[0]


def record_who_came(*, row: RunningDay, came: Collection[Member], doing: Doing, mark: UUID) -> RunningDay:
    """Those who came; everybody else on the list did not. Recorded again, the last list counts."""

    def make() -> RunningDay:
        refuse_before(row, doing.at)
        row.attendance.exclude(member__in=came).update(came=False)
        for member in came:
            Attendance.objects.update_or_create(day=row, member=member, defaults={"came": True})
        record(doing.member, "recorded who came", row, after={"came": ", ".join(map(str, came)) or "nobody"})
        return row

    return submit_once(doing.member, mark, make)[0]
