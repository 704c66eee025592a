"""Signing an engine fit, and recording its return: never for one's own work, never with anything missing."""

from datetime import date, timedelta
from uuid import UUID

from django.core.exceptions import PermissionDenied, ValidationError
from django.db.models import Max
from django.urls import reverse
from django.utils import timezone

from restorations.calc.schedule import merged
from restorations.engines.access import places_of
from restorations.engines.models import Engine, Stoppage
from restorations.engines.services.stoppages import end_stop, tell
from restorations.engines.state import day
from restorations.members.doing import Doing
from restorations.members.models import Member
from restorations.members.models.records import record, submit_once
from restorations.members.permissions import allowed
from restorations.traffic.conditions import Conditions, conditions_of
from restorations.traffic.models import FitForTraffic, ReturnToTraffic
from restorations.traffic.worked import workers_since

NOT_A_MENTOR = "An engine is signed fit for traffic by a mentor."
OWN_WORK = "Nobody signs for their own work: you worked on it since it was stopped. Another mentor has to."
NOT_THE_SECRETARY = "The return to traffic is recorded by the secretary."
NOTHING_TO_RETURN_FROM = "It is in traffic: nothing stops it."
LAPSED = "Something changed since {by} signed on {on}: work, a part, a paper or a sheet. A mentor signs again first."


def sign_fit(*, engine: Engine, words: str, doing: Doing, mark: UUID) -> FitForTraffic:
    """A mentor who did none of the work says it is fit; the conditions are read again inside the transaction."""
    on = timezone.localdate(doing.at)

    def make() -> FitForTraffic:
        fresh = Engine.objects.select_for_update().get(pk=engine.pk)
        _refuse_signer(fresh, doing.member, on)
        now = conditions_of(fresh, on)
        _refuse_missing(fresh, now)
        fit = FitForTraffic.objects.create(
            engine=fresh, words=words, checksum=now.checksum, signed_by=doing.member, signed_at=doing.at
        )
        record(doing.member, "signed the engine fit for traffic", fresh, after={"words": words})
        _tell_secretaries(fit)
        return fit

    return submit_once(doing.member, mark, make)[0]


def _refuse_signer(engine: Engine, member: Member, on: date) -> None:
    places = places_of(member, engine, on)
    if not allowed("sign fit for traffic", places):
        raise PermissionDenied(NOT_A_MENTOR)
    if not allowed("sign fit for traffic", places, own=did_the_work(engine, member, on)):
        raise PermissionDenied(OWN_WORK)


def did_the_work(engine: Engine, member: Member, on: date) -> bool:
    """Whether this member worked on it in the present spell out of traffic."""
    since = out_since(engine, on)
    return since is not None and member.pk in workers_since(engine, since)


def out_since(engine: Engine, on: date) -> date | None:
    """The first day of the present spell: a stop in whose place another came, in traffic on no day between, is of it;
    what a return has ended is not."""
    stops = Stoppage.objects.not_struck().filter(engine=engine, began_on__lte=on).values_list("began_on", "ended_on")
    spells = merged(stops, (date.min, on + timedelta(days=1)))
    if not spells or spells[-1][1] <= on:
        return None
    last: date | None = ReturnToTraffic.objects.filter(engine=engine, on__lte=on).aggregate(last=Max("on"))["last"]
    began: date = spells[-1][0]
    return max(began, last or date.min)


def _refuse_missing(engine: Engine, now: Conditions) -> None:
    if engine.gone_on is not None:
        raise ValidationError(engine.gone_in_words)
    if not now.are_met:
        raise ValidationError(now.in_words)
    if not now.stops:
        raise ValidationError(NOTHING_TO_RETURN_FROM)


def holding_signature(engine: Engine, now: Conditions) -> FitForTraffic | None:
    """The last signature, where it was given for things as they stand and no return rests on it yet."""
    fit = last_signature(engine)
    return fit if fit is not None and fit.checksum == now.checksum else None


def last_signature(engine: Engine) -> FitForTraffic | None:
    """Given, and not yet used for a return."""
    rows = FitForTraffic.objects.filter(engine=engine, returned__isnull=True).select_related("signed_by")
    return rows.order_by("-pk").first()


def record_return(*, engine: Engine, on: date, words: str, doing: Doing, mark: UUID) -> ReturnToTraffic:
    """The secretary records it: every open stop but a boiler's ends on that day, in one transaction."""
    today = timezone.localdate(doing.at)

    def make() -> ReturnToTraffic:
        fresh = Engine.objects.select_for_update().get(pk=engine.pk)
        if not allowed("record the return to traffic", places_of(doing.member, fresh, today)):
            raise PermissionDenied(NOT_THE_SECRETARY)
        now = conditions_of(fresh, today)
        _refuse_missing(fresh, now)
        fit = _signature_for(fresh, now)
        row = ReturnToTraffic.objects.create(
            engine=fresh, fit=fit, on=on, words=words, recorded_by=doing.member, recorded_at=doing.at
        )
        _end(row, now, fit, doing)
        record(doing.member, "recorded the return to traffic", fresh, after={"on": on, "signed by": fit.signed_by})
        _tell_of_return(row)
        return row

    return submit_once(doing.member, mark, make)[0]


def _signature_for(engine: Engine, now: Conditions) -> FitForTraffic:
    fit = last_signature(engine)
    if fit is None:
        raise ValidationError("No mentor has signed it fit for traffic yet.")
    if fit.checksum != now.checksum:
        signed = timezone.localdate(fit.signed_at)
        raise ValidationError(LAPSED.format(by=fit.signed_by, on=day(signed)))
    return fit


def _end(row: ReturnToTraffic, now: Conditions, fit: FitForTraffic, doing: Doing) -> None:
    words = f"Back in traffic, signed fit by {fit.signed_by}. {row.words}".strip()
    for stop in now.stops:
        end_stop(stoppage=Stoppage.objects.select_for_update().get(pk=stop.pk), words=words, on=row.on, doing=doing)
        row.ended.add(stop)


def _tell_secretaries(fit: FitForTraffic) -> None:
    address = reverse("traffic:returning", args=[fit.engine_id])
    body = f"{fit.signed_by} signed {fit.engine} fit for traffic: {fit.words}\nRecord its return: {address}\n"
    people = Member.objects.current().filter(is_secretary=True).exclude(pk=fit.signed_by_id)
    tell(fit.engine, f"{fit.engine}: signed fit for traffic", body, people, at=fit.signed_at)


def _tell_of_return(row: ReturnToTraffic) -> None:
    engine, on = row.engine, timezone.localdate(row.recorded_at)
    people = {hand.member for hand in engine.hands.current(on).select_related("member")} | {row.fit.signed_by}
    if engine.owner_member is not None:
        people.add(engine.owner_member)
    words = f"{engine} is back in traffic from {day(row.on)}, signed fit by {row.fit.signed_by}."
    tell(
        engine, f"{engine} is back in traffic", f"{words}\n{engine.get_absolute_url()}\n",
        sorted(people - {row.recorded_by}, key=lambda member: member.pk), at=row.recorded_at,
    )  # fmt: skip
