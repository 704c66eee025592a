"""What is off an engine, parted, soaking and tagged at this moment: for the pages that are printed and left there."""

from collections.abc import Sequence
from dataclasses import dataclass

from restorations.engines.models import Engine
from restorations.home.naming import part_words, soak_words
from restorations.tasks.models import Connection, Soak, StrippedPart, Tag


@dataclass(frozen=True, slots=True)
class PartOff:
    part: StrippedPart
    name: str


@dataclass(frozen=True, slots=True)
class SoakNow:
    soak: Soak
    where: str


@dataclass(frozen=True, slots=True)
class OffNow:
    parts: Sequence[PartOff]
    connections: Sequence[Connection]
    soaks: Sequence[SoakNow]
    tags: Sequence[Tag]


def off_now(engine: Engine, *, most: int | None = None) -> OffNow:
    """Four queries, whatever there is; at most so many of each. A helper's rows too, for a part off is off."""
    parts = StrippedPart.objects.off().filter(engine=engine).in_order().select_related("in_box", "off_by")
    soaks = Soak.objects.under_way().filter(engine=engine).select_related("begun_by").order_by("due_at")
    return OffNow(
        parts=[PartOff(part, part_words(part.component, part.place, part.name)) for part in parts[:most]],
        connections=list(Connection.objects.parted().filter(engine=engine).order_by("number")[:most]),
        soaks=[SoakNow(soak, soak_words(soak.place)) for soak in soaks[:most]],
        tags=list(Tag.objects.hanging().filter(engine=engine).select_related("put_on_by")[:most]),
    )
