"""How forecasts did: of the spells out of traffic that have ended, how often the engine was back by the day given.

One forecast a spell counts, the first that gave an 8-in-10 day: later ones know more and would count the spell twice.
"""

from collections import defaultdict
from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date, timedelta
from typing import Any

from restorations.calc.schedule import merged
from restorations.engines.models import Stoppage
from restorations.traffic.models import Forecast

ENOUGH = 5


@dataclass(frozen=True, slots=True)
class ScoreLine:
    """One spell that has ended, and the first forecast made in it."""

    engine_id: int
    made_on: date
    even_chance_on: date
    likely_on: date
    back_on: date

    @property
    def even_chance_held(self) -> bool:
        return self.back_on <= self.even_chance_on

    @property
    def likely_held(self) -> bool:
        return self.back_on <= self.likely_on


@dataclass(frozen=True, slots=True)
class ForecastScore:
    """All such spells of the club."""

    lines: tuple[ScoreLine, ...]

    @property
    def number(self) -> int:
        return len(self.lines)

    @property
    def is_enough(self) -> bool:
        return self.number >= ENOUGH

    @property
    def even_chance_held(self) -> int:
        return sum(line.even_chance_held for line in self.lines)

    @property
    def likely_held(self) -> int:
        return sum(line.likely_held for line in self.lines)

    def of(self, engine_id: int) -> list[ScoreLine]:
        return [line for line in self.lines if line.engine_id == engine_id]


def forecast_score(on: date) -> ForecastScore:
    """Two queries, whatever there is."""
    given: dict[int, list[tuple[date, date, date]]] = defaultdict(list)
    rows: Any = Forecast.objects.filter(likely_on__isnull=False).order_by("made_at", "pk")
    for engine, made_on, even_chance_on, likely_on in rows.values_list(
        "engine", "made_on", "even_chance_on", "likely_on"
    ):
        given[engine].append((made_on, even_chance_on, likely_on))
    stops: dict[int, list[tuple[date, date | None]]] = defaultdict(list)
    for engine, began_on, ended_on in (
        Stoppage.objects.not_struck().filter(engine__in=list(given)).values_list("engine", "began_on", "ended_on")
    ):
        stops[engine].append((began_on, ended_on))
    lines = [line for engine in stops for line in _lines(engine, stops[engine], given[engine], on)]
    return ForecastScore(tuple(sorted(lines, key=lambda line: line.back_on)))


def _lines(
    engine: int, stops: list[tuple[date, date | None]], given: list[tuple[date, date, date]], on: date
) -> Iterator[ScoreLine]:
    """Spells of one engine, overlapping stops taken together; one that goes on is not over yet."""
    for start, end in merged(stops, (date.min, on + timedelta(days=1))):
        first = next((days for days in given if start <= days[0] < end), None)
        if end <= on and first is not None:
            yield ScoreLine(engine, *first, back_on=end)
