"""How long forecasts of 30 stopped engines take together, and how early they are against hands that just begin.

Run with `python -m tests.benchmarks.forecasts`. Thirty engines with twenty cards each, a fault sheet, parts that are
promised, a soak, and hands from the day book: read, simulated and stored as the nightly command does it, and then read
again as the shed does; they are meant to take less than a second together. The second table is about the simulation
alone: it takes hands never to stand idle while there is work, so it is held against the same hours done by hands that
take the first card free to begin, or the one with most behind it.
"""

import os
import sys
from datetime import timedelta
from statistics import median
from typing import Any

import numpy as np

from tests.benchmarks.day_book_speed import seconds

os.environ.setdefault("DJANGO_SETTINGS_MODULE", "clubshop.settings")

ENGINES, CARDS, ENTRIES, ROUNDS = 30, 20, 40, 5
PLANS, PLAN_CARDS, RUNS, SESSION_HOURS, DAYS, A_MOMENT = 30, 12, 40, 2.5, range(0, 730, 3), 1e-9


def fill(engine: Any, by: Any) -> None:
    """Twenty cards in chains of threes, a sheet, two parts, a soak and three months of entries."""
    from restorations.tasks.models import CardOrder, DayBookEntry, JobCard
    from tests.factories import NOON, TODAY
    from tests.faults.builders import make_soak
    from tests.tasks.work_builders import make_wanted
    from tests.traffic.forecast_builders import ranked_sheet

    cards = JobCard.objects.bulk_create(
        JobCard(engine=engine, title=f"Card {n}", low_hours=1, likely_hours=3, high_hours=9, made_by=by)
        for n in range(CARDS)
    )
    CardOrder.objects.bulk_create(
        CardOrder(earlier=earlier, later=later) for earlier, later in zip(cards, cards[3:], strict=False)
    )
    stands = {"done_by": by, "recorded_by": by, "accepted_at": NOON, "accepted_by": by}
    DayBookEntry.objects.bulk_create(
        DayBookEntry(engine=engine, happened_at=NOON - timedelta(days=2 * n), text="Evening", **stands)
        for n in range(ENTRIES)
    )
    ranked_sheet(engine, by, hours=6, handed_over=0.1)
    for card in cards[:2]:
        make_wanted(engine, by, card=card, state="promised", promised_by=TODAY + timedelta(days=20))
    make_soak(engine, by)


def speed() -> dict[str, float]:
    """Median seconds of each part, all engines together."""
    from restorations.engines.models import Engine
    from restorations.engines.state import states_of
    from restorations.traffic.forecast_inputs import gather
    from restorations.traffic.forecasts import latest_forecasts
    from restorations.traffic.models import Forecast
    from restorations.traffic.services.forecasts import make_forecasts, worked_out
    from tests.cast import make_cast
    from tests.factories import NOON, TODAY
    from tests.traffic.forecast_builders import in_works, make_pattern

    cast = make_cast()
    make_pattern(cast.secretary, inspector_days=21)
    for number in range(ENGINES):
        fill(in_works(cast.member, name=f"Engine {number}"), cast.member)
    engines = list(Engine.objects.all())
    states = states_of(engines, TODAY)
    inputs = gather({engine: states[engine.pk] for engine in engines}, TODAY)

    def again() -> None:
        Forecast.objects.all().delete()
        make_forecasts(at=NOON)

    parts = {
        "what is left, read": lambda: gather({engine: states[engine.pk] for engine in engines}, TODAY),
        "simulated": lambda: [worked_out(engine, inputs[engine.pk], NOON) for engine in engines],
        "read, simulated, stored": again,
        "stored forecasts read": lambda: latest_forecasts(engines),
    }
    return {name: median(seconds(act) for _ in range(ROUNDS)) for name, act in parts.items()}


def early(hands: int) -> list[float]:
    """Even-chance day over the simulated one: first card first, mean and greatest; longest way first, the same."""
    from restorations.calc.schedule import Plan, Session, Work, simulate, three_point

    random = np.random.default_rng(3)
    sessions = [Session(day, SESSION_HOURS, (hands,)) for day in DAYS]
    guess, ratios = three_point(1, 3, 8), []
    for _ in range(PLANS):
        after = [_first(card, random) for card in range(PLAN_CARDS)]
        work = {str(card): Work(guess, after=tuple(str(n) for n in first)) for card, first in enumerate(after)}
        found = simulate(Plan(work, {}), sessions, seed=1).even_chance or 0
        hours = [guess.quantiles(random.random(PLAN_CARDS)) for _ in range(RUNS)]
        ways = [list(range(PLAN_CARDS)), sorted(range(PLAN_CARDS), key=lambda card: -_way(card, after))]
        ratios.append([(median(through(one, after, way[:], hands) for one in hours) + 3) / (found + 3) for way in ways])
    return [*np.mean(ratios, axis=0), *np.max(ratios, axis=0)]


def _first(card: int, random: Any) -> list[int]:
    """Up to two of the cards before it; a quarter of them wait for none."""
    if random.random() < 0.25:
        return []
    return sorted({int(n) for n in random.integers(0, max(card, 1), 2) if n < card})


def _way(card: int, after: list[list[int]]) -> int:
    """How many cards the longest chain from this one on has."""
    return 1 + max((_way(later, after) for later, first in enumerate(after) if card in first), default=0)


def through(hours: Any, after: list[list[int]], way: list[int], hands: int) -> int:
    """The day on which the last card is done by hands that take the first of `way` that they can begin."""
    left = hours.copy()
    for day in DAYS:
        session = SESSION_HOURS
        while session > A_MOMENT:
            free = [card for card in way if left[card] > A_MOMENT and all(left[n] <= A_MOMENT for n in after[card])]
            if not free:
                return day
            step = min(session, *(left[card] for card in free[:hands]))
            left[free[:hands]] -= step
            session -= step
    return DAYS[-1]


def main() -> int:
    import django
    from django.conf import settings
    from django.test.utils import get_runner, setup_test_environment

    django.setup()
    setup_test_environment()
    runner = get_runner(settings)(verbosity=0)
    databases = runner.setup_databases()
    try:
        measured = speed()
    finally:
        runner.teardown_databases(databases)
    print(f"{ENGINES} stopped engines, {CARDS} cards each")
    for name, taken in measured.items():
        print(f"{name:28}{taken * 1e3:8.0f} ms")
    print("even-chance day over the simulated one, for hands that take the first card free, or the longest way first")
    for hands in (1, 2, 3, 4):
        first, longest, most_first, most_longest = early(hands)
        print(f"{hands} at a time: {first:.2f} (at most {most_first:.2f}), {longest:.2f} (at most {most_longest:.2f})")
    return 0


if __name__ == "__main__":
    sys.exit(main())
