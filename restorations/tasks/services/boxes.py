"""Boxes made, found by whatever is written on them, and changed."""

import re
from dataclasses import asdict, dataclass
from uuid import UUID

from django.core.exceptions import ValidationError
from django.db import IntegrityError, transaction
from django.db.models import Max

from restorations.members.doing import Doing
from restorations.members.models.records import record, submit_once
from restorations.tasks.models import Box
from restorations.tasks.models.boxes import ALPHABET, CODE_LENGTH, HIGHEST_NUMBER, new_code

TRIES = 20
NUMBERED = re.compile(r"(?:(?:box|tray|tin|drawer)\s*)?(?:no\.?\s*)?(\d{1,9})", re.IGNORECASE)
CODED = re.compile(rf"[{ALPHABET}]{{{CODE_LENGTH}}}")


@dataclass(frozen=True, slots=True)
class BoxPlan:
    """What a new box is to be; without a number it gets the next one."""

    number: int | None = None
    label: str = ""
    where: str = ""
    places: int = 6


def _number_in(text: str) -> int | None:
    """The number that is meant, if it is one a box can have."""
    match = NUMBERED.fullmatch(text)
    return int(match[1]) if match and 1 <= int(match[1]) <= HIGHEST_NUMBER else None


def find_box(text: str) -> Box | None:
    """By number, code or label, as somebody writes or scans it."""
    plain = " ".join(text.split())
    number = _number_in(plain)
    if number is not None:
        return Box.objects.filter(number=number).first()
    if CODED.fullmatch(plain.upper()):
        return Box.objects.filter(code=plain.upper()).first()
    return Box.objects.filter(label__iexact=plain).first() if plain else None


def box_for(text: str, doing: Doing) -> Box | None:
    """The box that is meant; a new one where there is none yet. None for no words. Call inside a transaction."""
    plain = " ".join(text.split())
    if not plain:
        return None
    number = _number_in(plain)
    plan = BoxPlan(number=number, label="" if number else plain[:60])
    return find_box(plain) or make_box(plan, doing)


def make_box(plan: BoxPlan, doing: Doing) -> Box:
    """A box with a code nobody else has; call inside a transaction."""
    for _ in range(TRIES):
        box = Box(**(asdict(plan) | {"number": plan.number or _next_number()}), code=new_code(), made_by=doing.member)
        box.made_at = doing.at
        try:
            with transaction.atomic():
                box.save()
        except IntegrityError:
            if plan.number and Box.objects.filter(number=plan.number).exists():
                raise ValidationError({"number": f"There is a box {plan.number} already."}) from None
            continue
        record(
            doing.member, "made a box", box, after={"number": box.number} | ({"label": box.label} if box.label else {})
        )
        return box
    raise ValidationError("No free number or code was found for the box; try once more.")


def _next_number() -> int:
    return (Box.objects.aggregate(highest=Max("number"))["highest"] or 0) + 1


def add_box(*, plan: BoxPlan, doing: Doing, mark: UUID) -> Box:
    return submit_once(doing.member, mark, lambda: make_box(plan, doing))[0]


@dataclass(frozen=True, slots=True)
class BoxChange:
    label: str
    where: str
    places: int


def change_box(*, box: Box, change: BoxChange, version: int, doing: Doing, mark: UUID) -> Box:
    """Raises Changed where somebody saved it meanwhile."""

    def make() -> Box:
        new = asdict(change)
        before = {name: getattr(box, name) for name in new}
        box.save_from(version, **new)
        changed = {name: value for name, value in new.items() if before[name] != value}
        record(doing.member, "changed a box", box, before={name: before[name] for name in changed}, after=changed)
        return box

    return submit_once(doing.member, mark, make)[0]
