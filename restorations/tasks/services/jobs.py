"""Jobs begun and closed, cards written, changed, ordered and taken on. Every act is one transaction and is recorded."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, fields
from datetime import date
from typing import Any
from uuid import UUID

from django.core.exceptions import ValidationError

from restorations.engines.models import Engine
from restorations.members.doing import Doing
from restorations.members.models import Member
from restorations.members.models.records import record, submit_once
from restorations.tasks.card_order import find_cycle
from restorations.tasks.card_sets import StartingCard
from restorations.tasks.models import CardOrder, JobCard, Restoration, StrippedPart
from restorations.tasks.models.jobs import OPEN_STATES, STATES

MOST_NAMED = 5


@dataclass(frozen=True, slots=True)
class CardPlan:
    """What a card says; `on_it` are members, `comes_after` cards of the same engine."""

    title: str
    what: str
    job: Restoration | None
    system: str
    side: str
    low_hours: float
    likely_hours: float
    high_hours: float
    is_good_first_job: bool
    with_whom: str
    bring: str
    may_wait: bool = False
    on_it: Sequence[Member] = ()
    comes_after: Sequence[JobCard] = ()

    def columns(self) -> dict[str, Any]:
        lists = {"on_it", "comes_after"}
        return {field.name: getattr(self, field.name) for field in fields(self) if field.name not in lists}


def begin_job(*, engine: Engine, kind: str, title: str, begun_on: date, doing: Doing, mark: UUID) -> Restoration:
    def make() -> Restoration:
        job = Restoration.objects.create(
            engine=engine, kind=kind, title=title, begun_on=begun_on, made_by=doing.member, made_at=doing.at
        )
        record(doing.member, "began a job", job, after={"kind": kind, "title": title, "begun": begun_on})
        return job

    return submit_once(doing.member, mark, make)[0]


def close_job(*, job: Restoration, on: date, member: Member, mark: UUID, version: int) -> Restoration:
    """Close it; refused in words while a part of its engine is unaccounted for or a card is open."""

    def make() -> Restoration:
        _lock(job.engine_id)
        held_by = what_holds_open(job)
        if held_by:
            raise ValidationError(held_by)
        job.save_from(version, closed_on=on, closed_by=member)
        record(member, "closed the job", job, before={"closed": False}, after={"closed": on})
        return job

    return submit_once(member, mark, make)[0]


def what_holds_open(job: Restoration) -> list[str]:
    """Why it cannot be closed, one sentence for each reason."""
    held = []
    if job.closed_on is not None:
        held.append("This job is closed already.")
    off = StrippedPart.objects.off().filter(engine=job.engine_id)
    unnamed = off.filter(component="", name="").count()
    named = [str(part).replace("_", " ").replace("@", ", ") for part in off.exclude(component="", name="")]
    if named:
        held.append(f"Still off: {_some(named)}. Say of each how it ended: refitted, renewed, left off on purpose …")
    if unnamed:
        parts = "One part is" if unnamed == 1 else f"{unnamed} parts are"
        held.append(f"{parts} off and to be named. Name what it is, then say how it ended.")
    still_open = [card.title for card in job.cards.filter(state__in=OPEN_STATES)]
    if still_open:
        held.append(f"Cards not done: {_some(still_open)}. Do them, or drop them with a reason.")
    return held


def _some(names: Sequence[str]) -> str:
    """The first few by name, the rest by number."""
    more = len(names) - MOST_NAMED
    return ", ".join(names[:MOST_NAMED]) + (f" and {more} more" if more > 0 else "")


def write_card(*, engine: Engine, plan: CardPlan, doing: Doing, mark: UUID) -> JobCard:
    def make() -> JobCard:
        return _new_card(engine, plan, doing)

    return submit_once(doing.member, mark, make)[0]


def _new_card(engine: Engine, plan: CardPlan, doing: Doing) -> JobCard:
    card = JobCard.objects.create(engine=engine, made_by=doing.member, made_at=doing.at, **plan.columns())
    card.people.set(plan.on_it)
    _set_order(card, plan.comes_after)
    record(doing.member, "wrote a card", card, after=_told(card))
    return card


def change_card(*, card: JobCard, plan: CardPlan, member: Member, mark: UUID, version: int) -> JobCard:
    """Save what changed. Raises Changed where somebody saved meanwhile, ValidationError where the order bites its tail.

    Whoever saves second is told so before the order of their version is judged.
    """

    def make() -> JobCard:
        before = _told(card)
        card.save_from(version, **plan.columns())
        card.people.set(plan.on_it)
        _set_order(card, plan.comes_after)
        after = _told(card)
        changed = [name for name in after if after[name] != before[name]]
        record(
            member, "changed a card", card, before={name: before[name] for name in changed},
            after={name: after[name] for name in changed},
        )  # fmt: skip
        return card

    return submit_once(member, mark, make)[0]


def _set_order(card: JobCard, earlier: Iterable[JobCard]) -> None:
    """Write down what must come first; refuses a circle, naming its cards."""
    wanted = {other.pk for other in earlier}
    if wanted:
        _lock(card.engine_id)
        _refuse_circle(card, wanted)
    CardOrder.objects.filter(later=card).exclude(earlier__in=wanted).delete()
    known = set(CardOrder.objects.filter(later=card).values_list("earlier", flat=True))
    CardOrder.objects.bulk_create(CardOrder(earlier_id=pk, later=card) for pk in sorted(wanted - known))


def _refuse_circle(card: JobCard, wanted: set[int]) -> None:
    after: dict[int, set[int]] = {}
    for earlier, later in CardOrder.objects.filter(later__engine=card.engine_id).values_list("earlier", "later"):
        after.setdefault(later, set()).add(earlier)
    after[card.pk] = wanted
    circle = find_cycle(after)
    if circle:
        titles = JobCard.objects.in_bulk(circle)
        named = " → ".join(f"“{titles[pk].title}”" for pk in [*reversed(circle), circle[-1]])
        raise ValidationError(
            {"after": f"These would wait for one another for ever: {named}. Take one of them out of what comes first."}
        )


def _lock(engine_id: int) -> None:
    """Two people ordering cards of one engine, or stripping while the job is closed, take turns."""
    Engine.objects.select_for_update().get(pk=engine_id)


@dataclass(frozen=True, slots=True)
class CardState:
    """How a card stands: what it waits for while it waits, the reason where it is dropped."""

    state: str
    waits_for: str = ""
    waits_until: date | None = None
    drop_reason: str = ""

    def columns(self) -> dict[str, Any]:
        """Only what belongs to the state is kept."""
        waits, dropped = self.state == "waits", self.state == "dropped"
        return {
            "state": self.state,
            "waits_for": self.waits_for if waits else "",
            "waits_until": self.waits_until if waits else None,
            "drop_reason": self.drop_reason if dropped else "",
        }


def set_card_state(*, card: JobCard, wanted: CardState, doing: Doing, mark: UUID, version: int) -> JobCard:
    """Raises Changed where somebody saved meanwhile."""

    def make() -> JobCard:
        _refuse_reopening(card, wanted)
        before = {"state": STATES[card.state]}
        ended = None if wanted.state in OPEN_STATES else (card.ended_at or doing.at)
        card.save_from(version, **wanted.columns(), ended_at=ended)
        told = {name: value for name, value in wanted.columns().items() if value}
        record(doing.member, "set a card's state", card, before=before, after={**told, "state": STATES[card.state]})
        return card

    return submit_once(doing.member, mark, make)[0]


def _refuse_reopening(card: JobCard, wanted: CardState) -> None:
    closed = card.job is not None and card.job.closed_on is not None
    if closed and wanted.state in OPEN_STATES:
        raise ValidationError("The job of this card is closed. Write a new card on the engine.")


def take_on(*, card: JobCard, member: Member, mark: UUID) -> JobCard:
    """A member puts themselves on a card; on it already is the same as once."""

    def make() -> JobCard:
        if not card.people.filter(pk=member.pk).exists():
            card.people.add(member)
            record(member, "took a card on", card, after={"on it": member})
        return card

    return submit_once(member, mark, make)[0]


def start_from_set(
    *, engine: Engine, job: Restoration | None, chosen: Sequence[StartingCard], doing: Doing, mark: UUID
) -> Engine:
    """Make the chosen cards of a set, in their order of work among themselves."""

    def make() -> Engine:
        made: dict[str, JobCard] = {}
        for start in chosen:
            earlier = [made[other] for other in start.after if other in made]
            made[start.id] = _new_card(engine, _plan_of(start, job, earlier), doing)
        return engine

    return submit_once(doing.member, mark, make)[0]


def _plan_of(start: StartingCard, job: Restoration | None, earlier: Sequence[JobCard]) -> CardPlan:
    low, likely, high = start.hours
    return CardPlan(
        title=start.title, what=start.what, job=job, system=start.system, side=start.side, low_hours=low,
        likely_hours=likely, high_hours=high, is_good_first_job=start.is_good_first_job, with_whom="",
        bring=start.bring, comes_after=earlier,
    )  # fmt: skip


def _told(card: JobCard) -> dict[str, Any]:
    """What is said of it, in the words of the pages."""
    return {
        "title": card.title,
        "what": card.what,
        "job": str(card.job or ""),
        "where": card.where,
        "hours": f"{card.low_hours:g}, {card.likely_hours:g}, {card.high_hours:g}",
        "may wait": card.may_wait,
        "good first job": card.is_good_first_job,
        "with whom": card.with_whom,
        "bring": card.bring,
        "on it": ", ".join(sorted(str(person) for person in card.people.all())),
        "comes after": ", ".join(sorted(other.title for other in card.comes_after.all())),
    }
