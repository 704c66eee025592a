"""Engines in and out of traffic: one laid up with care, a boiler stopped and given back, a defect just reported."""

from typing import Any
from uuid import uuid4

from restorations.engines import services
from restorations.engines.models import Engine
from restorations.engines.services.emergency import set_number, word_card
from restorations.engines.services.lay_up import Care, LayUpPlan, give_care, lay_up
from restorations.engines.services.stoppages import StopDraft, add_to_stop, lift_stop, stop_engine, update_stop
from restorations.home.demo.teller import Teller
from restorations.traffic.services.returning import record_return, sign_fit

CORNCRAKE_BUILD = {
    "kind": "traction_engine", "cylinder_layout": "one", "cylinder_mounting": "fixed", "valve": "slide",
    "valve_gear": "stephenson", "reverser": "lever", "cylinder_material": "cast_iron", "piston_sealing": "iron_rings",
    "piston_rod_material": "steel", "lubricator": "displacement", "drain_cocks": "fitted", "superheater": "none",
    "truck": "none", "brake": "hand", "feed_pump": "crosshead", "hand_pump": "none", "injector": "one",
    "boiler": "steel", "fuel": "coal", "coupled_axles": 1, "driving_axle": 1,
}  # fmt: skip


def in_and_out_of_traffic(dabchick: Engine, teller: Teller) -> Engine:
    """The club's cards, Dabchick's boiler in the summer and its tank today, and Corncrake put away for the winter."""
    _word_the_cards(teller)
    _boiler_given_back(dabchick, teller)
    _defect_reported(dabchick, teller)
    return _put_away(teller)


def _word_the_cards(teller: Teller) -> None:
    set_number(
        number="999", where="Quillbeck Meadow, by the ford. The gate on Mill Lane is wide enough for an ambulance.",
        doing=teller.doing("secretary", 200), mark=uuid4(),
    )  # fmt: skip
    words = {
        "steps": "Shout, and stop every train.\nPassengers out, up the bank to the pavilion.\n"
        "Ring from the pavilion.\nSpirit and gas: shut off, if you pass it anyway.\n"
        "Blanket or powder from the red cabinet, once, with the way out behind you.\nCount everybody.",
        "never": "Never water on burning spirit or oil.\nNever go back for an engine.",
        "call": "The emergency number first.\nThen the duty officer, a mentor and the inspector.",
    }
    word_card(kind="fire", words=words, doing=teller.doing("inspector", 180), mark=uuid4())


def _boiler_given_back(engine: Engine, teller: Teller) -> None:
    """A weep at the dome, the inspector's word for the boiler, a mentor's and the secretary's for the engine."""
    draft = StopDraft(
        "boiler", "boiler", "Weeps at the dome bush when pumped cold; dry again when warm.", teller.day(80),
        waits_for="inspector", place="steaming bay",
    )  # fmt: skip
    stop = stop_engine(engine=engine, draft=draft, doing=teller.doing("mate", 80), mark=uuid4())
    lift_stop(
        stoppage=stop, words="Gasket renewed. Pumped to one and a half times working pressure and held: dry.",
        on=teller.day(66), doing=teller.doing("inspector", 66), mark=uuid4(),
    )  # fmt: skip
    sign_fit(
        engine=engine, words="Turned, oiled, two laps alone and two with a car.", doing=teller.doing("mentor2", 65),
        mark=uuid4(),
    )  # fmt: skip
    record_return(
        engine=engine, on=teller.day(65), words="", doing=teller.doing("secretary", 65), mark=uuid4()
    )  # fmt: skip


def _defect_reported(engine: Engine, teller: Teller) -> None:
    draft = StopDraft("defect", "firing", "Damp under the spirit tank after Sunday, and it smells.", teller.day(2))
    stop = stop_engine(engine=engine, draft=draft, doing=teller.doing("stranger", 2), mark=uuid4())
    add_to_stop(
        stoppage=stop, words="It comes from the filler seal, not from the seam.", doing=teller.doing("member", 1),
        mark=uuid4(),
    )  # fmt: skip
    changes = {
        "waits_for": "parts", "waits_words": "a seal for the filler", "place": "rack 2", "custody": "A. Thwaite",
        "expected_on": teller.day(-6), "expected_by": "Anneli Thwaite",
    }  # fmt: skip
    update_stop(
        stoppage=stop, version=stop.version, changes=changes, doing=teller.doing("member", 1), mark=uuid4()
    )  # fmt: skip


def _put_away(teller: Teller) -> Engine:
    """A road engine laid up with care, its turning over just due, and its safety valve for the inspector."""
    engine = services.enter_engine(
        member=teller.people["mentor"], mark=uuid4(), build=CORNCRAKE_BUILD, works_on_it=True, on=teller.day(700),
        identity=_corncrake(),
    )  # fmt: skip
    services.add_hand(
        engine=engine, member=teller.people["mentor"], mark=uuid4(), hand=teller.people["member"], on=teller.day(600)
    )
    draft = StopDraft(
        "laid_up", "storage", "Rally season over.", teller.day(44), place="road 4, under the stair",
        custody="M. Askerrigg",
    )  # fmt: skip
    plan = LayUpPlan(turn_over_days=28, frost_month=12, stands_on="Jacked, cocks open, chimney stopped up")
    row = lay_up(
        engine=engine, draft=draft, plan=plan, doing=teller.doing("mentor", 44), mark=uuid4(),
        done=("drained", "dried", "oiled", "covers"),
    )  # fmt: skip
    care = Care("turn_over", teller.day(29), teller.people["member"].full_name, "a third of a turn, easy")
    give_care(lay_up=row, care=care, doing=teller.doing("member", 29), mark=uuid4())
    words = "Green crust round the safety valve; the spindle did not move by hand, cold."
    stop_engine(
        engine=engine, draft=StopDraft("boiler", "fittings", words, teller.day(12), waits_for="inspector"),
        doing=teller.doing("mentor", 12), mark=uuid4(),
    )  # fmt: skip
    return engine


def _corncrake() -> dict[str, Any]:
    return {
        "name": "Corncrake", "design": None, "new_design": "", "number": "", "builder": "two members between them",
        "built": "1994 to 2003", "about": "2 in scale road engine. Out at rallies in summer, put away in winter.",
        "is_private": False, "owner_member": None, "owner_is_club": True, "owner_name": "", "owner_address": "",
    }  # fmt: skip
