"""Loads the demo once, through the services of every app; dates are relative to the day it is loaded."""

from collections.abc import Callable
from datetime import datetime, timedelta

from django.db import transaction

from restorations.engines.models import Engine
from restorations.home.demo import (
    conclusions,
    engines,
    evenings,
    forecasts,
    go_aheads,
    knowledge,
    papers,
    running,
    shop,
    stoppages,
    taking_in,
    yard,
)
from restorations.home.demo.cast import CAST, CLUB, PASSWORD
from restorations.home.demo.pictures import draw_pictures
from restorations.home.demo.story import tell
from restorations.home.demo.teller import Teller
from restorations.members.models import Club, Member

Say = Callable[[str], object]


def holds_other_people() -> bool:
    """Whether anybody is in this database whom the demo did not invent."""
    names = [person.sign_in_name for person in CAST]
    others: bool = Member.objects.exclude(sign_in_name__in=names).exists()
    return others


def is_loaded() -> bool:
    return Engine.objects.exists()


@transaction.atomic
def load_demo(*, at: datetime, say: Say = lambda words: None) -> None:
    """Club, people, engines, story: all of it or, where it is interrupted, nothing. `say` is told how far it is."""
    say("people and engines")
    Club.objects.update_or_create(pk=1, defaults={"name": CLUB})
    people = {person.sign_in_name: _member(person.sign_in_name, at) for person in CAST}
    fleet = engines.enter_all(people, at=at)
    teller = Teller(people, at, draw_pictures(fleet.pipit.configuration.as_configuration()))
    papers.file_papers(fleet, teller)
    say("what the club knows, and faults of earlier seasons")
    knowledge.accept_one(teller)
    conclusions.tell_of_earlier_faults(fleet, teller)
    say("Pipit, from the day it came")
    _pipit(fleet, teller)
    say("stops, forecasts and the yard")
    _traffic(fleet, teller)
    knowledge.propose_one(teller)


def _pipit(fleet: engines.Fleet, teller: Teller) -> None:
    """Take-in, sheet, shop and paper work, and what was known of its design before."""
    evenings.use_the_sister(fleet.whinchat, teller)
    taking_in.know_the_design(fleet.whinchat, teller)
    taking_in.take_pipit_in(fleet.pipit, teller)
    shop.make_boxes(teller)
    sheet = tell(fleet.pipit, dict(teller.people), now=teller.now)
    _work_in_the_shop(fleet.pipit, teller)
    evenings.use_dabchick(fleet.dabchick, teller)
    evenings.use_the_others(fleet.dunlin, fleet.corncrake, fleet.turnstone, teller)
    go_aheads.tell_of_go_aheads(sheet, fleet.dabchick, teller)


def _traffic(fleet: engines.Fleet, teller: Teller) -> None:
    stoppages.in_and_out_of_traffic(fleet, teller)
    running.run(fleet, teller)
    forecasts.look_ahead(fleet.pipit, fleet.dunlin, fleet.whinchat, teller)
    yard.lay_and_fill(fleet, teller)


def _work_in_the_shop(pipit: Engine, teller: Teller) -> None:
    shop.strip_pipit(pipit, teller)
    shop.hang_tags(pipit, teller)
    shop.try_the_gland(pipit, teller)
    cards = evenings.plan_pipit(pipit, teller)
    evenings.write_pipits_day_book(pipit, cards, teller)
    evenings.want_for_pipit(pipit, cards, teller)
    taking_in.keep_pipit_up(pipit, teller)


def _member(name: str, at: datetime) -> Member:
    person = next(person for person in CAST if person.sign_in_name == name)
    known: Member | None = Member.objects.filter(sign_in_name=name).first()
    if known is not None:
        return known
    offices = {f"is_{office}": True for office in person.offices}
    joined = (at - timedelta(days=900 if name != "stranger" else 6)).date()
    member: Member = Member.objects.create_member(
        sign_in_name=name, full_name=person.full_name, password=PASSWORD, joined_on=joined, **offices
    )
    return member
