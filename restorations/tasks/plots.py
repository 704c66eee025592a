"""The plot of one thing measured again and again: repeats as a bar, the known-good value as a line across."""

from collections.abc import Sequence
from typing import Any

from django.utils import timezone
from django.utils.safestring import SafeString

from restorations.tasks.measuring import SHOWN, in_shown_unit, shown_value
from restorations.tasks.models import Reading
from restorations.web.charts import ACCENT, as_svg, new_figure

MOST_PLOTTED = 500


def plot_over_time(readings: Sequence[Reading], known_good: Reading | None) -> SafeString:
    """Readings of one kind in order of time, in the unit they are compared in; there must be at least one."""
    from matplotlib import dates

    figure = new_figure()
    axes = figure.add_subplot()
    days = [timezone.localtime(reading.happened_at).replace(tzinfo=None) for reading in readings]
    least, mean, most = zip(*(reading.shown for reading in readings), strict=True)
    spread = [[m - low for m, low in zip(mean, least, strict=True)], [h - m for h, m in zip(most, mean, strict=True)]]
    axes.errorbar(days, mean, yerr=spread, fmt="o-", capsize=4)  # type: ignore[arg-type]
    if known_good is not None:
        axes.axhline(shown_value(known_good.mean_si, known_good.dimension), color=ACCENT, linestyle=(0, (6, 3)))
    places: Any = dates.AutoDateLocator(maxticks=6)  # type: ignore[no-untyped-call]
    axes.xaxis.set_major_locator(places)
    named: Any = dates.ConciseDateFormatter(places)  # type: ignore[no-untyped-call]
    axes.xaxis.set_major_formatter(named)
    axes.set_ylabel(SHOWN[readings[0].dimension][0])
    axes.margins(x=0.08, y=0.2)
    return as_svg(figure, title=f"{readings[0].title} over time", words=_words(readings, known_good))


def _words(readings: Sequence[Reading], known_good: Reading | None) -> str:
    first, last = readings[0], readings[-1]
    told = f"{len(readings)} readings, the first {first.for_comparison}, the last {last.for_comparison}."
    if known_good is not None:
        good = in_shown_unit(known_good.mean_si, known_good.dimension)
        told += f" The dashed line is the known-good value, {good}."
    return f"{told} The table beside it has them all."
