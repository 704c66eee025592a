"""The plot of one thing measured again and again: repeats as a bar, the known-good value as a line across."""

from collections.abc import Sequence
from datetime import date, datetime, timedelta
from math import ceil
from typing import Any

from django.utils import timezone
from django.utils.safestring import SafeString

from restorations.tasks.measuring import SHOWN, in_shown_unit, shown_value
from restorations.tasks.models import Reading
from restorations.web.charts import ACCENT, as_svg, new_figure

MOST_PLOTTED = 500
_STEPS = 4
_LEAST_MARGIN = timedelta(hours=18)


def plot_over_time(readings: Sequence[Reading], known_good: Reading | None) -> SafeString:
    """Readings of one kind in order of time, in the unit they are compared in; there must be at least one."""
    figure = new_figure()
    axes: Any = figure.add_subplot()
    at = [timezone.localtime(reading.happened_at).replace(tzinfo=None) for reading in readings]
    least, mean, most = zip(*(reading.shown for reading in readings), strict=True)
    below = [middle - low for low, middle in zip(least, mean, strict=True)]
    above = [high - middle for middle, high in zip(mean, most, strict=True)]
    axes.errorbar(at, mean, yerr=[below, above], fmt="o-", capsize=4)
    if known_good is not None:
        axes.axhline(shown_value(known_good.mean_si, known_good.dimension), color=ACCENT, linestyle=(0, (6, 3)))
    _mark_days(axes, at[0], at[-1])
    axes.set_ylabel(SHOWN[readings[0].dimension][0])
    axes.margins(y=0.2)
    return as_svg(figure, title=f"{readings[0].title} over time", words=_words(readings, known_good))


def _mark_days(axes: Any, first: datetime, last: datetime) -> None:
    """A few days named along the foot, with room at both ends."""
    margin = max(_LEAST_MARGIN, 0.06 * (last - first))
    days = days_named(first.date(), last.date())
    year = "" if first.year == last.year else " %Y"
    axes.set_xlim(first - margin, last + margin)
    axes.set_xticks(
        [datetime(day.year, day.month, day.day, 12) for day in days],
        [f"{day.day} {day.strftime(f'%b{year}')}" for day in days],
    )


def days_named(first: date, last: date) -> list[date]:
    """At most five days from the first to the last, evenly apart."""
    span = (last - first).days
    step = max(1, ceil(span / _STEPS))
    return [first + timedelta(days=days) for days in range(0, span + 1, step)]


def _words(readings: Sequence[Reading], known_good: Reading | None) -> str:
    first, last = readings[0], readings[-1]
    number = "1 reading" if len(readings) == 1 else f"{len(readings)} readings"
    told = f"{number}, the first {first.for_comparison}, the last {last.for_comparison}."
    if known_good is not None:
        good = in_shown_unit(known_good.mean_si, known_good.dimension)
        told += f" The dashed line is the known-good value, {good}."
    return f"{told} The table beside it has them all."
