"""The yard as it is drawn: each road with what stands on it, silhouettes to one scale."""

from collections import defaultdict
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import Any

from django.db.models import Max
from django.utils.safestring import SafeString, mark_safe

from restorations.engines.models import EngineConfiguration
from restorations.traffic.models import EngineStands, Road
from restorations.traffic.shed import ShedLine
from restorations.web.outline.silhouette import silhouette

PIXELS_PER_MM = 0.13  # a tank engine of 5 in gauge is 90 px long: several to a road on a phone


@dataclass(frozen=True, slots=True)
class Stands:
    """An engine on a road: its line of the table, since when, and its drawing."""

    line: ShedLine
    row: EngineStands | None
    svg: SafeString
    is_to_scale: bool


@dataclass(frozen=True, slots=True)
class DrawnRoad:
    """`road` is None for the engines of which nobody has recorded where they stand."""

    road: Road | None
    engines: Sequence[Stands]


def drawn_yard(lines: Iterable[ShedLine]) -> list[DrawnRoad]:
    """Three queries whatever there is."""
    lines = list(lines)
    ids = [line.engine.pk for line in lines]
    where = {row.engine_id: row for row in EngineStands.objects.now().filter(engine__in=ids).select_related("road")}
    builds = _builds(ids)
    roads: dict[int | None, list[Stands]] = defaultdict(list)
    for line in lines:
        row = where.get(line.engine.pk)
        roads[row.road_id if row else None].append(_stands(line, row, builds.get(line.engine.pk)))
    found = [DrawnRoad(road, roads.get(road.pk, [])) for road in Road.objects.filter(taken_up_on__isnull=True)]
    return [*found, DrawnRoad(None, roads[None])] if roads.get(None) else found


def _builds(ids: Sequence[int]) -> dict[int, EngineConfiguration]:
    """Of each engine the configuration in force."""
    rows = EngineConfiguration.objects.filter(engine__in=ids)
    newest = dict(rows.order_by().values_list("engine").annotate(last=Max("number")))
    return {row.engine_id: row for row in rows if row.number == newest[row.engine_id]}


def _stands(line: ShedLine, row: EngineStands | None, build: Any) -> Stands:
    drawing = silhouette(build.as_configuration(), build.gauge_mm)
    wide = drawing.svg.replace("<svg ", f'<svg width="{drawing.width_mm * PIXELS_PER_MM:.0f}" ', 1)
    # Numbers and our own shapes only: nothing a member typed is in a drawing.
    return Stands(line, row, mark_safe(wide), drawing.is_to_scale)  # noqa: S308
