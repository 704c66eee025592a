"""What can run on a day: engines in traffic with papers in date, engines that could if, and those that will not.

Reads what is known and nothing more: stops, papers, sessions booked and stored forecasts; the same number of queries
whatever there is.
"""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field
from datetime import date
from typing import Any

from django.db.models import OuterRef, QuerySet, Subquery

from restorations.engines.models import Certificate, Engine, EngineConfiguration
from restorations.engines.models.papers import CERTIFICATE_KINDS, STEAM_NEEDS
from restorations.engines.showing import kind_in_words
from restorations.engines.state import LAID_UP, EngineState, day, states_of, waits_in_words, why_in_words
from restorations.members.models import Member
from restorations.tasks.models import JobCard
from restorations.traffic.conditions import LAPSE_STOPS
from restorations.traffic.forecasts import latest_forecasts
from restorations.traffic.models import Forecast
from restorations.traffic.papers import Booked, arranged, booked_for

CAN, COULD, CANNOT = "can", "could", "cannot"
NEEDED_IN_DATE = LAPSE_STOPS | {"loan"}  # where one is recorded


@dataclass(frozen=True, slots=True)
class Chance:
    """The share of runs of the forecast that are back by the day; `at_most` where something is missing."""

    share: float
    at_most: bool

    @property
    def words(self) -> str:
        most = "at most " if self.at_most else ""
        if self.share <= 0:
            return "no chance by the forecast"
        tenths = round(10 * self.share)
        if tenths == 0:
            return f"{most}less than 1 in 10" if not self.at_most else "at most 1 in 10"
        return "almost certain" if tenths == 10 and not self.at_most else f"{most}about {tenths} in 10"


@dataclass(frozen=True, slots=True)
class Runs:
    """One engine on one day: whether it can run, and what has to happen first, each in words."""

    engine: Any
    on: date
    state: EngineState
    conditions: tuple[str, ...] = ()
    chance: Chance | None = None
    hindered: str = ""
    """Why it will not run, where that can be said."""
    said: str = ""
    """When somebody expects it back, where no forecast says so."""

    @property
    def answer(self) -> str:
        if self.hindered:
            return CANNOT
        return COULD if self.conditions else CAN

    @property
    def kind(self) -> str:
        return kind_in_words(self.engine)

    @property
    def sentence(self) -> str:
        """For whoever would allocate it: why not, or what first; empty where it can run."""
        return self.hindered or "; ".join(self.conditions)


@dataclass(frozen=True, slots=True)
class Known:
    """What was read of all the engines asked about."""

    papers: dict[int, list[Certificate]]
    states: Any
    forecasts: dict[int, Forecast]
    booked: Booked
    cards: frozenset[int] = field(default_factory=frozenset)


def what_runs(member: Member, on: date, *, today: date) -> list[Runs]:
    """Every engine that exists for this member and is still here."""
    visible = Engine.objects.visible_to(member, on=today).still_here()
    opened = set(Engine.objects.contents_visible_to(member, on=today).values_list("pk", flat=True))
    return runs_of(with_boilers(visible), on, today=today, opened=opened)


def with_boilers(engines: QuerySet[Engine]) -> list[Any]:
    latest = EngineConfiguration.objects.filter(engine=OuterRef("pk")).order_by("-number")
    rows = engines.annotate(
        boiler=Subquery(latest.values("boiler")[:1]), kind=Subquery(latest.values("kind")[:1]),
        gauge=Subquery(latest.values("gauge_typed")[:1]),
    )  # fmt: skip
    return list(rows.order_by("name", "pk"))


def runs_of(engines: Sequence[Any], on: date, *, today: date, opened: set[int]) -> list[Runs]:
    """These engines, of `with_boilers`, on that day; of those not in `opened` only state and papers are told."""
    known = _read(engines, on, opened)
    return [_runs(engine, on, today, known) for engine in engines]


def _read(engines: Sequence[Any], on: date, opened: Iterable[int]) -> Known:
    wanted = Engine.objects.filter(pk__in=[engine.pk for engine in engines])
    papers: dict[int, list[Certificate]] = {engine.pk: [] for engine in engines}
    for paper in Certificate.objects.not_struck().filter(engine__in=wanted).order_by("lapses_on", "pk"):
        papers[paper.engine_id].append(paper)
    cards = JobCard.objects.before_traffic().filter(engine__in=set(opened) & papers.keys())
    return Known(
        papers=papers, states=states_of(engines, on), forecasts=latest_forecasts(engines),
        booked=booked_for(wanted), cards=frozenset(cards.order_by().values_list("engine", flat=True)),
    )  # fmt: skip


def _runs(engine: Any, on: date, today: date, known: Known) -> Runs:
    state = known.states[engine.pk]
    lacking = _lacking(engine, on, known)
    if on < today:
        why = "; ".join([state.sentence] * (not state.is_in_traffic) + lacking)
        return Runs(engine, on, state, hindered=why)
    forecast = known.forecasts.get(engine.pk) if not state.is_in_traffic else None
    chance = _chance(forecast, on, papers_lack=bool(lacking))
    conditions = (*_of_stops(engine, state, known), *lacking)
    return Runs(engine, on, state, conditions, chance, _hindered(state, chance, on, forecast), _said(state, chance))


def _of_stops(engine: Any, state: EngineState, known: Known) -> list[str]:
    """What has to happen before the stops that hold are over."""
    if state.is_in_traffic:
        return []
    found = ["the inspector lifts the stop on the boiler"] if state.has_boiler_stop else []
    others = [stop for stop in state.stoppages if not stop.is_of_boiler]
    for stop in others:
        waits = waits_in_words(stop)
        found.append(f"the stop is over: {why_in_words(stop)}{f', {waits}' if waits else ''}")
    if engine.pk in known.cards:
        found.append("its cards that must be done first are done")
    return [*dict.fromkeys(found), "its return to traffic is signed and recorded"]


def _lacking(engine: Any, on: date, known: Known) -> list[str]:
    """Papers that are not in date that day, with what is booked for them."""
    papers = {paper.kind: paper for paper in known.papers[engine.pk]}
    in_date = {paper.kind for paper in known.papers[engine.pk] if paper.passed_on <= on <= paper.lapses_on}
    needed = STEAM_NEEDS if engine.boiler != "none" else frozenset[str]()
    found = []
    for kind in sorted({*needed, *(papers.keys() & NEEDED_IN_DATE)} - in_date, key=list(CERTIFICATE_KINDS).index):
        paper, name = papers.get(kind), CERTIFICATE_KINDS[kind].lower()
        session = known.booked.get((engine.pk, kind))
        more = f" ({arranged(session)})" if session else ""
        lapses = f"{name} renewed: good until {day(paper.lapses_on)}" if paper else f"{name} recorded: none is"
        found.append(lapses + more)
    return found


def _chance(forecast: Forecast | None, on: date, *, papers_lack: bool) -> Chance | None:
    """By the stored forecast; it knows nothing of papers that lapse between its return and that day."""
    share = forecast.chance_by(on) if forecast else None
    return None if share is None or forecast is None else Chance(share, not forecast.is_whole or papers_lack)


def _said(state: EngineState, chance: Chance | None) -> str:
    expected = [stop for stop in state.stoppages if stop.expected_on]
    if chance is not None or not expected:
        return ""
    last = max(expected, key=lambda stop: stop.expected_on or date.min)
    return f"Expected back {day(last.expected_on or date.min)}, said {last.expected_by}"


def _hindered(state: EngineState, chance: Chance | None, on: date, forecast: Forecast | None) -> str:
    if state.kind == LAID_UP:
        return state.sentence
    if chance is not None and chance.share <= 0 and forecast is not None:
        return f"{state.sentence}. By its forecast {forecast.in_words}"
    is_later = any(stop.expected_on and stop.expected_on > on for stop in state.stoppages)
    return f"{state.sentence}. {_said(state, chance)}" if chance is None and is_later else ""
