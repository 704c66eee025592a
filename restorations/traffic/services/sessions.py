"""Test sessions: asking for one, booking the inspector, and recording who came and who missed it."""

from collections.abc import Collection
from dataclasses import dataclass
from datetime import date, time
from typing import Any
from uuid import UUID

from django.core.exceptions import ValidationError
from django.db import IntegrityError, transaction
from django.utils import timezone

from restorations.calc.schedule import months_later
from restorations.engines.access import is_own_boiler, places_of
from restorations.engines.models import Engine
from restorations.engines.services.stoppages import tell
from restorations.engines.state import day
from restorations.members.doing import Doing
from restorations.members.models import Member
from restorations.members.models.records import record, submit_once
from restorations.traffic.models import BoilerTestSession

MONTHS_AHEAD = 24
OWN = "Nobody tests a boiler that they own or work on, or have worked on; another inspector has to."
BOTH = "Either the club's inspector or one from outside, not both."
OVER = "It is over: how it went is recorded. Ask for another session."


@dataclass(frozen=True, slots=True)
class Booking:
    """The day, and who tests: the club's inspector or one from outside."""

    on: date
    begins_at: time | None = None
    inspector: Member | None = None
    inspector_name: str = ""
    place: str = ""
    witness: str = ""

    def columns(self) -> dict[str, Any]:
        return {name: getattr(self, name) for name in self.__slots__}


def ask_for_test(*, engine: Engine, test: str, words: str, doing: Doing, mark: UUID) -> BoilerTestSession:
    """Ask for a day; the same test of an engine is asked for once at a time."""

    def make() -> BoilerTestSession:
        if engine.gone_on is not None:
            raise ValidationError(engine.gone_in_words)
        try:
            with transaction.atomic():
                row = BoilerTestSession.objects.create(
                    engine=engine, test=test, words=words, asked_by=doing.member, asked_at=doing.at, changed_at=doing.at
                )
        except IntegrityError:
            raise ValidationError(f"This test of {engine} is asked for already, and not over yet.") from None
        record(doing.member, "asked for a test session", row, after={"test": row.get_test_display(), "words": words})
        _tell(row, f"{row}: a test session is asked for", doing)
        return row

    return submit_once(doing.member, mark, make)[0]


def book(*, row: BoilerTestSession, version: int, booking: Booking, doing: Doing, mark: UUID) -> BoilerTestSession:
    """A day and an inspector, or another day. Raises Changed where somebody saved since."""

    def make() -> BoilerTestSession:
        _refuse_over(row)
        _refuse_booking(row.engine, booking, timezone.localdate(doing.at))
        before = {"on": row.on, "who tests": row.who_tests}
        row.save_from(version, **booking.columns(), changed_at=doing.at)
        record(doing.member, "booked a test session", row, before=before, after=booking.columns())
        _tell(row, f"{row}: booked for {day(booking.on)}", doing)
        return row

    return submit_once(doing.member, mark, make)[0]


def _refuse_over(row: BoilerTestSession) -> None:
    if row.outcome:
        raise ValidationError(OVER)
    if row.engine.gone_on is not None:
        raise ValidationError(row.engine.gone_in_words)


def _refuse_booking(engine: Engine, booking: Booking, today: date) -> None:
    if booking.on < today:
        raise ValidationError({"on": "This day has gone by: book one that is to come."})
    if booking.on > months_later(today, MONTHS_AHEAD):
        raise ValidationError({"on": f"That is more than {MONTHS_AHEAD} months ahead; look at the year again."})
    if booking.inspector is None and not booking.inspector_name:
        raise ValidationError({"inspector": "A test session needs an inspector: choose the club's or name another."})
    if booking.inspector is not None:
        if booking.inspector_name:
            raise ValidationError({"inspector_name": BOTH})
        _refuse_inspector(engine, booking.inspector, today)


def _refuse_inspector(engine: Engine, inspector: Member, today: date) -> None:
    places = places_of(inspector, engine, today)
    if is_own_boiler(inspector, engine, today):
        raise ValidationError({"inspector": OWN})
    if engine.is_private and "guest" not in places:
        asked = f"{engine} is private: its owner or hands invite {inspector} to it first, on the page of its people."
        raise ValidationError({"inspector": asked})


@dataclass(frozen=True, slots=True)
class Outcome:
    """Whether it took place; of those expected who came (the others missed it), and who else did."""

    outcome: str
    words: str = ""
    came: Collection[Member] = ()
    others: str = ""


def expected_at(row: BoilerTestSession, on: date) -> list[Member]:
    """The inspector, the hands and the owner, and whoever asked."""
    people = {hand.member for hand in row.engine.hands.current(on).select_related("member")}
    people |= {row.inspector, row.engine.owner_member, row.asked_by}
    return sorted((who for who in people if who is not None and who.left_on is None), key=lambda who: who.full_name)


def record_outcome(*, row: BoilerTestSession, outcome: Outcome, doing: Doing, mark: UUID) -> BoilerTestSession:
    """How it went, once. What passed is a paper, which the inspector enters among the papers."""

    def make() -> BoilerTestSession:
        fresh = BoilerTestSession.objects.select_for_update().get(pk=row.pk)
        today = timezone.localdate(doing.at)
        _refuse_outcome(fresh, outcome, today)
        fresh.save_from(
            fresh.version, outcome=outcome.outcome, outcome_words=outcome.words, others=outcome.others,
            changed_at=doing.at,
        )  # fmt: skip
        if outcome.outcome != "called_off":
            fresh.came.set(outcome.came)
            fresh.missed.set(set(expected_at(fresh, today)) - set(outcome.came))
        told = {"came": ", ".join(map(str, outcome.came)), "words": outcome.words}
        record(doing.member, f"recorded that a test session {fresh.get_outcome_display()}", fresh, after=told)
        return fresh

    return submit_once(doing.member, mark, make)[0]


def _refuse_outcome(row: BoilerTestSession, outcome: Outcome, today: date) -> None:
    if row.outcome:
        raise ValidationError(OVER)
    if outcome.outcome == "called_off":
        return
    if row.on is None:
        raise ValidationError({"outcome": "No day was booked: it can only be called off."})
    if row.on > today:
        raise ValidationError({"outcome": "This day is yet to come: before it, it can only be called off."})
    if outcome.outcome == "held" and row.inspector and row.inspector not in outcome.came:
        raise ValidationError({"came": "Without the inspector it did not take place: it was missed."})


def _tell(row: BoilerTestSession, subject: str, doing: Doing) -> None:
    """Those expected, the secretaries and, until one is booked, the inspectors."""
    people = set(expected_at(row, timezone.localdate(doing.at)))
    for member in Member.objects.current():
        if member.is_secretary or (member.is_inspector and row.on is None):
            people.add(member)
    when = f"{day(row.on)}, {row.who_tests}" if row.on else "No day yet"
    body = f"{row}. {when}. {row.words}\n{row.get_absolute_url()}\n"
    others = sorted(people - {doing.member}, key=lambda member: member.pk)
    tell(row.engine, " ".join(subject.split()), body, others, at=doing.at)
