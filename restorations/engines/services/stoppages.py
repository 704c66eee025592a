"""Stopping an engine, saying what it waits for, adding to a stop, lifting it; a boiler's only by an inspector."""

from collections.abc import Iterable, Mapping
from dataclasses import asdict, dataclass
from datetime import date, datetime
from typing import Any
from uuid import UUID

from django.core.exceptions import PermissionDenied, ValidationError
from django.utils import timezone

from restorations.engines.access import is_own_boiler, may
from restorations.engines.models import Engine, Stoppage, StoppageNote
from restorations.engines.models.stoppage import BOILER, LONGEST_WORDS
from restorations.engines.state import day
from restorations.members.doing import Doing
from restorations.members.models import Member, Message
from restorations.members.models.records import record, submit_once

KEPT_UP = ("cause_class", "waits_for", "waits_words", "place", "custody", "expected_on", "expected_by")
NOT_AHEAD = frozenset({"defect", BOILER})
BOILER_REFUSED = (
    "A stop on a boiler is lifted by the club's inspector, and never by one who owns it, works on it or worked on it."
)


@dataclass(frozen=True, slots=True)
class StopDraft:
    """What a stop says when it is placed."""

    kind: str
    cause_class: str
    words: str
    began_on: date
    seen_by: str = ""
    waits_for: str = ""
    waits_words: str = ""
    place: str = ""
    custody: str = ""
    expected_on: date | None = None
    expected_by: str = ""


class AlreadyStopped(Exception):
    """The engine stands stopped for the same thing; `stoppage` can be added to instead."""

    def __init__(self, stoppage: Stoppage) -> None:
        super().__init__("It is stopped for this already. Add to that stop, or say that this is something else.")
        self.stoppage = stoppage


def stop_engine(
    *, engine: Engine, draft: StopDraft, doing: Doing, mark: UUID, besides: bool = False
) -> Stoppage:  # fmt: skip
    """Take it out of traffic at once; raises AlreadyStopped for the same thing unless it is `besides` that."""

    def make() -> Stoppage:
        Engine.objects.select_for_update().get(pk=engine.pk)
        same = None if besides else same_stop(engine, draft)
        if same is not None:
            raise AlreadyStopped(same)
        return place_stop(engine=engine, draft=draft, doing=doing)

    return submit_once(doing.member, mark, make)[0]


def same_stop(engine: Engine, draft: StopDraft) -> Stoppage | None:
    """One that is not lifted, of this kind and in the same part of the engine."""
    rows = Stoppage.objects.not_lifted().filter(engine=engine, kind=draft.kind, cause_class=draft.cause_class)
    found: Stoppage | None = rows.order_by("began_on", "pk").first()
    return found


def place_stop(*, engine: Engine, draft: StopDraft, doing: Doing, for_inspector: bool = False) -> Stoppage:
    """Write the stop and tell whom it concerns, the inspectors too where asked; call inside a transaction."""
    _refuse_impossible(engine, draft, timezone.localdate(doing.at))
    said_at = doing.at if draft.expected_on else None
    stop = Stoppage(
        engine=engine, reported_by=doing.member, reported_at=doing.at, expected_said_at=said_at, **asdict(draft)
    )
    stop.full_clean()
    stop.save()
    record(doing.member, "stopped the engine", stop, after=_told(stop, asdict(draft)))
    _tell(stop, doing, for_inspector=for_inspector or stop.is_of_boiler)
    return stop


def _told(stop: Stoppage, columns: Mapping[str, Any]) -> dict[str, str]:
    """Columns as the pages say them: the name of each, and its value in words."""
    told = {}
    for name, value in columns.items():
        field: Any = Stoppage._meta.get_field(name)
        choices = dict(field.flatchoices)
        words = day(value) if isinstance(value, date) else str(choices.get(value, value) or "")
        if words:
            told[str(field.verbose_name)] = words
    return told


def _refuse_impossible(engine: Engine, draft: StopDraft, today: date) -> None:
    if engine.gone_on is not None:
        raise ValidationError(engine.gone_in_words)
    if draft.kind in NOT_AHEAD and draft.began_on > today:
        raise ValidationError({"began_on": "This day is yet to come. Give the day it was seen."})
    if draft.expected_on and not draft.expected_by:
        raise ValidationError({"expected_by": "Say who expects it back on that day."})
    if draft.expected_on and draft.expected_on < draft.began_on:
        raise ValidationError({"expected_on": "It would be back before it was stopped; look at both days again."})


def add_to_stop(*, stoppage: Stoppage, words: str, doing: Doing, mark: UUID) -> StoppageNote:
    """Add to a stop that stands, instead of reporting it twice."""

    def make() -> StoppageNote:
        _refuse_ended(Stoppage.objects.select_for_update().get(pk=stoppage.pk))
        note = StoppageNote.objects.create(
            stoppage=stoppage, words=words, written_by=doing.member, written_at=doing.at
        )  # fmt: skip
        record(doing.member, "added to a stop", stoppage, after={"words": words})
        return note

    return submit_once(doing.member, mark, make)[0]


def update_stop(
    *, stoppage: Stoppage, version: int, changes: Mapping[str, Any], doing: Doing, mark: UUID
) -> Stoppage:  # fmt: skip
    """Keep up what it waits for, where it stands and when it is expected; raises Changed where somebody saved since."""

    def make() -> Stoppage:
        _refuse_ended(stoppage)
        before = {name: getattr(stoppage, name) for name in KEPT_UP}
        after = {name: changes.get(name, before[name]) for name in KEPT_UP}
        _refuse_expectation(stoppage, after)
        changed = [name for name in KEPT_UP if after[name] != before[name]]
        said_at = doing.at if {"expected_on", "expected_by"} & set(changed) else stoppage.expected_said_at
        stoppage.save_from(version, **after, expected_said_at=said_at)
        if changed:
            record(
                doing.member, "kept a stop up to date", stoppage,
                before=_told(stoppage, {name: before[name] for name in changed}),
                after=_told(stoppage, {name: after[name] for name in changed}),
            )  # fmt: skip
        return stoppage

    return submit_once(doing.member, mark, make)[0]


def _refuse_expectation(stoppage: Stoppage, after: Mapping[str, Any]) -> None:
    if after["expected_on"] and not after["expected_by"]:
        raise ValidationError({"expected_by": "Say who expects it back on that day."})
    if after["expected_on"] and after["expected_on"] < stoppage.began_on:
        raise ValidationError({"expected_on": "It would be back before it was stopped; look at both days again."})


def lift_stop(*, stoppage: Stoppage, words: str, on: date, doing: Doing, mark: UUID) -> Stoppage:
    """Lift one stop by itself. A boiler's is the inspector's; others end with the return to traffic."""

    def make() -> Stoppage:
        fresh: Stoppage = Stoppage.objects.select_for_update().select_related("engine").get(pk=stoppage.pk)
        end_stop(stoppage=fresh, words=words, on=on, doing=doing)
        if fresh.is_of_boiler:
            _leave_to_the_return(fresh, doing)
        return fresh

    return submit_once(doing.member, mark, make)[0]


def _leave_to_the_return(lifted: Stoppage, doing: Doing) -> None:
    """The inspector speaks for the boiler, not for the engine: it stays out until its return, not as a new failure."""
    on = timezone.localdate(doing.at)
    if Stoppage.objects.open(on).filter(engine=lifted.engine).exists():
        return
    words = f"The stop on the boiler is lifted. It waits for its return to traffic.\n{lifted.lifted_words}"
    draft = StopDraft("works", lifted.cause_class, words[:LONGEST_WORDS], lifted.began_on, waits_for="mentor")
    place_stop(engine=lifted.engine, draft=draft, doing=doing)


def end_stop(*, stoppage: Stoppage, words: str, on: date, doing: Doing) -> Stoppage:
    """End it on that day, the first on which it no longer holds; call inside a transaction."""
    today = timezone.localdate(doing.at)
    if stoppage.is_of_boiler and not may_lift_boiler_stop(doing.member, stoppage.engine, today):
        raise PermissionDenied(BOILER_REFUSED)
    _refuse_ended(stoppage)
    if on < stoppage.began_on:
        raise ValidationError({"on": f"It began on {day(stoppage.began_on)}: it cannot have ended before that."})
    if on > today:
        raise ValidationError({"on": "This day is yet to come. Lift it once it has come."})
    stoppage.save_from(stoppage.version, ended_on=on, lifted_by=doing.member, lifted_at=doing.at, lifted_words=words)
    record(doing.member, "lifted a stop", stoppage, after={"on": on, "words": words})
    return stoppage


def may_lift_boiler_stop(member: Member, engine: Engine, on: date) -> bool:
    return may(member, "lift a boiler stop", engine, on=on) and not is_own_boiler(member, engine, on)


def strike_stop(*, stoppage: Stoppage, reason: str, doing: Doing, mark: UUID) -> Stoppage:
    """It was reported wrongly: struck out with a reason, and readable. A boiler's by the inspector only."""

    def make() -> Stoppage:
        if stoppage.is_of_boiler and not may_lift_boiler_stop(
            doing.member, stoppage.engine, timezone.localdate(doing.at)
        ):
            raise PermissionDenied(BOILER_REFUSED)
        stoppage.strike_out(member=doing.member, reason=reason, at=doing.at)
        record(doing.member, "struck out a stop", stoppage, before={"words": stoppage.words}, after={"reason": reason})
        return stoppage

    return submit_once(doing.member, mark, make)[0]


def _refuse_ended(stoppage: Stoppage) -> None:
    if stoppage.is_struck:
        raise ValidationError(f"This stop was struck out by {stoppage.struck_by}: {stoppage.struck_reason}.")
    if stoppage.ended_on is not None:
        raise ValidationError(
            f"{stoppage.lifted_by} lifted this stop, from {day(stoppage.ended_on)} on. "
            "If it is out of traffic again, report it anew."
        )


def _tell(stop: Stoppage, doing: Doing, *, for_inspector: bool) -> None:
    """Hands and owner of the engine, mentors, secretaries; for a boiler or a danger the inspectors too."""
    lines = [
        f"{stop.engine} is stopped from {day(stop.began_on)}: {stop.get_cause_class_display()}.",
        stop.words, f"Reported by {stop.seen_by or stop.reported_by}.", stop.get_absolute_url(),
    ]  # fmt: skip
    if stop.is_of_boiler:
        lines.insert(1, "It is a stop on the boiler: not to be steamed until the club's inspector has lifted it.")
    tell(
        stop.engine,
        f"{stop.engine} is stopped",
        "\n".join(lines) + "\n",
        concerned_by(stop, doing, for_inspector),
        at=doing.at,
    )


def concerned_by(stop: Stoppage, doing: Doing, for_inspector: bool) -> Iterable[Member]:
    on = timezone.localdate(doing.at)
    people = {hand.member for hand in stop.engine.hands.current(on).select_related("member")}
    if stop.engine.owner_member is not None:
        people.add(stop.engine.owner_member)
    for member in Member.objects.current():
        if member.is_mentor or member.is_secretary or (member.is_inspector and for_inspector):
            people.add(member)
    return sorted(people - {doing.member}, key=lambda member: member.pk)


def tell(engine: Engine, subject: str, body: str, people: Iterable[Member], *, at: datetime) -> None:
    """A message to each of them for whom the engine exists."""
    on = timezone.localdate(at)
    for member in people:
        if member.left_on is None and Engine.objects.visible_to(member, on=on).filter(pk=engine.pk).exists():
            Message.objects.create(to=member, subject=subject[:150], body=body, made_at=at)
