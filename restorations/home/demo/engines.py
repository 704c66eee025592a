"""The demo's engines: a long-idle tank engine and its sister, one on loan, and a private one. All invented."""

from datetime import date, datetime, timedelta
from typing import Any
from uuid import uuid4

from restorations.engines import services
from restorations.engines.models import Engine
from restorations.members.models import Member
from restorations.web.units import read_quantity

People = dict[str, Member]


def _measure(name: str, typed: str, unit: str = "mm") -> dict[str, Any]:
    dimension, pint_unit = ("length", "millimeter") if unit == "mm" else ("pressure", "kilopascal")
    return {f"{name}_typed": typed, f"{name}_{unit}": read_quantity(typed, dimension).to(pint_unit)}


PIPIT_BUILD = {
    "kind": "tank_locomotive", "cylinder_layout": "two_outside", "cylinder_mounting": "fixed", "valve": "slide",
    "valve_gear": "walschaerts", "reverser": "lever", "cylinder_material": "cast_iron", "piston_sealing": "iron_rings",
    "piston_rod_material": "steel", "lubricator": "mechanical_ratchet", "drain_cocks": "fitted",
    "snifting_valve": "not_known", "superheater": "not_known", "truck": "none", "brake": "hand", "feed_pump": "axle",
    "hand_pump": "fitted", "injector": "one", "boiler": "copper", "fuel": "coal", "coupled_axles": 3, "driving_axle": 2,
    **_measure("gauge", "5 in"), **_measure("bore", "1 1/2 in"), **_measure("stroke", "2 1/8 in"),
    **_measure("wheel_diameter", "5 1/4 in"), **_measure("working_pressure", "90 psi", "kpa"),
}  # fmt: skip
DABCHICK_BUILD = {
    "kind": "tender_locomotive", "cylinder_layout": "two_inside", "cylinder_mounting": "fixed", "valve": "slide",
    "valve_gear": "slip_eccentric", "reverser": "none", "cylinder_material": "bronze", "piston_sealing": "soft_rings",
    "piston_rod_material": "stainless", "lubricator": "displacement", "drain_cocks": "not_known", "truck": "leading",
    "brake": "none", "feed_pump": "not_known", "boiler": "copper", "fuel": "spirit", "coupled_axles": 2,
    "driving_axle": 1, **_measure("gauge", "2 1/2 in"),
    **_measure("bore", "11/16 in"), **_measure("stroke", "1 1/8 in"),
}  # fmt: skip
DUNLIN_BUILD = {
    "kind": "tender_locomotive", "cylinder_layout": "two_outside", "cylinder_mounting": "fixed", "valve": "piston",
    "valve_gear": "stephenson", "reverser": "screw", "cylinder_material": "bronze", "piston_sealing": "soft_rings",
    "piston_rod_material": "stainless", "lubricator": "mechanical_clutch", "drain_cocks": "fitted",
    "superheater": "fitted", "truck": "leading", "brake": "steam", "boiler": "copper", "fuel": "coal",
    "coupled_axles": 3, "driving_axle": 2, **_measure("gauge", "3 1/2 in"), **_measure("bore", "28.6 mm"),
    **_measure("working_pressure", "6.2 bar", "kpa"),
}  # fmt: skip


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
    for kind, days_ago, good_for in (("hydraulic_test", 200, 1460), ("steam_test", 330, 353)):
        services.record_certificate(
            engine=engine, member=people["inspector"], mark=uuid4(),
            paper={
                "kind": kind, "passed_on": _day(at, days_ago), "lapses_on": _day(at, days_ago - good_for),
                "by_whom": people["inspector"].full_name, "number": f"QD {kind[0].upper()} 12",
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


def _day(at: datetime, days_ago: int) -> date:
    return (at - timedelta(days=days_ago)).date()
