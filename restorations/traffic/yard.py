"""The yard as it is drawn: each road with what stands on it, silhouettes to one scale."""

from collections import defaultdict
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from itertools import groupby

from django.db.models import Max
from django.utils.safestring import SafeString

from restorations.engines.models import EngineConfiguration
from restorations.traffic.models import EngineStands, Road
from restorations.traffic.shed import ShedLine
from restorations.web.outline.silhouette import silhouette


@dataclass(frozen=True, slots=True)
class Place:
    """One engine on a road, or a road on which none stands; `road` is None where nobody has recorded it."""

    road: Road | None
    line: ShedLine | None


@dataclass(frozen=True, slots=True)
class Stands:
    """An engine with its drawing."""

    line: ShedLine
    svg: SafeString
    is_to_scale: bool


@dataclass(frozen=True, slots=True)
class DrawnRoad:
    """A road and what stands on it, nothing perhaps."""

    road: Road | None
    engines: Sequence[Stands]


def places(lines: Iterable[ShedLine]) -> list[Place]:
    """Road by road down the yard, then those of which nobody has recorded where they stand. Two queries."""
    where = dict(EngineStands.objects.now().values_list("engine", "road"))
    on_road: dict[int | None, list[ShedLine]] = defaultdict(list)
    for line in lines:
        on_road[where.get(line.engine.pk)].append(line)
    found = []
    for road in Road.objects.filter(taken_up_on__isnull=True):
        found += [Place(road, line) for line in on_road[road.pk]] or [Place(road, None)]
    return found + [Place(None, line) for line in on_road[None]]


def drawn_yard(shown: Iterable[Place]) -> list[DrawnRoad]:
    """These places, drawn; two queries."""
    shown = list(shown)
    builds = _builds([place.line.engine.pk for place in shown if place.line])
    roads = groupby(shown, key=lambda place: place.road)
    return [DrawnRoad(road, [_stands(each.line, builds) for each in on if each.line]) for road, on in roads]


def _builds(ids: Sequence[int]) -> dict[int, EngineConfiguration]:
    """Of each engine the configuration in force."""
    rows = EngineConfiguration.objects.filter(engine__in=ids)
    newest = dict(rows.order_by().values_list("engine").annotate(last=Max("number")))
    return {row.engine_id: row for row in rows if row.number == newest[row.engine_id]}


def _stands(line: ShedLine, builds: dict[int, EngineConfiguration]) -> Stands:
    build = builds[line.engine.pk]
    drawing = silhouette(build.as_configuration(), build.gauge_mm)
    return Stands(line, drawing.svg, drawing.is_to_scale)
