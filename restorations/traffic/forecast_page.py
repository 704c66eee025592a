"""What the page of an engine's forecast shows, read from the stored one; nothing is worked out here."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date
from math import prod
from typing import Any

from django.urls import reverse

from restorations.engines.models import Engine, Stoppage
from restorations.engines.state import EngineState, state_of
from restorations.traffic.forecast_fan import Fan, fan_of
from restorations.traffic.forecast_inputs import ENOUGH_SESSIONS, gather
from restorations.traffic.forecast_plan import MONTHS_AHEAD
from restorations.traffic.forecast_scores import ForecastScore, ScoreLine, forecast_score
from restorations.traffic.models import Forecast
from restorations.traffic.models.working import weekdays
from restorations.traffic.services.forecasts import refused

EARLIER_SHOWN = 5
IN_TEN = (1, 3, 5, 8, 9)
DRAWN_AMISS = 5  # hundredths by which a share of the runs may differ from the share it was drawn with
SEEN_TO = {
    "card": "Guess its hours anew", "wait": "Say until when", "part": "Wanted list", "sheet": "Go on with the sheet",
    "work": "Write a card", "papers": "Papers", "pattern": "Working sessions", "inspector": "Say how long it takes",
}  # fmt: skip


@dataclass(frozen=True, slots=True)
class Line:
    """One thing that holds it up, or is missing, with the page where it is seen to."""

    words: str
    note: str
    href: str
    link: str = ""


@dataclass(frozen=True, slots=True)
class Chance:
    """By which day it is back in so many of ten."""

    words: str
    day: date | None


@dataclass(frozen=True, slots=True)
class ForecastPage:
    """`why_not` says why there is none to make; `drivers` and `missing` are empty for whoever may not read contents."""

    state: EngineState
    why_not: str
    forecast: Forecast | None
    is_stale: bool
    drivers: tuple[Line, ...]
    missing: tuple[Line, ...]
    short_of_hands: str
    hands: str
    no_day: str
    chances: tuple[Chance, ...]
    fan: Fan | None
    said: tuple[Stoppage, ...]
    earlier: tuple[Forecast, ...]
    scores: ForecastScore
    past: tuple[ScoreLine, ...]


def forecast_page(engine: Engine, on: date, *, sees_contents: bool) -> ForecastPage:
    state = state_of(engine, on)
    why_not = refused(engine, state)
    made = list(Forecast.objects.of_this_spell().filter(engine=engine)[: EARLIER_SHOWN + 1])
    newest = made[0] if made and not why_not else None
    scores = forecast_score(on)
    return ForecastPage(
        state=state,
        why_not=why_not,
        forecast=newest,
        is_stale=newest is not None and gather({engine: state}, on)[engine.pk].checksum != newest.inputs_checksum,
        drivers=tuple(_drivers(newest)) if newest and sees_contents else (),
        missing=tuple(_missing(newest)) if newest and sees_contents else (),
        short_of_hands=_short_of_hands(newest) if newest else "",
        hands=_hands(newest) if newest and newest.samples else "",
        no_day=_no_day(newest) if newest and newest.samples else "",
        chances=tuple(_chances(newest)) if newest else (),
        fan=_fan(newest) if newest else None,
        said=tuple(stop for stop in state.stoppages if stop.expected_on),
        earlier=tuple(made[1:]) if newest else (),
        scores=scores,
        past=tuple(scores.of(engine.pk)),
    )


def _drivers(forecast: Forecast) -> Iterable[Line]:
    for driver in _dicts(forecast.drivers):
        if driver["kind"] == "hands":
            continue
        notes = [f"about {driver['hours']:g} h left"] if driver["hours"] else []
        if driver["until"]:
            notes.append(f"until {_plain(date.fromisoformat(driver['until']))}, and what such things are late")
        if driver["kind"] == "soak":
            notes = [f"until {_plain(date.fromisoformat(driver['until']))}"]
        notes.append(_runs(driver["share"]))
        yield Line(driver["words"], " · ".join(notes), _href(forecast, driver))


def _runs(share: float) -> str:
    hundredths = round(100 * share)
    return "in every run" if hundredths == 100 else f"in {hundredths} of 100 runs"


def _missing(forecast: Forecast) -> Iterable[Line]:
    for gap in _dicts(forecast.missing):
        href = reverse("traffic:working_sessions") if gap["kind"] == "inspector" else _href(forecast, gap)
        yield Line(gap["words"], "", href, SEEN_TO[gap["kind"]])


def _href(forecast: Forecast, line: dict[str, Any]) -> str:
    engine, row = forecast.engine_id, line["row"]
    addresses = {
        "card": ("tasks:card", row), "wait": ("tasks:card", row), "sheet": ("faults:sheet", row),
        "part": ("tasks:wanted", engine), "soak": ("tasks:soaks", engine), "inspector": ("engines:papers", engine),
        "work": ("tasks:new_card", engine), "papers": ("engines:papers", engine),
    }  # fmt: skip
    if line["kind"] not in addresses:
        return reverse("traffic:working_sessions")
    name, pk = addresses[line["kind"]]
    return reverse(name, args=[pk])


def _dicts(stored: Any) -> list[dict[str, Any]]:
    return list(stored)


def _short_of_hands(forecast: Forecast) -> str:
    short = next((line["share"] for line in _dicts(forecast.drivers) if line["kind"] == "hands"), 0.0)
    if not short:
        return ""
    return f"In {round(100 * short)} of 100 runs the hours decide, not their order: more hands would bring it forward."


def _hands(forecast: Forecast) -> str:
    """Who was reckoned with, and where that is known from."""
    inputs: Any = forecast.inputs
    counts, attended, week = inputs["hands"], inputs["attended"], inputs["shop"]["week"]
    if counts:
        mean = sum(counts) / len(counts)
        return (
            f"Hands: from the day book. Somebody worked on it at {attended} of the last {len(counts)} sessions, "
            f"{mean:.1f} hands a session on average."
        )
    if not week:
        return ""
    usual = ", ".join(
        f"{weekdays()[int(weekday)]}s {hours:g} h with {hands}" for weekday, (hours, hands) in sorted(week.items())
    )
    return (
        f"Hands: as the club usually has them on one engine ({usual}). The day book tells of {attended} "
        f"{'session' if attended == 1 else 'sessions'} on it in twelve weeks, fewer than {ENOUGH_SESSIONS} to go by."
    )


def _no_day(forecast: Forecast) -> str:
    """Why some of the runs end without a day."""
    samples: Any = forecast.samples
    none = round(100 * samples.count(None) / len(samples))
    if not none:
        return ""
    inputs: Any = forecast.inputs
    found = prod(1 - (sheet["handed_over"] or 0) for sheet in inputs["sheets"])
    why = []
    if found < 1:
        why.append("the fault is not found by the club's own checks, and somebody else has to look at it")
    if found == 1 or none > 100 * (1 - found) + DRAWN_AMISS:
        why.append(f"it is not done in {MONTHS_AHEAD} months")
    return f"No day can be put on {none} of 100 runs: {', or '.join(why)}."


def _chances(forecast: Forecast) -> Iterable[Chance]:
    samples: Any = forecast.samples
    if not samples:
        return
    for tenths in IN_TEN:
        stored = samples[round(tenths / 10 * len(samples)) - 1]
        words = "even chance" if tenths == 5 else f"{tenths} in 10"
        yield Chance(words, date.fromisoformat(stored) if stored else None)


def _fan(forecast: Forecast) -> Fan | None:
    samples: Any = forecast.samples
    days = [date.fromisoformat(day) if day else None for day in samples]
    named = [
        (words, day)
        for words, day in (
            ("not before about", forecast.not_before_on), ("even chance", forecast.even_chance_on),
            ("8 in 10 by", forecast.likely_on),
        )
        if day is not None
    ]  # fmt: skip
    return fan_of(forecast.made_on, days, named) if days else None


def _plain(day: date) -> str:
    return f"{day.day} {day:%b %Y}"
