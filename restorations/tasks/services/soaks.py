"""Soaks begun, looked after, ended, and the reminders they send."""

from dataclasses import asdict, dataclass
from datetime import datetime, timedelta
from uuid import UUID

from django.core.exceptions import ValidationError
from django.db import transaction
from django.urls import reverse
from django.utils import timezone

from restorations.engines.models import Engine, Hand
from restorations.members.doing import Doing
from restorations.members.models import Member, Message
from restorations.members.models.records import record, submit_once
from restorations.tasks.models import FreeingAttempt, Soak
from restorations.tasks.parts import soak_places


@dataclass(frozen=True, slots=True)
class SoakPlan:
    """Where (a place of the engine), in what, whether it gives off vapour that burns, until when, and what between."""

    place: str
    fluid: str
    is_volatile: bool
    due_at: datetime
    care: str = ""
    next_care_at: datetime | None = None


def begin_soak(*, engine: Engine, plan: SoakPlan, doing: Doing) -> Soak:
    """Write a soak down; call inside a transaction."""
    soak = Soak(engine=engine, **asdict(plan), begun_at=doing.at, begun_by=doing.member, **doing.acceptance)
    soak.full_clean()
    soak.save()
    record(doing.member, "began a soak", soak, after=asdict(plan))
    return soak


def look_after(*, soak: Soak, next_care_at: datetime | None, doing: Doing, mark: UUID) -> Soak:
    """It was topped up or turned; the next reminder is for the moment given, or there is none."""

    def make() -> Soak:
        if not soak.is_under_way:
            raise ValidationError("This soak was ended already.")
        before = {"due": soak.next_care_at}
        soak.next_care_at, soak.care_reminded_at = next_care_at, None
        soak.save(update_fields=["next_care_at", "care_reminded_at"])
        record(doing.member, "looked after a soak", soak, before=before, after={"due": next_care_at})
        return soak

    return submit_once(doing.member, mark, make)[0]


def end_soak(*, soak: Soak, doing: Doing, mark: UUID) -> Soak:
    """The soak is over and what it was done with is off the engine; raises ValidationError if it ended before."""
    if doing.at < soak.begun_at:
        began = timezone.localtime(soak.begun_at)
        raise ValidationError(f"It cannot end before it began, on {began.day} {began:%b at %H.%M}.")

    def make() -> Soak:
        if not _end(soak, doing):
            raise ValidationError("This soak was ended already.")
        return soak

    return submit_once(doing.member, mark, make)[0]


def _end(soak: Soak, doing: Doing) -> bool:
    rows = Soak.objects.filter(pk=soak.pk, ended_at__isnull=True, struck_at__isnull=True)
    if not rows.update(ended_at=doing.at, ended_by=doing.member, ending_waits=not doing.stands):
        return False
    soak.refresh_from_db()
    record(doing.member, "ended a soak", soak, after={"ended": doing.at})
    return True


def end_soaks(engine: Engine, place: str, doing: Doing) -> None:
    """End every soak under way at a place; call inside a transaction."""
    for soak in Soak.objects.under_way().filter(engine=engine, place=place, begun_at__lte=doing.at):
        _end(soak, doing)


@dataclass(frozen=True, slots=True)
class Soaked:
    """How long a place has soaked by now, in days, and how often freeing it was tried since it began."""

    days: float = 0.0
    attempts: int = 0


def soaked_at(engine: Engine, place: str, *, at: datetime) -> Soaked:
    """By the soak under way there that began first."""
    soak = Soak.objects.under_way().standing().filter(engine=engine, place=place, begun_at__lte=at).last()
    if soak is None:
        return Soaked()
    tried = FreeingAttempt.objects.standing().filter(
        engine=engine, place=place, tried_at__range=(soak.begun_at, max(at, soak.begun_at))
    )
    return Soaked(days=(at - soak.begun_at) / timedelta(days=1), attempts=tried.count())


def queue_due_reminders(at: datetime) -> int:
    """Write a message for every soak whose care or end is due; each once, however often this runs."""
    return sum(_remind(soak, at) for soak in Soak.objects.to_remind_of(at).select_related("engine", "begun_by"))


@transaction.atomic
def _remind(soak: Soak, at: datetime) -> int:
    lines = []
    if _claim(soak, "due_reminded_at", at, due=soak.due_at):
        lines.append("The time it was to soak is over: try it, or set a new day.")
    if _claim(soak, "care_reminded_at", at, due=soak.next_care_at):
        lines.append(f"Due now: {soak.care or 'top up'}.")
    if not lines:
        return 0
    where = soak_places(soak.engine.configuration.as_configuration()).get(soak.place, soak.place)
    body = f"{soak.engine}: {where} soaks in {soak.fluid}.\n" + "\n".join(lines)
    for member in _whom_to_remind(soak, at):
        Message.objects.create(
            to=member, subject=f"{soak.engine}: {where} is soaking"[:150],
            body=f"{body}\n{reverse('tasks:soaks', args=[soak.engine_id])}\n", made_at=at,
        )  # fmt: skip
    return 1


def _claim(soak: Soak, column: str, at: datetime, *, due: datetime | None) -> bool:
    """Two runs at once must not remind twice."""
    if due is None or due > at:
        return False
    return bool(Soak.objects.filter(pk=soak.pk, **{f"{column}__isnull": True}).update(**{column: at}))


def _whom_to_remind(soak: Soak, at: datetime) -> list[Member]:
    """Whoever began it and the hands of the engine, those who have an e-mail address."""
    hands = Hand.objects.current(timezone.localdate(at)).filter(engine=soak.engine_id).values("member")
    people = Member.objects.current().filter(pk__in=hands) | Member.objects.current().filter(pk=soak.begun_by_id)
    return list(people.exclude(email="").distinct())
