"""The demo's engines: a long-idle tank engine and its sister, one on loan, a private one, one for the road, one for the
water. All invented."""

from dataclasses import dataclass
from datetime import date, datetime, timedelta
from typing import Any
from uuid import uuid4

from django.utils import timezone

from restorations.engines import services
from restorations.engines.models import Engine
from restorations.home.demo.builds import CORNCRAKE_BUILD, DABCHICK_BUILD, DUNLIN_BUILD, PIPIT_BUILD, TURNSTONE_BUILD
from restorations.members.models import Member

People = dict[str, Member]


@dataclass(frozen=True, slots=True)
class Fleet:
    """All six."""

    pipit: Engine
    whinchat: Engine
    dabchick: Engine
    dunlin: Engine
    corncrake: Engine
    turnstone: Engine


def enter_all(people: People, *, at: datetime) -> Fleet:
    return Fleet(
        pipit=pipit(people, at=at), whinchat=whinchat(people, at=at), dabchick=dabchick(people, at=at),
        dunlin=dunlin(people, at=at), corncrake=corncrake(people, at=at), turnstone=turnstone(people, at=at),
    )  # fmt: skip


SIDE_TANK = "Quillbeck 5 in side tank"


def _identity(**changes: Any) -> dict[str, Any]:
    plain = {
        "name": "", "design": None, "number": "", "builder": "", "built": "", "about": "", "is_private": False,
        "owner_member": None, "owner_is_club": False, "owner_name": "", "owner_address": "",
    }  # fmt: skip
    return plain | changes


def pipit(people: People, *, at: datetime) -> Engine:
    """The club's tank engine that stood fourteen years in a damp garage."""
    member = people["member"]
    engine = services.enter_engine(
        member=member, mark=uuid4(), build=PIPIT_BUILD, works_on_it=True, on=_day(at, 40),
        identity=_identity(
            name="Pipit", number="17", built="about 1988", owner_is_club=True, builder="a member long gone",
            new_design=SIDE_TANK,
            about="0-6-0 side tank. Came back to the club in boxes and a blanket. Nobody living has seen it run.",
        ),
    )  # fmt: skip
    services.add_hand(engine=engine, member=people["mentor"], mark=uuid4(), hand=people["mate"], on=_day(at, 39))
    services.answer_history(
        engine=engine, member=member, mark=uuid4(), system="general",
        answers={
            "ever_ran": "yes", "ran_well_when_put_away": "not_known", "rebuilt_since": "no", "stored": ["damp"],
            "years": 14.0, "why_stopped": "its driver moved away",
        },
    )  # fmt: skip
    services.note_past_work(
        engine=engine, member=member, mark=uuid4(), by="the last driver",
        happened=(at - timedelta(days=15 * 365), "about"),
        text="Right coupling rod taken off to free it on the bench, and put back by eye. New piston gland packing.",
    )  # fmt: skip
    return engine


def dabchick(people: People, *, at: datetime) -> Engine:
    """On loan from an estate; runs, with a complaint not yet written down."""
    engine = services.enter_engine(
        member=people["mentor"], mark=uuid4(), build=DABCHICK_BUILD, works_on_it=False, on=_day(at, 300),
        identity=_identity(
            name="Dabchick", built="about 1936", owner_name="Executors of the late E. Fennimore-Gant",
            owner_address="c/o the secretary",
            about="4-4-0, spirit fired, for the raised track. Lent for three years.",
        ),
    )  # fmt: skip
    for hand in ("member", "mentor"):
        services.add_hand(engine=engine, member=people["secretary"], mark=uuid4(), hand=people[hand], on=_day(at, 299))
    services.answer_history(
        engine=engine, member=people["mentor"], mark=uuid4(), system="general",
        answers={
            "ever_ran": "yes", "ran_well_when_put_away": "yes", "rebuilt_since": "no", "stored": ["dry"], "years": 0.5,
        },
    )  # fmt: skip
    return engine


def whinchat(people: People, *, at: datetime) -> Engine:
    """Pipit's sister: built beside it, still runs, so what is measured on it is what the design should read."""
    engine = services.enter_engine(
        member=people["mentor2"], mark=uuid4(), build=PIPIT_BUILD, works_on_it=True, on=_day(at, 400),
        identity=_identity(
            name="Whinchat", number="18", built="about 1989", owner_member=people["mentor2"], new_design=SIDE_TANK,
            builder="a member long gone", about="Built beside Pipit from the same castings. Runs most summer Sundays.",
        ),
    )  # fmt: skip
    services.answer_history(
        engine=engine, member=people["mentor2"], mark=uuid4(), system="general",
        answers={
            "ever_ran": "yes", "ran_well_when_put_away": "yes", "rebuilt_since": "no", "stored": ["dry"], "years": 0.2,
        },
    )  # fmt: skip
    return engine


def dunlin(people: People, *, at: datetime) -> Engine:
    """Private: for its owner, and a mentor they invited."""
    owner = people["owner"]
    engine = services.enter_engine(
        member=owner, mark=uuid4(), build=DUNLIN_BUILD, works_on_it=True, on=_day(at, 120),
        identity=_identity(
            name="Dunlin", owner_member=owner, is_private=True, built="finished this spring", builder="its owner",
            about="2-6-0, just put together, never run.",
        ),
    )  # fmt: skip
    services.invite_guest(
        engine=engine, member=owner, mark=uuid4(), guest=people["mentor2"], why="to look over the valve setting",
        spell=(_day(at, 20), None),
    )  # fmt: skip
    services.answer_history(
        engine=engine, member=owner, mark=uuid4(), system="general",
        answers={"ever_ran": "no", "first_run_done": "no", "stored": ["dry"], "years": 0.0},
    )  # fmt: skip
    return engine


def corncrake(people: People, *, at: datetime) -> Engine:
    """For the road: its safety valve is for the inspector."""
    engine = services.enter_engine(
        member=people["mentor"], mark=uuid4(), build=CORNCRAKE_BUILD, works_on_it=True, on=_day(at, 700),
        identity=_identity(
            name="Corncrake", builder="two members between them", built="1994 to 2003", owner_is_club=True,
            about="2 in scale road engine. Out at rallies in summer.",
        ),
    )  # fmt: skip
    services.add_hand(engine=engine, member=people["mentor"], mark=uuid4(), hand=people["mate"], on=_day(at, 600))
    _rests_dry(engine, people["mentor"])
    return engine


def turnstone(people: People, *, at: datetime) -> Engine:
    """For the water, gas fired; winters at a member's."""
    engine = services.enter_engine(
        member=people["mentor"], mark=uuid4(), build=TURNSTONE_BUILD, works_on_it=True, on=_day(at, 650),
        identity=_identity(
            name="Turnstone", builder="the club's young members", built="2011", owner_is_club=True,
            about="Launch engine with its boiler on one plate, gas fired. The launch lies in the boathouse.",
        ),
    )  # fmt: skip
    services.add_hand(engine=engine, member=people["mentor"], mark=uuid4(), hand=people["member"], on=_day(at, 600))
    _rests_dry(engine, people["mentor"])
    return engine


def _rests_dry(engine: Engine, member: Member) -> None:
    answers = {
        "ever_ran": "yes", "ran_well_when_put_away": "yes", "rebuilt_since": "no", "stored": ["dry"], "years": 0.2,
    }  # fmt: skip
    services.answer_history(engine=engine, member=member, mark=uuid4(), system="general", answers=answers)


def _day(at: datetime, days_ago: int) -> date:
    return timezone.localdate(at) - timedelta(days=days_ago)
