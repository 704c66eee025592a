"""Readings written down, and named as known good for a design."""

from dataclasses import dataclass
from datetime import datetime
from typing import Any
from uuid import UUID

from django.core.exceptions import ValidationError

from restorations.engines.models import Engine
from restorations.members.doing import Doing
from restorations.members.models import Member
from restorations.members.models.records import record, submit_once
from restorations.tasks.measuring import TypedReading
from restorations.tasks.models import DayBookEntry, Reading


@dataclass(frozen=True, slots=True)
class Measuring:
    """When it was measured and how exactly that is known, and by whom where it was no member."""

    happened: tuple[datetime, str]
    by_name: str = ""

    def columns(self, member: Member) -> dict[str, Any]:
        at, precision = self.happened
        by = {"done_by_name": self.by_name} if self.by_name else {"done_by": member}
        return {"happened_at": at, "happened_precision": precision, "recorded_by": member, **by}


def add_reading(
    *, engine: Engine, typed: TypedReading, measuring: Measuring, doing: Doing, entry: DayBookEntry | None = None
) -> Reading:
    """Write one reading down; call inside a transaction."""
    measured = typed.measured
    reading = Reading.objects.create(
        engine=engine, entry=entry, what=typed.what, where=typed.where, key=Reading.key_of(typed.what, typed.where),
        typed=measured.typed, dimension=measured.dimension, mean_si=measured.mean_si, least_si=measured.least_si,
        most_si=measured.most_si, repeats=len(measured.values_si), state=typed.state, recorded_at=doing.at,
        **measuring.columns(doing.member), **doing.acceptance,
    )  # fmt: skip
    record(doing.member, "wrote a reading down", reading, after={"what": reading.title, "value": reading.typed})
    return reading


def write_reading(*, engine: Engine, typed: TypedReading, measuring: Measuring, doing: Doing, mark: UUID) -> Reading:
    def make() -> Reading:
        return add_reading(engine=engine, typed=typed, measuring=measuring, doing=doing)

    return submit_once(doing.member, mark, make)[0]


def name_known_good(*, reading: Reading, known_good: bool, member: Member, mark: UUID) -> Reading:
    """Let sister engines be compared with this reading, or take that back."""

    def make() -> Reading:
        design = reading.engine.design
        if known_good and design is None:
            raise ValidationError(f"Say first which design {reading.engine} is of, on its page.")
        if known_good and not reading.stands:
            raise ValidationError("Only a reading that stands can be known good: accepted, and not struck out.")
        before = {"known good for": reading.known_good_for}
        reading.known_good_for = design if known_good else None
        reading.save(update_fields=["known_good_for"])
        record(
            member, "named a reading known good" if known_good else "took back that a reading is known good", reading,
            before=before, after={"known good for": reading.known_good_for},
        )  # fmt: skip
        return reading

    return submit_once(member, mark, make)[0]
