"""Stored forecasts, for whoever shows many engines; nothing is worked out here."""

from collections.abc import Iterable

from restorations.engines.models import Engine
from restorations.traffic.models import Forecast


def latest_forecasts(engines: Iterable[Engine]) -> dict[int, Forecast]:
    """By engine id, in one query: the newest of the present spell out of traffic, where it could say anything.

    Look at `is_whole`: where something is missing, `even_chance_on` and `likely_on` are empty, `not_before_on` is
    all there is, and `chance_by(by)` is at most so much.
    """
    rows = Forecast.objects.newest_of_each(engines).defer("inputs")
    return {row.engine_id: row for row in rows if row.says_something}
