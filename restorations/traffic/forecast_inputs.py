"""What a forecast rests on, read for many engines at once: cards, sheets, waits, sessions and the hands that came."""

import hashlib
import json
from collections import defaultdict
from collections.abc import Collection, Mapping
from dataclasses import asdict, dataclass, replace
from datetime import date, datetime, time, timedelta
from typing import Any

from django.core.serializers.json import DjangoJSONEncoder
from django.db.models import OuterRef, Subquery
from django.utils import timezone

from restorations.engines.models import Certificate, Engine, EngineConfiguration
from restorations.engines.models.papers import STEAM_NEEDS
from restorations.engines.state import EngineState
from restorations.faults.models import FaultSheet, Snapshot
from restorations.tasks.models import CardOrder, DayBookEntry, JobCard, Soak, Wanted
from restorations.tasks.queries import with_spent
from restorations.traffic.models.sessions import BoilerTestSession
from restorations.traffic.models.working import ClosedSpell, WorkingPattern, WorkingSession

LOOKED_BACK = timedelta(weeks=12)
ENOUGH_SESSIONS = 8


@dataclass(frozen=True, slots=True)
class CardLeft:
    """An open card: its three guesses, what was put in already (all in hours), what comes first and what it waits for.

    `waits` are keys of waits.
    """

    row: int
    title: str
    guess: tuple[float, float, float]
    spent: float
    at_once: int
    after: tuple[int, ...]
    waits: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class SheetLeft:
    """An open fault sheet: hours on samples that finish it, and the share that does not (None: nothing is computed)."""

    row: int
    title: str
    hours: tuple[float, ...]
    handed_over: float | None


@dataclass(frozen=True, slots=True)
class WaitLeft:
    """A part, a soak, or what a card waits for; `until` is None where nobody has said."""

    key: str
    kind: str
    row: int
    words: str
    until: date | None


@dataclass(frozen=True, slots=True)
class Shop:
    """Sessions by weekday as (hours, hands), spells shut, how long the inspector takes; `mark` changes with any."""

    week: Mapping[int, tuple[float, int]]
    closed: tuple[tuple[date, date], ...]
    inspector_days: int | None
    mark: str

    def is_open(self, day: date) -> bool:
        return day.weekday() in self.week and not any(first <= day <= last for first, last in self.closed)


@dataclass(frozen=True, slots=True)
class Inputs:
    """Everything on one engine; `hands` are counts at the sessions looked back on, empty where they are too few.

    `booked_on` is the day booked with the inspector for all that the boiler needs, None where no such day is ahead.
    """

    on: date
    cards: tuple[CardLeft, ...]
    sheets: tuple[SheetLeft, ...]
    waits: tuple[WaitLeft, ...]
    only_papers: bool
    boiler_stop: bool
    has_boiler: bool
    papers_until: date | None
    hands: tuple[int, ...]
    attended: int
    shop: Shop
    booked_on: date | None = None

    def plain(self) -> dict[str, Any]:
        """As it is stored."""
        stored: dict[str, Any] = json.loads(json.dumps(asdict(self), cls=DjangoJSONEncoder))
        return stored

    @property
    def checksum(self) -> str:
        """Of what somebody changed; the day, and who came of late, change by themselves."""
        still = replace(self, on=date.min, hands=(), attended=0, shop=replace(self.shop, closed=()))
        return hashlib.sha256(json.dumps(still.plain(), sort_keys=True).encode()).hexdigest()


def gather(states: Mapping[Engine, EngineState], on: date) -> dict[int, Inputs]:
    """By engine id; as many queries for thirty engines as for one."""
    engines = [engine.pk for engine in states]
    shop = read_shop()
    waits, held = _waits(engines)
    cards, sheets = _cards(engines, held), _sheets(engines)
    boilers, papers, came = _boilers(engines), _papers_until(engines), _came(engines, on)
    booked = _booked(engines, on)
    looked_back = [day for day in _days(on - LOOKED_BACK, on) if shop.is_open(day)]
    found = {}
    for engine, state in states.items():
        counts = [len(came[engine.pk][day]) for day in looked_back]
        attended = sum(1 for count in counts if count)
        found[engine.pk] = Inputs(
            on=on, cards=tuple(cards[engine.pk]), sheets=tuple(sheets[engine.pk]), waits=tuple(waits[engine.pk]),
            only_papers=all(stop.kind == "papers" for stop in state.stoppages), boiler_stop=state.has_boiler_stop,
            has_boiler=boilers.get(engine.pk) != "none", papers_until=papers.get(engine.pk),
            hands=tuple(counts) if attended >= ENOUGH_SESSIONS else (), attended=attended, shop=shop,
            booked_on=booked.get(engine.pk),
        )  # fmt: skip
    return found


def read_shop() -> Shop:
    """The pattern as it stands; without sessions where nobody has set it."""
    pattern = WorkingPattern.current()
    spells = list(ClosedSpell.objects.not_struck())
    mark = f"{pattern.version}: {' '.join(str(spell.pk) for spell in spells)}"
    return Shop(
        week={session.weekday: (session.hours, session.hands) for session in WorkingSession.objects.all()},
        closed=tuple((spell.first_on, spell.last_on) for spell in spells),
        inspector_days=pattern.inspector_days, mark=mark,
    )  # fmt: skip


def _days(first: date, end: date) -> list[date]:
    return [first + timedelta(days=number) for number in range((end - first).days)]


def _cards(engines: Collection[int], held: Mapping[int, list[str]]) -> Mapping[int, list[CardLeft]]:
    after = defaultdict(list)
    order = CardOrder.objects.filter(
        earlier__in=JobCard.objects.before_traffic().filter(engine__in=engines),
        later__in=JobCard.objects.before_traffic().filter(engine__in=engines),
    )
    for earlier, later in order.order_by("pk").values_list("earlier", "later"):
        after[later].append(earlier)
    found = defaultdict(list)
    for card in with_spent(JobCard.objects.before_traffic().filter(engine__in=engines)).order_by("made_at", "pk"):
        found[card.engine_id].append(
            CardLeft(
                row=card.pk, title=card.title, guess=(card.low_hours, card.likely_hours, card.high_hours),
                spent=card.spent_minutes / 60, at_once=max(1, len(card.people.all())), after=tuple(after[card.pk]),
                waits=tuple(held.get(card.pk, ())),
            )
        )  # fmt: skip
    return found


def _sheets(engines: Collection[int]) -> Mapping[int, list[SheetLeft]]:
    sheets = list(FaultSheet.objects.still_open().filter(engine__in=engines).order_by("opened_at", "pk"))
    last = Snapshot.objects.filter(sheet=OuterRef("sheet")).order_by("-pk").values("pk")[:1]
    rows = Snapshot.objects.filter(sheet__in=sheets, pk=Subquery(last))
    newest = {row.sheet_id: row for row in rows.only("sheet", "remaining_minutes", "handed_over_share")}
    found = defaultdict(list)
    for sheet in sheets:
        found[sheet.engine_id].append(_sheet_left(sheet, newest.get(sheet.pk)))
    return found


def _sheet_left(sheet: FaultSheet, snapshot: Snapshot | None) -> SheetLeft:
    """The minutes that finish the job come first; the rest is the share that is handed over."""
    if snapshot is None or not snapshot.remaining_minutes or snapshot.handed_over_share is None:
        return SheetLeft(sheet.pk, sheet.title, (), None)
    minutes: list[Any] = snapshot.remaining_minutes
    finished = minutes[: round((1 - snapshot.handed_over_share) * len(minutes))]
    return SheetLeft(sheet.pk, sheet.title, tuple(round(m / 60, 3) for m in finished), snapshot.handed_over_share)


def _waits(engines: Collection[int]) -> tuple[Mapping[int, list[WaitLeft]], Mapping[int, list[str]]]:
    """Waits by engine, and by card the keys of those that hold it; what holds no card holds the return itself."""
    waits, held = defaultdict(list), defaultdict(list)
    for part in Wanted.objects.still_wanted().filter(engine__in=engines).select_related("card").order_by("pk"):
        if part.card is not None and (not part.card.is_open or part.card.may_wait):
            continue
        wait = WaitLeft(f"part {part.pk}", "part", part.pk, part.what, part.promised_by)
        waits[part.engine_id].append(wait)
        if part.card_id:
            held[part.card_id].append(wait.key)
    for card in JobCard.objects.before_traffic().filter(engine__in=engines, state="waits").order_by("pk"):
        parts = [wait.until for wait in waits[card.engine_id] if wait.key in held.get(card.pk, ())]
        if parts and card.waits_until in (None, *parts):
            continue  # its parts on the wanted list say what it waits for
        wait = WaitLeft(f"wait {card.pk}", "wait", card.pk, f"{card.title}: {card.waits_for}", card.waits_until)
        waits[card.engine_id].append(wait)
        held[card.pk].append(wait.key)
    for soak in Soak.objects.under_way().filter(engine__in=engines).order_by("pk"):
        words = f"Soak, {soak.place.replace('_', ' ').replace('@', ', ')}: {soak.fluid}"
        due = timezone.localdate(soak.due_at)
        waits[soak.engine_id].append(WaitLeft(f"soak {soak.pk}", "soak", soak.pk, words, due))
    return waits, held


def _boilers(engines: Collection[int]) -> dict[int, str]:
    """As the newest version of each configuration has it."""
    rows = EngineConfiguration.objects.filter(engine__in=engines).order_by("number")
    return dict(rows.values_list("engine", "boiler"))


def _papers_until(engines: Collection[int]) -> dict[int, date]:
    """The day up to which both papers that steam needs are good; no entry where one is not recorded."""
    until: dict[int, dict[str, date]] = defaultdict(dict)
    rows = Certificate.objects.not_struck().filter(engine__in=engines, kind__in=STEAM_NEEDS).order_by("lapses_on")
    for engine, kind, lapses_on in rows.values_list("engine", "kind", "lapses_on"):
        until[engine][kind] = lapses_on
    return {engine: min(kinds.values()) for engine, kinds in until.items() if kinds.keys() >= STEAM_NEEDS}


def _booked(engines: Collection[int], on: date) -> dict[int, date]:
    """The day by which both tests that steam needs are booked, or were held and gave a paper that is good then."""
    days: dict[int, dict[str, date]] = defaultdict(dict)
    papers = Certificate.objects.in_date(on).filter(engine__in=engines, kind__in=STEAM_NEEDS)
    good = {(engine, kind): until for engine, kind, until in papers.values_list("engine", "kind", "lapses_on")}
    for session in BoilerTestSession.objects.booked().filter(engine__in=engines, on__gte=on):
        for kind in STEAM_NEEDS.intersection(session.gives):
            days[session.engine_id][kind] = session.on or on
    found = {}
    for engine, kinds in days.items():
        last = max(kinds.values())
        if all(kind in kinds or good.get((engine, kind), date.min) >= last for kind in STEAM_NEEDS):
            found[engine] = last
    return found


def _came(engines: Collection[int], on: date) -> Mapping[int, Mapping[date, set[Any]]]:
    """By engine and day, who worked on it; what is dated less exactly than to the day is no session."""
    came: dict[int, dict[date, set[Any]]] = defaultdict(lambda: defaultdict(set))
    since = timezone.make_aware(datetime.combine(on - LOOKED_BACK, time.min))
    entries = DayBookEntry.objects.standing().filter(
        engine__in=engines, happened_at__gte=since, happened_precision__in=("minute", "day")
    )  # fmt: skip
    fields = ("engine", "happened_at", "done_by", "done_by_name", "helper_names")
    for entry in entries.only(*fields).prefetch_related("helpers"):
        there = came[entry.engine_id][timezone.localdate(entry.happened_at)]
        there.add(entry.done_by_id or entry.done_by_name)
        there.update(helper.pk for helper in entry.helpers.all())
        there.update(name for name in entry.helper_names.split(", ") if name)
    return came
