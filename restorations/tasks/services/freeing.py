"""Attempts at freeing what is stuck."""

from collections.abc import Sequence
from dataclasses import asdict, dataclass
from uuid import UUID

from restorations.engines.models import Engine
from restorations.members.doing import Doing
from restorations.members.models.records import record, submit_once
from restorations.photos.models import Photo
from restorations.photos.services import attach
from restorations.tasks.models import FreeingAttempt, Soak
from restorations.web.units import Quantity


@dataclass(frozen=True, slots=True)
class Attempt:
    """One try: where, how, how it moved, what it gained each way (two lengths, or two angles)."""

    place: str
    method: str
    push: str
    forward: Quantity
    back: Quantity
    full_turn: bool = False
    note: str = ""


def note_attempt(
    *, engine: Engine, attempt: Attempt, doing: Doing, mark: UUID, photos: Sequence[Photo] = ()
) -> FreeingAttempt:
    def make() -> FreeingAttempt:
        soak = Soak.objects.under_way().filter(engine=engine, place=attempt.place).last()
        plain = {name: value for name, value in asdict(attempt).items() if name not in {"forward", "back"}}
        row = FreeingAttempt.objects.create(
            engine=engine, soak=soak, tried_at=doing.at, tried_by=doing.member, **plain,
            **_gained("forward", attempt.forward), **_gained("back", attempt.back), **doing.acceptance,
        )  # fmt: skip
        attach(photos, row.photos, doing)
        record(doing.member, "tried to free it", row, after={"attempt": str(row)})
        return row

    return submit_once(doing.member, mark, make)[0]


def _gained(way: str, quantity: Quantity) -> dict[str, object]:
    unit, column = ("degree", "deg") if quantity.dimension == "angle" else ("millimeter", "mm")
    return {f"{way}_typed": quantity.typed, f"{way}_{column}": quantity.to(unit)}
