"""Makes forecasts: reads what is left, simulates outside any transaction, stores it with what it rested on."""

from collections.abc import Mapping, Sequence
from dataclasses import replace
from datetime import date, datetime, timedelta
from typing import Any
from uuid import UUID

import numpy as np
from django.core.exceptions import ValidationError
from django.utils import timezone

from restorations.calc.schedule import Plan, ReturnDate, Work, simulate
from restorations.engines.models import Engine, Stoppage
from restorations.engines.state import IN_TRAFFIC, LAID_UP, EngineState, states_of
from restorations.members.models import Member
from restorations.members.models.records import record, submit_once
from restorations.traffic.forecast_inputs import Inputs, gather
from restorations.traffic.forecast_plan import INSPECTOR, Gap, Left, left_of, needs_test
from restorations.traffic.models import Forecast

SEED = 20260401  # any fixed number: what has not changed is drawn again as it was
KEPT = 200
NAMED, LEAST_SHARE = 12, 0.05
STALE_AFTER = timedelta(days=7)


def make_forecast(*, engine: Engine, member: Member, at: datetime, mark: UUID) -> Forecast:
    """Work it out anew; refuses, in words, where there is nothing to forecast."""
    on = timezone.localdate(at)
    state = states_of([engine], on)[engine.pk]
    if why := refused(engine, state):
        raise ValidationError(why)
    forecast = worked_out(engine, gather({engine: state}, on)[engine.pk], at)

    def make() -> Forecast:
        forecast.made_by = member
        forecast.save()
        record(member, "worked out a forecast", forecast, after=_told(forecast))
        return forecast

    return submit_once(member, mark, make)[0]


def make_forecasts(*, at: datetime) -> list[Forecast]:
    """For every engine that is stopped or in works; one that rests on the same as a week ago is left as it is."""
    on = timezone.localdate(at)
    out = Engine.objects.still_here().filter(pk__in=Stoppage.objects.open(on).values("engine"))
    engines = list(out.order_by("pk"))
    states = states_of(engines, on)
    inputs = gather({engine: states[engine.pk] for engine in engines if not refused(engine, states[engine.pk])}, on)
    newest = {row.engine_id: row for row in Forecast.objects.newest_of_each(engines).defer("inputs", "samples")}
    due = [
        engine for engine in engines if engine.pk in inputs and _is_due(newest.get(engine.pk), inputs[engine.pk], at)
    ]
    return Forecast.objects.bulk_create(worked_out(engine, inputs[engine.pk], at) for engine in due)


def refused(engine: Engine, state: EngineState) -> str:
    """Why there is nothing to forecast; empty where there is."""
    if engine.gone_on is not None:
        return engine.gone_in_words
    if state.kind == IN_TRAFFIC:
        return f"{engine} is in traffic: there is no return to forecast."
    if state.kind == LAID_UP:
        return f"{engine} is laid up: it comes back when somebody takes it out again, not when work is done."
    return ""


def _is_due(newest: Forecast | None, inputs: Inputs, at: datetime) -> bool:
    return newest is None or newest.inputs_checksum != inputs.checksum or at - newest.made_at >= STALE_AFTER


def _told(forecast: Forecast) -> dict[str, Any]:
    days = {"even chance": forecast.even_chance_on, "8 in 10": forecast.likely_on, "not before": forecast.not_before_on}
    return {name: value for name, value in days.items() if value} | {"missing": len(forecast.missing)}


def worked_out(engine: Engine, inputs: Inputs, at: datetime) -> Forecast:
    """Simulate and put into words; saves nothing."""
    left, found = _simulated(inputs)
    forecast = Forecast(
        engine=engine, made_at=at, made_on=inputs.on, seed=SEED, inputs=inputs.plain(),
        inputs_checksum=inputs.checksum, missing=[_plain(gap) for gap in left.gaps],
    )  # fmt: skip
    if found is None:
        return forecast
    forecast.samples = _samples(found, inputs.on)
    even_chance, likely = _day(inputs.on, found.even_chance), _day(inputs.on, found.likely)
    if left.gaps:
        forecast.not_before_on = even_chance
    else:
        forecast.even_chance_on, forecast.likely_on = even_chance, likely
    forecast.drivers = _drivers(inputs, left.plan, found)
    return forecast


def _simulated(inputs: Inputs) -> tuple[Left, ReturnDate | None]:
    """With the boiler's test at the end, where its papers are not good on the day the work is likely done."""
    tested = needs_test(inputs, inputs.on)
    left = left_of(inputs, tested=tested)
    found = simulate(left.plan, left.sessions, SEED) if left.is_workable else None
    back = _day(inputs.on, found.even_chance) if found else None
    if not tested and back is not None and needs_test(inputs, back):
        left = left_of(inputs, tested=True)
        found = _with_missed_sessions(simulate(left.plan, left.sessions, SEED), inputs)
    elif tested and found is not None:
        found = _with_missed_sessions(found, inputs)
    return left, found


def _with_missed_sessions(found: ReturnDate, inputs: Inputs) -> ReturnDate:
    """Where the work is not done by the day booked with the inspector, another session has to be asked for."""
    if inputs.booked_on is None:
        return found
    booked, again = (inputs.booked_on - inputs.on).days, inputs.shop.inspector_days or np.inf
    return replace(found, days=np.where(found.days > booked, found.days + again, found.days))


def _samples(found: ReturnDate, on: date) -> list[str | None]:
    middles = ((np.arange(KEPT) + 0.5) / KEPT * len(found.days)).astype(int)
    days = (_day(on, float(day)) for day in found.days[middles])
    return [day.isoformat() if day else None for day in days]


def _day(on: date, days: float | None) -> date | None:
    return None if days is None or not np.isfinite(days) else on + timedelta(days=int(days))


def _plain(gap: Gap) -> dict[str, Any]:
    return {"kind": gap.kind, "row": gap.row, "words": gap.words}


def _drivers(inputs: Inputs, plan: Plan, found: ReturnDate) -> list[dict[str, Any]]:
    """What holds it up, in most runs first and among equals the longest; then whether hands are short."""
    lines = [
        {**line, "share": round(found.critical[key], 3)}
        for key, line in _lines(inputs, plan).items()
        if found.critical.get(key, 0.0) >= LEAST_SHARE
    ]
    lines.sort(key=lambda line: (-line["share"], -line["hours"]))
    hands = {"kind": "hands", "row": None, "words": "", "until": None, "hours": 0.0}
    short = [{**hands, "share": round(found.short_of_hands, 3)}] if found.short_of_hands >= LEAST_SHARE else []
    return [*lines[:NAMED], *short]


def _lines(inputs: Inputs, plan: Plan) -> dict[str, dict[str, Any]]:
    lines: dict[str, dict[str, Any]] = {}
    for kind, rows in (("card", inputs.cards), ("sheet", inputs.sheets)):
        lines |= _work_lines(kind, rows, plan.work)
    for wait in inputs.waits:
        until = wait.until.isoformat() if wait.until else None
        lines[wait.key] = {"kind": wait.kind, "row": wait.row, "words": wait.words, "until": until, "hours": 0.0}
    until = inputs.booked_on.isoformat() if inputs.booked_on else None
    asked = f"Boiler test, {inputs.shop.inspector_days} days from asking for it"
    words = "Boiler test, booked with the inspector" if until else asked
    lines[INSPECTOR] = {"kind": "inspector", "row": None, "words": words, "until": until, "hours": 0.0}
    return lines


def _work_lines(kind: str, rows: Sequence[Any], work: Mapping[str, Work]) -> dict[str, dict[str, Any]]:
    """With the hours still to be put in, on average over what can be said."""
    shares = (np.arange(KEPT) + 0.5) / KEPT
    lines = {}
    for row in rows:
        key = f"{kind} {row.row}"
        if key in work:
            drawn = work[key].drawn(shares)
            hours = round(float(drawn[np.isfinite(drawn)].mean()), 1)
            lines[key] = {"kind": kind, "row": row.row, "words": row.title, "until": None, "hours": hours}
    return lines
