"""The fan of return days on a calendar strip, as positions for the template to draw."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from math import ceil

from restorations.calc.schedule import months_later

WIDTH, LEFT, RIGHT = 360.0, 10.0, 350.0
MOST_MONTHS_NAMED = 6
LEAST_DAYS = 28
RAYS = (0.1, 0.2, 0.3, 0.4, 0.6, 0.7, 0.9)
A_LABEL = 150.0  # room a label needs to its right


@dataclass(frozen=True, slots=True)
class Tick:
    """A month's first day on the strip, with its name where there is room."""

    x: float
    name: str


@dataclass(frozen=True, slots=True)
class Mark:
    """A day that is named: where it stands, and on which side of its leader the words have room."""

    x: float
    words: str
    anchor: str
    words_x: float


@dataclass(frozen=True, slots=True)
class Fan:
    """Rays from the day it was made to the strip; `marks` are the days in words, the earlier first."""

    start: float
    rays: tuple[float, ...]
    ticks: tuple[Tick, ...]
    weeks: tuple[float, ...]
    marks: tuple[Mark, ...]
    words: str


def fan_of(made_on: date, days: Sequence[date | None], named: Sequence[tuple[str, date]]) -> Fan | None:
    """From sorted days of return (None: no day); nothing where fewer than half of them have one."""
    known = [day for day in days if day is not None]
    if len(known) * 2 < len(days) or not known:
        return None
    last = max([known[int(0.95 * (len(known) - 1))], made_on + timedelta(days=LEAST_DAYS), *(day for _, day in named)])
    span = (last - made_on).days

    def x(day: date) -> float:
        return round(LEFT + (RIGHT - LEFT) * (day - made_on).days / span, 1)

    rays = [x(day) for share in RAYS if (day := days[int(share * (len(days) - 1))]) is not None and day <= last]
    weeks = [x(made_on + timedelta(days=number)) for number in range(0, span + 1, 7)] if span <= 200 else []
    words = "; ".join(f"{name} {_plain(day)}" for name, day in named)
    marks = [_mark(x(day), f"{name} {_plain(day)}") for name, day in named]
    return Fan(LEFT, tuple(rays), tuple(_ticks(made_on, last, x)), tuple(weeks), tuple(marks), words)


def _mark(x: float, words: str) -> Mark:
    before = x + A_LABEL > RIGHT
    return Mark(x, words, "end" if before else "start", x - 4 if before else x + 4)


def _ticks(first: date, last: date, x: Callable[[date], float]) -> list[Tick]:
    month, found = first.replace(day=1), []
    while (month := months_later(month, 1)) <= last:
        found.append(month)
    step = ceil(len(found) / MOST_MONTHS_NAMED) or 1
    return [Tick(x(day), _named(day) if number % step == 0 else "") for number, day in enumerate(found)]


def _named(month: date) -> str:
    return f"{month:%b %Y}" if month.month == 1 else f"{month:%b}"


def _plain(day: date) -> str:
    return f"{day.day} {day:%b %Y}"
