"""Every engine and how it stands: in or out of traffic, since when, what holds it up, until when, what lapses next.

As many queries whatever there is. Of a private engine whoever sees only its state and papers is told no more.
"""

from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass
from datetime import date
from typing import Any

from django.db.models import Count

from restorations.engines.lapsing import newest_papers
from restorations.engines.models import Certificate, Engine
from restorations.engines.models.stoppage import CAUSE_CLASSES, WAITS_FOR
from restorations.engines.showing import Standing, listed, standing
from restorations.engines.state import WORDS, EngineState, states_of, waits_in_words, why_in_words
from restorations.faults.models import FaultSheet
from restorations.members.models import Member
from restorations.tasks.models import JobCard
from restorations.tasks.models.jobs import OPEN_STATES
from restorations.traffic.forecasts import latest_forecasts
from restorations.traffic.models import Forecast
from restorations.web.tables_out import Table


@dataclass(frozen=True, slots=True)
class ShedLine:
    """One engine on a day; `open_sheets` and `open_cards` are None where its contents are not the reader's."""

    engine: Any
    on: date
    state: EngineState
    forecast: Forecast | None
    paper: Standing | None
    open_sheets: int | None
    open_cards: int | None

    @property
    def days_out(self) -> int:
        return 0 if self.state.out_since is None else (self.on - self.state.out_since).days

    @property
    def why(self) -> str:
        return "; ".join(dict.fromkeys(why_in_words(stop) for stop in self.state.stoppages))

    @property
    def holds(self) -> str:
        """What holds it up, as far as anybody has said."""
        waits = dict.fromkeys(filter(None, (waits_in_words(stop) for stop in self.state.stoppages)))
        counted = [_counted(self.open_sheets, "open fault sheet"), _counted(self.open_cards, "open card")]
        return "; ".join([*waits, *filter(None, counted)]) if not self.state.is_in_traffic else ""

    @property
    def said(self) -> str:
        """What somebody said of its return: the latest day of those that hold it."""
        expected = [stop for stop in self.state.stoppages if stop.expected_on]
        if not expected:
            return ""
        last = max(expected, key=lambda stop: stop.expected_on or date.min)
        return f"{last.expected_on:%-d %b %Y}, said {last.expected_by}"

    @property
    def expected_on(self) -> date | None:
        """The even chance of the forecast, else what was said: to sort by."""
        if self.state.is_in_traffic:
            return None
        said = [stop.expected_on for stop in self.state.stoppages if stop.expected_on]
        forecast = self.forecast.even_chance_on if self.forecast else None
        return forecast or (max(said) if said else None)


def _counted(number: int | None, words: str) -> str:
    return f"{number} {words}{'' if number == 1 else 's'}" if number else ""


FAR = date.max
SORTS: dict[str, tuple[str, Callable[[ShedLine], Any]]] = {
    "out": ("longest out first", lambda line: (-line.days_out, str(line.engine))),
    "name": ("by name", lambda line: str(line.engine).casefold()),
    "back": ("soonest back first", lambda line: (line.expected_on or FAR, str(line.engine))),
    "paper": ("next paper to lapse first", lambda line: (line.paper.paper.lapses_on if line.paper else FAR,)),
}


@dataclass(frozen=True, slots=True)
class Asked:
    """What the table is narrowed to and sorted by; anything not known is left out."""

    words: str = ""
    state: str = ""
    cause: str = ""
    waits: str = ""
    sort: str = "out"

    @classmethod
    def of(cls, query: Any) -> "Asked":
        def one(name: str, lawful: Iterable[str]) -> str:
            value = query.get(name, "")
            return value if value in lawful else ""

        return cls(
            words=query.get("q", "").replace("\x00", "")[:80].strip(),
            state=one("state", WORDS), cause=one("cause", CAUSE_CLASSES), waits=one("waits", WAITS_FOR),
            sort=one("sort", SORTS) or "out",
        )  # fmt: skip

    @property
    def is_narrowed(self) -> bool:
        return bool(self.words or self.state or self.cause or self.waits)

    def wants(self, line: ShedLine) -> bool:
        stops = line.state.stoppages
        return (
            (not self.state or line.state.kind == self.state)
            and (not self.cause or any(stop.cause_class == self.cause for stop in stops))
            and (not self.waits or any(stop.waits_for == self.waits for stop in stops))
        )


def shed_lines(member: Member, asked: Asked, *, on: date) -> list[ShedLine]:
    """Every engine of the club that exists for this member, as asked."""
    visible = Engine.objects.visible_to(member, on=on).filter(gone_on__isnull=True)
    engines = list(listed(visible.matching(asked.words)))
    lines = _lines(engines, member, on=on)
    return sorted(filter(asked.wants, lines), key=SORTS[asked.sort][1])


def _lines(engines: Sequence[Any], member: Member, *, on: date) -> list[ShedLine]:
    states, forecasts = states_of(engines, on), latest_forecasts(engines)
    papers = _next_papers(engines)
    opened = set(Engine.objects.contents_visible_to(member, on=on).values_list("pk", flat=True))
    sheets = _count(FaultSheet.objects.filter(closed_at__isnull=True))
    cards = _count(JobCard.objects.filter(state__in=OPEN_STATES))
    return [
        ShedLine(
            engine=engine, on=on, state=states[engine.pk], forecast=forecasts.get(engine.pk),
            paper=standing(papers[engine.pk], on=on) if engine.pk in papers else None,
            open_sheets=sheets.get(engine.pk, 0) if engine.pk in opened else None,
            open_cards=cards.get(engine.pk, 0) if engine.pk in opened else None,
        )
        for engine in engines
    ]  # fmt: skip


def _count(rows: Any) -> dict[int, int]:
    return dict(rows.order_by().values_list("engine").annotate(all=Count("pk")))


def _next_papers(engines: Iterable[Any]) -> dict[int, Certificate]:
    """Of each engine the paper that lapses first: only those are made whole, of three kinds or more that are asked."""
    here = Engine.objects.filter(pk__in=[engine.pk for engine in engines])
    first: dict[int, int] = {}
    for engine, paper in newest_papers(here).select_related(None).values_list("engine", "pk"):
        first.setdefault(engine, paper)
    return {paper.engine_id: paper for paper in Certificate.objects.filter(pk__in=list(first.values()))}


SHED = Table("engines in and out of traffic", (
    ("Engine", lambda line: line.engine),
    ("State", lambda line: line.state.words),
    ("Since", lambda line: line.state.since),
    ("Days out", lambda line: line.days_out),
    ("Where it lies", lambda line: line.why),
    ("What holds it up", lambda line: line.holds),
    ("Said", lambda line: line.said),
    ("Even chance by", lambda line: line.forecast.even_chance_on if line.forecast else None),
    ("8 in 10 by", lambda line: line.forecast.likely_on if line.forecast else None),
    ("Next paper to lapse", lambda line: line.paper.paper.get_kind_display() if line.paper else ""),
    ("Good until", lambda line: line.paper.paper.lapses_on if line.paper else None),
))  # fmt: skip
