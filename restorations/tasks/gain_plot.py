"""The plot of attempts: how far it moves by each of them, both ways from where it stood."""

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import accumulate

from django.utils.safestring import SafeString

from restorations.web.charts import HAIR, as_svg, new_figure


@dataclass(frozen=True, slots=True)
class Gained:
    """What one attempt gained forward and back, both in the plot's unit."""

    forward: float
    back: float


def plot_gains(attempts: Sequence[Gained], unit: str) -> SafeString | None:
    """None until something moved: a flat line is better said in words."""
    forward = [0.0, *accumulate(attempt.forward for attempt in attempts)]
    back = [0.0, *accumulate(attempt.back for attempt in attempts)]
    if forward[-1] + back[-1] <= 0:
        return None
    figure = new_figure(width_inches=5.2, height_inches=3.0)
    axes, numbers = figure.add_subplot(), list(range(len(attempts) + 1))
    axes.step(numbers, forward, "o-", where="post", markersize=4)
    axes.step(numbers, [-reach for reach in back], "o-", where="post", markersize=4)
    axes.axhline(0.0, color=HAIR, linewidth=1)
    axes.set_xticks(numbers if len(numbers) <= 21 else numbers[:: len(numbers) // 10])
    axes.set_xlabel("attempt")
    axes.set_ylabel(f"back | forward ({unit})")
    axes.yaxis.set_major_formatter(lambda reach, _: f"{abs(reach):g}")
    axes.margins(x=0.03, y=0.12)
    words = (
        f"After {len(attempts)} attempts it moves {forward[-1]:g} {unit} forward and {back[-1]:g} {unit} back from "
        "where it stood. The table beside it has them all."
    )
    return as_svg(figure, title="How far it moves", words=words)
