"""How well the ranking does: the scores of closed sheets, added up overall and per system. Nothing is inferred here."""

import json
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from functools import cache
from pathlib import Path
from typing import Any

from django.utils.safestring import SafeString

from restorations.calc.diagnosis.scoring import (
    CalibrationBin,
    Placings,
    Prediction,
    brier_score,
    calibration,
    log_score,
    placings,
)
from restorations.faults.finding_search import SYSTEMS
from restorations.faults.models import Conclusion, SheetScore
from restorations.faults.models.conclusion import IN_FORCE
from restorations.faults.scoring import AFTER_CHECKS, OPENING
from restorations.faults.wording import minutes_in_words
from restorations.web.charts import ACCENT, HAIR, as_svg, new_figure

FEW = 20
SHIPPED_BENCHMARK = Path(__file__).parent / "shipped_benchmark.json"
HALVES = {"motion": "Motion, cylinders, valves", "boiler": "Boiler, fire, water", "both": "Both"}
MOMENTS = {OPENING: "on opening", **{str(n): f"after {n} checks" for n in AFTER_CHECKS}}


@dataclass(frozen=True, slots=True)
class Score:
    """One closed sheet."""

    outcome: str
    system: str
    ranks: Mapping[str, int]
    predictions: tuple[Prediction, ...]
    minutes_spent: float
    minutes_even: float | None
    minutes_likely: float | None


@dataclass(frozen=True, slots=True)
class PlacingLine:
    """Where the confirmed cause stood at one moment of its sheets."""

    moment: str
    placings: Placings

    def _share(self, count: int) -> str:
        return f"{count} of {self.placings.ranks} ({count / self.placings.ranks:.0%})" if self.placings.ranks else "–"

    @property
    def shares(self) -> tuple[str, str, str]:
        return (
            self._share(self.placings.first), self._share(self.placings.first_three),
            self._share(self.placings.first_five),
        )  # fmt: skip


@dataclass(frozen=True, slots=True)
class Minutes:
    """Work done against what was told on opening."""

    sheets: int
    within_even: int
    within_likely: int
    spent: str
    told: str


@dataclass(frozen=True, slots=True)
class Part:
    """All sheets, or those of one system."""

    title: str
    sheets: int
    lines: tuple[PlacingLine, ...]
    minutes: Minutes | None

    @property
    def on_opening(self) -> PlacingLine:
        return self.lines[0]

    @property
    def after_four(self) -> PlacingLine:
        return next(line for line in self.lines if line.moment == MOMENTS["4"])


@dataclass(frozen=True, slots=True)
class HowWell:
    closed: int
    not_found: int
    on_no_list: int
    overall: Part
    systems: tuple[Part, ...]
    bins: tuple[CalibrationBin, ...]
    predictions: int
    log_score: float | None
    brier_score: float | None
    plot: SafeString | None

    @property
    def is_few(self) -> bool:
        return self.closed < FEW


def how_well() -> HowWell:
    """Two queries, however many sheets there are."""
    return of_scores(_stored(), closed=Conclusion.objects.in_force().count())


def _stored() -> list[Score]:
    in_force = Conclusion.objects.filter(IN_FORCE)
    rows = SheetScore.objects.filter(conclusion__in=in_force).select_related("conclusion").order_by("pk")
    return [
        Score(
            row.conclusion.outcome, row.system, row.ranks,
            tuple(Prediction(p, bool(came)) for p, came in row.predictions),
            row.minutes_spent, row.minutes_even, row.minutes_likely,
        )
        for row in rows
    ]  # fmt: skip


def of_scores(scores: Sequence[Score], *, closed: int) -> HowWell:
    found = [score for score in scores if score.outcome == "found"]
    predictions = [one for score in scores for one in score.predictions]
    bins = calibration(predictions)
    systems = sorted({score.system for score in found if score.system}, key=list(SYSTEMS).index)
    per_system = (_part(SYSTEMS[name], [score for score in found if score.system == name]) for name in systems)
    return HowWell(
        closed=closed,
        not_found=sum(score.outcome == "not_found" for score in scores),
        on_no_list=sum(not score.system for score in found),
        overall=_part("All systems", found),
        systems=tuple(per_system),
        bins=bins,
        predictions=len(predictions),
        log_score=log_score(predictions) if predictions else None,
        brier_score=brier_score(predictions) if predictions else None,
        plot=plot_calibration(bins) if predictions else None,
    )


def _part(title: str, scores: Sequence[Score]) -> Part:
    lines = (PlacingLine(words, placings(_at(scores, moment))) for moment, words in MOMENTS.items())
    return Part(title, len(scores), tuple(lines), _minutes(scores))


def _at(scores: Iterable[Score], moment: str) -> list[int]:
    return [score.ranks[moment] for score in scores if moment in score.ranks]


def _minutes(scores: Sequence[Score]) -> Minutes | None:
    """Of the sheets that could be told something on opening."""
    told = [score for score in scores if score.minutes_even is not None]
    if not told:
        return None
    return Minutes(
        sheets=len(told),
        within_even=sum(score.minutes_spent <= (score.minutes_even or 0.0) for score in told),
        within_likely=sum(score.minutes_spent <= (score.minutes_likely or float("inf")) for score in told),
        spent=minutes_in_words(sum(score.minutes_spent for score in told) / len(told)),
        told=minutes_in_words(sum(score.minutes_even or 0.0 for score in told) / len(told)),
    )


def plot_calibration(bins: Sequence[CalibrationBin]) -> SafeString:
    """What was predicted against how often it came; on the line where the two agree."""
    figure = new_figure(width_inches=4.4, height_inches=4.0)
    axes = figure.add_subplot()
    axes.plot([0, 100], [0, 100], "-", color=HAIR, linewidth=1)
    predicted, came = [100 * one.predicted for one in bins], [100 * one.came_true for one in bins]
    errors = [100 * one.standard_error for one in bins]
    axes.errorbar(predicted, came, yerr=errors, fmt="o", color=ACCENT, markersize=5, linewidth=1)
    for one, x, y in zip(bins, predicted, came, strict=True):
        axes.annotate(str(one.count), (x, y), xytext=(6, 6), textcoords="offset points", fontsize=8)
    axes.set(xlim=(-3, 103), ylim=(-3, 103), xlabel="found, as predicted (%)", ylabel="found, as it came (%)")
    words = (
        f"{len(bins)} points, each with the number of examinations behind it; on the line what was predicted came as "
        "often as predicted. The table beside it has them all."
    )
    return as_svg(figure, title="Predicted against what came", words=words)


@dataclass(frozen=True, slots=True)
class BenchmarkLine:
    """How the shipped knowledge did on one half of the published repairs."""

    title: str
    cases: int
    first: str
    first_three: str
    first_five: str
    first_within_four_checks: str


@dataclass(frozen=True, slots=True)
class Benchmark:
    made_on: date
    is_of_this_knowledge: bool
    lines: tuple[BenchmarkLine, ...]


def shipped_benchmark(knowledge_checksum: str) -> Benchmark | None:
    """What the benchmark on published repairs wrote down for this version; nothing where it has not been run."""
    return benchmark_in(SHIPPED_BENCHMARK, knowledge_checksum)


def benchmark_in(file: Path, knowledge_checksum: str) -> Benchmark | None:
    found = _read(file)
    if found is None:
        return None
    halves = [(HALVES[name], numbers) for name, numbers in found["halves"].items() if name in HALVES]
    return Benchmark(
        made_on=date.fromisoformat(found["made_on"]),
        is_of_this_knowledge=found["knowledge"] == knowledge_checksum,
        lines=tuple(_line(title, numbers) for title, numbers in halves if numbers["cases"]),
    )


@cache
def _read(file: Path) -> dict[str, Any] | None:
    if not file.exists():
        return None
    found: dict[str, Any] = json.loads(file.read_text(encoding="utf-8"))
    return found


def _line(title: str, numbers: Mapping[str, int]) -> BenchmarkLine:
    cases = numbers["cases"]
    names = ("first", "first_3", "first_5", "first_within_4_checks")
    return BenchmarkLine(title, cases, *(f"{numbers[name]} of {cases} ({numbers[name] / cases:.0%})" for name in names))
