"""Parts coming off, described, moved and going back. Every act is one transaction and leaves a record."""

from collections.abc import Iterable, Sequence
from dataclasses import asdict, dataclass
from typing import Any
from uuid import UUID

from django.core.exceptions import ValidationError
from django.db.models import Max

from restorations.engines.models import Engine, OwnerConsent
from restorations.members.doing import Doing
from restorations.members.models.records import record, submit_once
from restorations.photos.models import Photo
from restorations.photos.services import attach
from restorations.tasks.models import Connection, FixingSet, StrippedPart
from restorations.tasks.models.parts import STAYS_OFF
from restorations.tasks.services.boxes import box_for
from restorations.tasks.services.connections import join
from restorations.tasks.services.entries import accept


@dataclass(frozen=True, slots=True)
class Stripping:
    """What came off and where it lies: the knowledge's name for it, or one's own, or none yet."""

    part_id: str = ""
    name: str = ""
    box: str = ""
    """As it was written: a box's number, code or label; a box nobody has made yet is made."""
    tray_place: int | None = None


@dataclass(frozen=True, slots=True)
class Ending:
    """How a part's time off ends; a reason where it stays off on purpose, the owner's consent where it is scrapped."""

    ending: str = "refitted"
    reason: str = ""
    consent: OwnerConsent | None = None


def split_part_id(part_id: str) -> tuple[str, str]:
    component, _, place = part_id.partition("@")
    return component, place


def _next_number(engine: Engine) -> int:
    """Locks the engine's row, so that two who strip at once get two numbers."""
    Engine.objects.select_for_update().get(pk=engine.pk)
    return (StrippedPart.objects.filter(engine=engine).aggregate(highest=Max("number"))["highest"] or 0) + 1


def take_off(*, engine: Engine, part_id: str, box: str, doing: Doing) -> StrippedPart:
    """Write down that a part came off; call inside a transaction. What a helper wrote is there, and stands now."""
    return _write_down(engine, Stripping(part_id=part_id, box=box), doing)


def _write_down(engine: Engine, stripping: Stripping, doing: Doing) -> StrippedPart:
    component, place = split_part_id(stripping.part_id)
    number = _next_number(engine)
    already: StrippedPart | None = (
        StrippedPart.objects.off().filter(engine=engine, component=component, place=place).first()
    )
    if already is not None and component:
        if doing.stands and already.accepted_at is None and not already.ending_waits:
            accept(already, member=doing.member, at=doing.at)
        return already
    part = StrippedPart.objects.create(
        engine=engine, number=number, component=component, place=place, name=stripping.name, box=stripping.box,
        in_box=box_for(stripping.box, doing), tray_place=stripping.tray_place if stripping.box else None,
        off_at=doing.at, off_by=doing.member, **doing.acceptance,
    )  # fmt: skip
    record(doing.member, "took a part off", part, after={"part": str(part), "box": part.lies_in or "not said"})
    return part


def strip_part(
    *, engine: Engine, stripping: Stripping, doing: Doing, mark: UUID, photos: Sequence[Photo] = ()
) -> StrippedPart:
    """Write it down with its photos (of photos.services.take_in), which go to the end of the order of stripping."""

    def make() -> StrippedPart:
        part = _write_down(engine, stripping, doing)
        attach(photos, part.photos, doing, stripping=True)
        return part

    return submit_once(doing.member, mark, make)[0]


def add_part_photos(*, part: StrippedPart, photos: Sequence[Photo], doing: Doing, mark: UUID) -> StrippedPart:
    def make() -> StrippedPart:
        attach(photos, part.photos, doing, stripping=True)
        return part

    return submit_once(doing.member, mark, make)[0]


def refit_never_off(*, engine: Engine, stripping: Stripping, ending: Ending, doing: Doing, mark: UUID) -> StrippedPart:
    """A part went back on that nobody had written down as off: recorded, and said so."""

    def make() -> StrippedPart:
        part = _fit_unrecorded(engine, stripping, ending, doing)
        if part is None:
            raise ValidationError("This part is written down as off: refit it from the list of what is off.")
        return part

    return submit_once(doing.member, mark, make)[0]


def _fit_unrecorded(engine: Engine, stripping: Stripping, ending: Ending, doing: Doing) -> StrippedPart | None:
    component, place = split_part_id(stripping.part_id)
    number = _next_number(engine)
    if component and StrippedPart.objects.off().filter(engine=engine, component=component, place=place).exists():
        return None
    part = StrippedPart.objects.create(
        engine=engine, number=number, component=component, place=place, name=stripping.name, off_at=doing.at,
        off_by=doing.member, off_not_recorded=True, ended_at=doing.at, ended_by=doing.member, ending=ending.ending,
        ending_reason=ending.reason, ending_waits=not doing.stands, **doing.acceptance,
    )  # fmt: skip
    record(doing.member, "put on a part not written down as off", part, after={"ending": ending.ending})
    return part


def put_back(part: StrippedPart, how: Ending, doing: Doing) -> bool:
    """End a part's time off; False if somebody did already. Call inside a transaction."""
    rows = StrippedPart.objects.filter(pk=part.pk, ended_at__isnull=True, struck_at__isnull=True)
    written = rows.update(
        ended_at=doing.at, ended_by=doing.member, ending=how.ending, ending_reason=how.reason,
        ending_waits=not doing.stands, consent=how.consent,
    )  # fmt: skip
    if not written:
        return False
    part.refresh_from_db()
    after = {"ending": part.get_ending_display(), "reason": how.reason, "consent": how.consent}
    record(
        doing.member, "wrote up how a part ended", part, after={name: value for name, value in after.items() if value}
    )
    return True


def end_time_off(*, part: StrippedPart, how: Ending, doing: Doing, mark: UUID) -> StrippedPart:
    """The same from a form of its own; raises ValidationError where somebody was quicker, or something is missing."""
    _refuse_half_an_ending(part, how)

    def make() -> StrippedPart:
        if not put_back(part, how, doing):
            part.refresh_from_db()
            raise ValidationError(_quicker(part))
        return part

    return submit_once(doing.member, mark, make)[0]


def _quicker(part: StrippedPart) -> str:
    if part.is_struck:
        return "This line was struck out meanwhile."
    return f"{part.ended_by} has written this part up already: {part.get_ending_display()}."


def _refuse_half_an_ending(part: StrippedPart, how: Ending) -> None:
    if how.ending == "left_off" and not how.reason:
        raise ValidationError({"reason": "Say why it stays off, for whoever looks for it."})
    if how.ending != "scrapped":
        return
    if how.consent is None:
        raise ValidationError(
            {"consent": "Scrapping needs the owner's consent: record it with the engine's papers first."}
        )
    if how.consent.engine_id != part.engine_id or how.consent.is_struck:
        raise ValidationError({"consent": "This consent is not for this engine, or was struck out."})


def put_back_all(engine: Engine, part_ids: Iterable[str], doing: Doing) -> list[StrippedPart]:
    """Refit every named part or pipe that is not on the engine; call inside a transaction."""
    wanted = set(part_ids)
    for connection in Connection.objects.parted().filter(engine=engine).exclude(component=""):
        if connection.part_id in wanted:
            join(connection, doing)
    fitted = []
    for part in StrippedPart.objects.absent().filter(engine=engine).exclude(component=""):
        if part.part_id not in wanted:
            continue
        if part.ending in STAYS_OFF:
            _fit_unrecorded(engine, Stripping(part_id=part.part_id), Ending(), doing)
        else:
            put_back(part, Ending(), doing)
        fitted.append(part)
    return fitted


def ids_not_on(engines: Iterable[int]) -> dict[int, tuple[frozenset[str], frozenset[str]]]:
    """Ids of the knowledge's parts that are not on each engine: by standing rows, and by helpers' rows that wait."""
    numbers = list(engines)
    parts = StrippedPart.objects.absent().filter(engine__in=numbers).exclude(component="")
    pipes = Connection.objects.parted().filter(engine__in=numbers).exclude(component="")
    found: dict[int, tuple[set[str], set[str]]] = {number: (set(), set()) for number in numbers}
    for row in (*parts, *pipes):
        found[row.engine_id][0 if row.stands else 1].add(row.part_id)
    return {number: (frozenset(stand), frozenset(wait)) for number, (stand, wait) in found.items()}


DESCRIBED = (
    "component", "place", "name", "orientation", "mates", "shim_typed", "shim_mm", "gasket_typed", "gasket_mm",
    "tray_place",
)  # fmt: skip


def describe_part(
    *, part: StrippedPart, fields: dict[str, Any], box: str, version: int, doing: Doing, mark: UUID
) -> StrippedPart:
    """Name it, say how it sat and where it lies; raises Changed where somebody saved it meanwhile."""

    def make() -> StrippedPart:
        if part.is_struck:
            raise ValidationError("This line was struck out; nothing is added to it any more.")
        _refuse_second_row(part, fields)
        _refuse_a_helpers_naming(part, fields, doing)
        new = {name: fields[name] for name in DESCRIBED} | {"box": box, "in_box": box_for(box, doing)}
        before = {name: getattr(part, name) for name in new}
        part.save_from(version, **new)
        changed = {name: value for name, value in new.items() if before[name] != value}
        record(doing.member, "described a part", part, before={name: before[name] for name in changed}, after=changed)
        return part

    return submit_once(doing.member, mark, make)[0]


def _refuse_second_row(part: StrippedPart, fields: dict[str, Any]) -> None:
    """Naming it must not make the same part off twice."""
    if not fields["component"] or part.ended_at is not None:
        return
    same = StrippedPart.objects.off().filter(
        engine=part.engine_id, component=fields["component"], place=fields["place"], ended_at__isnull=True
    )
    other = same.exclude(pk=part.pk).first()
    if other is not None:
        raise ValidationError(
            {"part": f"This part is off already, as number {other.number}. Strike out one of the two."}
        )


def _refuse_a_helpers_naming(part: StrippedPart, fields: dict[str, Any], doing: Doing) -> None:
    """Which part of the list it is decides what the fault sheet takes for evidence."""
    moved = (part.component, part.place) != (fields["component"], fields["place"])
    if moved and part.stands and not doing.stands:
        words = "Which part of the list it is, the hands of the engine say. Write a name in your own words instead."
        raise ValidationError({"part": words})


@dataclass(frozen=True, slots=True)
class Fixings:
    """One set: how many, which thread, how long (typed and in mm), in which holes, where they lie."""

    how_many: int
    thread: str
    length_typed: str = ""
    length_mm: float | None = None
    holes: str = ""
    lie_in: str = ""


def note_fixings(*, part: StrippedPart, fixings: Fixings, doing: Doing, mark: UUID) -> FixingSet:
    def make() -> FixingSet:
        row = FixingSet.objects.create(part=part, **asdict(fixings), noted_at=doing.at, noted_by=doing.member)
        record(doing.member, "noted fixings", part, after={"fixings": str(row), "holes": row.holes})
        return row

    return submit_once(doing.member, mark, make)[0]
