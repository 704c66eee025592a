"""In and out of traffic: a boiler given back, a defect just reported, a boiler stopped, one laid up with care."""

from uuid import uuid4

from restorations.engines.models import Engine, Stoppage
from restorations.engines.services.emergency import set_number, word_card
from restorations.engines.services.lay_up import Care, LayUpPlan, give_care, lay_up
from restorations.engines.services.stoppages import StopDraft, add_to_stop, lift_stop, stop_engine, update_stop
from restorations.faults.services import open_sheet
from restorations.home.demo.engines import Fleet
from restorations.home.demo.story import Story
from restorations.home.demo.teller import Teller
from restorations.traffic.services.returning import record_return, sign_fit


def in_and_out_of_traffic(fleet: Fleet, teller: Teller) -> None:
    """The club's cards, Dabchick's boiler in the summer and its tank today, Corncrake's boiler, Turnstone put away."""
    _word_the_cards(teller)
    _boiler_given_back(fleet.dabchick, teller)
    _defect_reported(fleet.dabchick, teller)
    _boiler_stopped(fleet.corncrake, teller)
    _put_away(fleet.turnstone, teller)


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


def _boiler_stopped(engine: Engine, teller: Teller) -> None:
    """What was seen is dangerous: writing it down stopped the boiler, and only the inspector gives it back."""
    complaint = "Crust and a damp ring round the safety valve\nSeen while it was wiped down for the winter. Cold."
    sheet = open_sheet(
        engine=engine, complaint=complaint, history=None, member=teller.people["mate"], at=teller.at(12), mark=uuid4()
    )
    story = Story(sheet, dict(teller.people), teller.now)
    story.saw("mate", 12, "bush_leak", 1, note="Green where the bush goes in. Nobody has put a spanner on it.")
    story.saw("mate", 12, "safety_valve_spindle_stiff", 1)
    stop = Stoppage.objects.boiler().get(engine=engine)
    changes = {
        "waits_for": "inspector", "place": "Steaming bay", "custody": "J. Penhallick", "expected_on": teller.day(-20),
        "expected_by": "Ottoline Braithe",
    }  # fmt: skip
    update_stop(
        stoppage=stop, version=stop.version, changes=changes, doing=teller.doing("mate", 11), mark=uuid4()
    )  # fmt: skip


def _put_away(engine: Engine, teller: Teller) -> None:
    """Laid up with care after what the last winter did to its pump; its turning over is just due."""
    draft = StopDraft(
        "laid_up", "storage", "The lake is drained for the winter.", teller.day(44), place="boathouse",
        custody="M. Askerrigg", expected_on=teller.day(-140), expected_by="Mungo Askerrigg",
    )  # fmt: skip
    plan = LayUpPlan(turn_over_days=28, frost_month=12, stands_on="On its plate, cocks open, pump stripped and dry")
    row = lay_up(
        engine=engine, draft=draft, plan=plan, doing=teller.doing("mentor", 44), mark=uuid4(),
        done=("drained", "dried", "oiled", "covers"),
    )  # fmt: skip
    care = Care("turn_over", teller.day(29), teller.people["member"].full_name, "half a turn, easy")
    give_care(lay_up=row, care=care, doing=teller.doing("member", 29), mark=uuid4())
