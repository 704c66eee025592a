"""Who may say yes or look at a thing, for whom it waits and who is told; the acts are those of members.permissions."""

from collections.abc import Iterator
from datetime import date
from typing import Any

from django.db.models import Exists, OuterRef, Q, QuerySet

from restorations.engines.models import Engine, Guest, Hand
from restorations.faults.models import GoAhead, Step
from restorations.faults.standing_kinds import BOILER_SYSTEMS, is_of_boiler
from restorations.knowledge.entries import Action
from restorations.members.models import CompetentPerson, Member
from restorations.members.permissions import ALLOWED
from restorations.tasks.models import DayBookEntry, JobCard

GIVE, GIVE_FOR_BOILER = "give a go-ahead", "give a go-ahead for boiler work"
GIVE_AS_INSPECTOR = "give a go-ahead of the inspector's"
LOOK, LOOK_AT_BOILER = "look at what was done without a go-ahead", "look at boiler work done without a go-ahead"
REPLY = "answer a helper's question"
WORK = ("remedy", "begun")


def act_of_answering(*, authority: str, is_of_boiler: bool) -> str:
    """What somebody has to be allowed to do to answer a request of that kind."""
    if authority == "inspector":
        return GIVE_AS_INSPECTOR
    return GIVE_FOR_BOILER if is_of_boiler else GIVE


def act_of_looking(step: Step) -> str:
    return LOOK_AT_BOILER if step.is_of_boiler else LOOK


def who_may(act: str, engine: Engine, *, on: date) -> QuerySet[Member]:
    """Everybody whose office allows it and who sees inside the engine."""
    holds = {
        "mentor": Q(is_mentor=True),
        "inspector": Q(is_inspector=True),
        "competent": Q(pk__in=CompetentPerson.objects.in_force(on).values("member")),
    }
    offices = Q(pk__in=[])
    for place in ALLOWED[act] & holds.keys():
        offices |= holds[place]
    people: QuerySet[Member] = Member.objects.current().filter(offices)
    return people.filter(_near(engine, on)) if engine.is_private else people


def _near(engine: Engine, on: date) -> Q:
    """Of a private engine its owner, its hands and its guests."""
    near = Q(pk=engine.owner_member_id) if engine.owner_member_id else Q(pk__in=[])
    for spell in (Hand, Guest):
        near |= Q(Exists(spell.objects.current(on).filter(engine=engine, member=OuterRef("pk"))))
    return near


def who_may_answer(row: GoAhead, *, on: date) -> QuerySet[Member]:
    act = act_of_answering(authority=row.authority, is_of_boiler=row.is_of_boiler)
    people = who_may(act, row.sheet.engine, on=on).exclude(pk=row.asked_by_id)
    return people.exclude(own_boiler(row.sheet.engine, on)) if row.is_of_boiler else people


def who_may_look(step: Step, *, on: date) -> QuerySet[Member]:
    """At what was done without a go-ahead: never whoever did it, wrote it down, or has a part in that boiler."""
    engine = step.sheet.engine
    theirs = [pk for pk in (step.recorded_by_id, step.done_by_id) if pk]
    others = who_may(act_of_looking(step), engine, on=on).exclude(pk__in=theirs)
    return others.exclude(own_boiler(engine, on)) if step.is_of_boiler else others


def who_stands_by(engine: Engine, entry: Action, phone_of: Member, *, on: date) -> QuerySet[Member]:
    """Those who may say yes to a step on another's phone: by office, and by a short code of theirs."""
    boiler = is_of_boiler(entry)
    act = act_of_answering(authority=entry.authority, is_of_boiler=boiler)
    people = who_may(act, engine, on=on).exclude(pk=phone_of.pk).filter(short_code__isnull=False)
    known = people.exclude(short_code__hashed="")
    return known.exclude(own_boiler(engine, on)) if boiler else known


def own_boiler(engine: Engine, on: date) -> Q:
    """Nobody answers for a boiler that they own, work on, or have work standing on."""
    mine = Q(pk=engine.owner_member_id) if engine.owner_member_id else Q(pk__in=[])
    mine |= Q(Exists(Hand.objects.current(on).filter(engine=engine, member=OuterRef("pk"))))
    for rows, where in _boiler_work(OuterRef("pk")):
        mine |= Q(Exists(rows.filter(**{where: engine})))
    return mine


def worked_on_boiler(member: Member, engine: Engine) -> bool:
    return Engine.objects.filter(boilers_worked_on(member), pk=engine.pk).exists()


def boilers_worked_on(member: Member) -> Q:
    """The engines on whose boiler they have work standing."""
    worked = Q(pk__in=[])
    for rows, where in _boiler_work(member):
        worked |= Q(pk__in=rows.values(where))
    return worked


def _boiler_work(who: Any) -> Iterator[tuple[QuerySet[Any], str]]:
    """What stands on fault sheets, in the day book and as a card that was done; and where each names its engine."""
    on_boiler = Q(system__in=BOILER_SYSTEMS)
    steps = Step.objects.standing().filter(is_of_boiler=True, kind__in=WORK)
    entries = DayBookEntry.objects.standing().filter(on_boiler | Q(card__system__in=BOILER_SYSTEMS))
    yield steps.filter(done_by=who), "sheet__engine"
    yield entries.filter(done_by=who), "engine"
    yield entries.filter(helpers=who), "engine"
    yield JobCard.objects.filter(on_boiler, state="done", people=who), "engine"
