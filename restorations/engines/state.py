"""The state of an engine on a day, from the stops that hold then: in traffic, stopped, in works or laid up."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import date

from restorations.engines.models import Engine, Stoppage
from restorations.engines.models.stoppage import CAUSE_CLASSES, WAITS_FOR

IN_TRAFFIC, STOPPED, IN_WORKS, LAID_UP = "in_traffic", "stopped", "in_works", "laid_up"
# By kind of stop, the state it makes; what can hurt goes before what is only being worked on.
MADE_BY = {"boiler": STOPPED, "defect": STOPPED, "papers": STOPPED, "works": IN_WORKS, "laid_up": LAID_UP}
PRECEDENCE = (STOPPED, IN_WORKS, LAID_UP)
WORDS = {IN_TRAFFIC: "in traffic", STOPPED: "stopped", IN_WORKS: "in works", LAID_UP: "laid up"}
SHAPES = {IN_TRAFFIC: "good", STOPPED: "stop", IN_WORKS: "work", LAID_UP: "rest"}


@dataclass(frozen=True, slots=True)
class EngineState:
    """`stoppages` are all that hold that day, the one that counts first; `since` is when the state of `kind` began."""

    kind: str
    since: date | None = None
    stoppages: tuple[Stoppage, ...] = ()

    @property
    def words(self) -> str:
        return WORDS[self.kind]

    @property
    def shape(self) -> str:
        return SHAPES[self.kind]

    @property
    def is_in_traffic(self) -> bool:
        return self.kind == IN_TRAFFIC

    @property
    def out_since(self) -> date | None:
        """The first day of the present spell out of traffic, as far as its open stops tell."""
        return min((stop.began_on for stop in self.stoppages), default=None)

    @property
    def main(self) -> Stoppage | None:
        return self.stoppages[0] if self.stoppages else None

    @property
    def has_boiler_stop(self) -> bool:
        return any(stop.is_of_boiler for stop in self.stoppages)

    @property
    def sentence(self) -> str:
        """ "Stopped since 3 Nov 2026: boiler, waits for the inspector"."""
        return f"{self.words.capitalize()} {self.detail}".strip()

    @property
    def detail(self) -> str:
        """What stands after the word: since when, where it lies, what it waits for."""
        if self.main is None or self.since is None:
            return ""
        why = ", ".join(part for part in (why_in_words(self.main), waits_in_words(self.main)) if part)
        others = len(self.stoppages) - 1
        more = f" (and {others} other stop{'' if others == 1 else 's'})" if others else ""
        return f"since {day(self.since)}: {why}{more}"


def why_in_words(stop: Stoppage) -> str:
    """Where it lies, in trade words."""
    return CAUSE_CLASSES.get(stop.cause_class, stop.cause_class).lower()


def waits_in_words(stop: Stoppage) -> str:
    if stop.waits_for:
        more = f" ({stop.waits_words})" if stop.waits_words else ""
        return f"waits for {WAITS_FOR.get(stop.waits_for, stop.waits_for)}{more}"
    return "waits for the inspector" if stop.is_of_boiler else ""


def day(on: date) -> str:
    return f"{on.day} {on:%b %Y}"


def state_from(stoppages: Iterable[Stoppage]) -> EngineState:
    """The state that these stops make; all of them hold."""
    ordered = sorted(stoppages, key=_rank)
    if not ordered:
        return EngineState(IN_TRAFFIC)
    kind = MADE_BY[ordered[0].kind]
    since = min(stop.began_on for stop in ordered if MADE_BY[stop.kind] == kind)
    return EngineState(kind, since, tuple(ordered))


def _rank(stop: Stoppage) -> tuple[int, bool, date, int]:
    """The gravest state first, in it the boiler's stops, then the oldest."""
    return PRECEDENCE.index(MADE_BY[stop.kind]), not stop.is_of_boiler, stop.began_on, stop.pk


def state_of(engine: Engine, on: date) -> EngineState:
    return state_from(Stoppage.objects.open(on).filter(engine=engine))


def states_of(engines: Iterable[Engine], on: date) -> Mapping[int, EngineState]:
    """By engine id; one query however many there are."""
    rows: dict[int, list[Stoppage]] = {engine.pk: [] for engine in engines}
    for stop in Stoppage.objects.open(on).filter(engine__in=list(rows)):
        rows[stop.engine_id].append(stop)
    return {pk: state_from(stops) for pk, stops in rows.items()}
