"""What pages ask of cards, day book, readings and wanted list; the number of queries does not grow with the rows.

`work_pieces` is the context of the fragments tasks/_cards.html, tasks/_day_book.html and tasks/_readings.html.
"""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date
from typing import Any

from django.db.models import Count, F, OuterRef, Prefetch, Q, QuerySet, Subquery, Sum
from django.db.models.functions import Coalesce

from restorations.engines.models import Engine
from restorations.members.models import Member
from restorations.members.permissions import allowed
from restorations.photos.models import Photo
from restorations.tasks.measuring import difference_in_words, plain
from restorations.tasks.models import CardOrder, DayBookEntry, JobCard, Reading, Wanted
from restorations.tasks.models.jobs import OPEN_STATES
from restorations.tasks.money import Pence

SHOWN = 5


def cards_of(engine: Engine) -> QuerySet[Any]:
    """The cards of an engine with who is on them, and `spent_minutes` of one person's work."""
    return with_spent(engine.cards.all())


def with_spent(cards: QuerySet[JobCard]) -> QuerySet[Any]:
    """Minutes of everybody who worked on it, from the entries that stand; how many cards must still come first."""
    worked = (
        DayBookEntry.objects.standing()
        .filter(card=OuterRef("pk"), minutes__isnull=False)
        .order_by()
        .values("card")
        .annotate(all=Sum(F("minutes") * F("people")))
        .values("all")
    )
    before = CardOrder.objects.filter(later=OuterRef("pk"), earlier__state__in=OPEN_STATES).order_by()
    number = before.values("later").annotate(all=Count("pk")).values("all")
    return (
        cards.select_related("job", "engine")
        .prefetch_related("people")
        .annotate(spent_minutes=Coalesce(Subquery(worked), 0), open_before=Coalesce(Subquery(number), 0))
    )


def in_order_of_state(cards: Iterable[JobCard]) -> list[JobCard]:
    """In hand first, then what waits, then what is to do, then what has ended, the last ended first."""
    rank = {state: number for number, state in enumerate(("in_hand", "waits", "to_do", "done", "dropped"))}
    ended_first = sorted(cards, key=lambda card: card.ended_at.timestamp() if card.ended_at else 0.0, reverse=True)
    return sorted(ended_first, key=lambda card: rank[card.state])


def entries_of(entries: QuerySet[DayBookEntry]) -> QuerySet[Any]:
    """Entries with all that a line of the day book shows."""
    readings = Prefetch("readings", queryset=Reading.objects.not_struck().order_by("pk"))
    photos = Prefetch("photos", queryset=Photo.objects.not_struck().order_by("pk"))
    return entries.select_related("engine", "done_by", "recorded_by", "struck_by", "card").prefetch_related(
        "helpers", readings, photos
    )


def latest_readings(engine: Engine) -> QuerySet[Any]:
    """The last reading of each kind that was ever measured on an engine."""
    newest = (
        Reading.objects.not_struck()
        .filter(engine=OuterRef("engine"), key=OuterRef("key"))
        .order_by("-happened_at", "-pk")
        .values("pk")[:1]
    )
    rows: QuerySet[Any] = (
        Reading.objects.not_struck()
        .filter(engine=engine, pk=Subquery(newest))
        .select_related("done_by", "known_good_for")
        .order_by("key")
    )
    return rows


def known_dimensions(engine: Engine) -> dict[str, str]:
    """What was measured on this engine before, and in what dimension: the same thing keeps its kind of unit."""
    rows = Reading.objects.not_struck().filter(engine=engine).order_by().values_list("what", "dimension").distinct()
    return {plain(what): dimension for what, dimension in rows}


def known_goods(engine: Engine, member: Member, *, on: date) -> dict[str, Reading]:
    """By key, the known-good reading of the engine's design: a sister's before its own, then the newest."""
    if engine.design_id is None:
        return {}
    rows = (
        Reading.objects.standing()
        .contents_visible_to(member, on=on)
        .filter(known_good_for=engine.design_id)
        .select_related("engine", "done_by")
        .order_by("happened_at", "pk")
    )
    return {row.key: row for row in sorted(rows, key=lambda row: row.engine_id != engine.pk)}


@dataclass(frozen=True, slots=True)
class Compared:
    """A reading beside the known-good one of its design."""

    reading: Reading
    known_good: Reading | None

    @property
    def difference(self) -> str:
        good, own = self.known_good, self.reading
        if good is None or good.dimension != own.dimension or good.pk == own.pk:
            return ""
        return difference_in_words(own.mean_si, good.mean_si, own.dimension)


def compared(readings: Iterable[Reading], good: dict[str, Reading]) -> list[Compared]:
    return [Compared(reading, good.get(reading.key)) for reading in readings]


def work_pieces(engine: Engine, member: Member, places: frozenset[str], *, on: date) -> dict[str, Any]:
    """Context of _cards, _day_book and _readings, for a page of one engine with them in."""
    cards = list(in_order_of_state(cards_of(engine).filter(state__in=OPEN_STATES)))
    return {
        "engine": engine,
        "open_cards": cards[:SHOWN],
        "more_cards": max(0, len(cards) - SHOWN),
        "open_jobs": list(engine.jobs.filter(closed_on__isnull=True)),
        "may_plan": allowed("plan work", places),
        "may_log_work": allowed("log work as a helper", places),
        "entries": list(entries_of(engine.entries.not_struck())[:SHOWN]),
        "reading_lines": compared(latest_readings(engine)[: 2 * SHOWN], known_goods(engine, member, on=on)),
    }


@dataclass(frozen=True, slots=True)
class Waits:
    """What a member has to look after among cards and entries."""

    cards: list[JobCard]
    overdue: list[JobCard]
    promised: list[Wanted]
    to_accept: list[DayBookEntry]
    readings_to_accept: list[Reading]


def due(member: Member, *, on: date, most: int = 20) -> Waits:
    """For a front page: my open cards; on my engines what should have come by now and what helpers wrote."""
    mine = (
        Engine.objects.contents_visible_to(member, on=on)
        .still_here()
        .filter(Q(pk__in=Engine.objects.with_hands(member, on=on)) | Q(owner_member=member))
    )
    waiting = JobCard.objects.filter(engine__in=mine, state="waits", waits_until__lte=on)
    promised = Wanted.objects.filter(engine__in=mine, state="promised", promised_by__lte=on)
    mine_open = JobCard.objects.contents_visible_to(member, on=on).still_open().of(member)
    lone = Reading.objects.waiting().filter(engine__in=mine, entry__isnull=True)
    return Waits(
        cards=in_order_of_state(with_spent(mine_open)[:most]),
        overdue=list(waiting.select_related("engine").order_by("waits_until")[:most]),
        promised=list(promised.select_related("engine").order_by("promised_by")[:most]),
        to_accept=list(entries_of(DayBookEntry.objects.waiting().filter(engine__in=mine))[:most]),
        readings_to_accept=list(lone.select_related("engine", "recorded_by")[:most]),
    )


@dataclass(frozen=True, slots=True)
class Totals:
    """Money of a wanted list: what was paid for things that came or are under way, and what members are owed."""

    priced: Pence
    came: Pence
    to_repay: Pence
    owed: list[tuple[str, Pence]]


def totals_of(wanted: QuerySet[Wanted]) -> Totals:
    kept = wanted.exclude(state="given_up").order_by()
    sums = kept.aggregate(priced=Sum("price_pence"), came=Sum("price_pence", filter=Q(state="came")))
    owed = (
        wanted.filter(paid_by__isnull=False, price_pence__gt=0, repaid_on__isnull=True)
        .order_by()
        .values("paid_by__full_name")
        .annotate(pence=Sum("price_pence"))
        .order_by("paid_by__full_name")
    )
    lines = [(row["paid_by__full_name"], Pence(row["pence"])) for row in owed]
    return Totals(
        priced=Pence(sums["priced"] or 0),
        came=Pence(sums["came"] or 0),
        to_repay=Pence(sum(pence for _, pence in lines)),
        owed=lines,
    )
