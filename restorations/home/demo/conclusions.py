"""Faults of earlier seasons, found and closed: what learned rates and scores rest on. Each told in four or five lines.

The causes are of our own choosing: a starved spirit feed, a gland, a by-pass that does not shut, choked tubes, a worn
oil pump, a brake that binds, a stiff pump, a reverser, a coupling to the tender, a pump that frost split. One was never
found, and one came back.
"""

from dataclasses import dataclass, replace
from uuid import uuid4

from restorations.engines.models import Engine
from restorations.engines.services import add_hand
from restorations.faults import services
from restorations.faults.closing import ConclusionDraft
from restorations.faults.confirming import Confirmed
from restorations.faults.models import Conclusion, FaultSheet
from restorations.home.demo.engines import Fleet
from restorations.home.demo.story import Story
from restorations.home.demo.teller import Teller
from restorations.members.doing import Doing


@dataclass(frozen=True, slots=True)
class Told:
    """One fault: when, by whom, what was seen, what was looked at, what put it right, and what it was."""

    days_ago: float
    who: str
    complaint: str
    seen: tuple[tuple[str, int], ...]
    done: tuple[tuple[str, str], ...]
    conclusion: ConclusionDraft
    signed_by: str = ""
    closed_by: str = "mentor"
    allowed_by: str = ""
    """Which mentor gave the go-ahead for the last thing that was done, where it wanted one."""


def _found(cause: str, how: str, words: str, *by_the_way: Confirmed) -> ConclusionDraft:
    return ConclusionDraft("found", (Confirmed(cause, how), *by_the_way), words)


DABCHICK = (
    Told(
        270, "member", "Steam dies away after ten minutes\nThe flames go out one after another.",
        (("spirit_flame_dies", 1),),
        (("pull_out_a_wick", "not_found"), ("follow_spirit_to_wicks", "found"), ("clear_spirit_feed", "done")),
        _found("spirit_feed_starved", "seen", "A flake of sealant lay over the vent of the tank."), "mentor2",
    ),
    Told(
        190, "member", "Steam round the right piston rod", (("gland_leak@right", 2),),
        (("draw_gland_packing@right", "found"), ("repack_piston_gland@right", "done")),
        _found("piston_gland_worn@right", "seen", "Packing gone to dust at the inner end."), "mentor2",
    ),
    Told(
        110, "member", "The pump does not keep up with the boiler", (("pump_feeds_badly@engine_pump", 1),),
        (("strip_bypass_valve@engine_pump", "found"), ("reseat_bypass@engine_pump", "done")),
        _found("bypass_not_shutting@engine_pump", "seen", "A ring worn into the seat; recut by hand."),
    ),
    Told(
        70, "member", "A knock, once, on the viaduct", (("knock", 1),), (),
        ConclusionDraft("not_found", (), "Not heard again in three outings, nothing loose that two of us could find."),
        "mentor2",
    ),
)  # fmt: skip
CAME_BACK = Told(
    52, "member", "No oil at the cylinders\nThe lubricator is full, of water.", (("displacement_all_water", 1),),
    (("drain_displacement_lubricator", "done"),),
    _found("displacement_full_of_water", "cured", "Drained, filled with steam oil."),
)  # fmt: skip
WHINCHAT = (
    Told(
        320, "mate", "Slow to raise steam, fire dull", (("slow_to_raise_steam", 1), ("fire_dull", 1)),
        (("lamp_through_tubes", "found"), ("brush_tubes", "done")),
        _found("tubes_choked", "seen", "Nine of fourteen tubes half shut."), "mentor2",
    ),
    Told(
        240, "mate", "The oil does not go down", (("oil_level_not_falling", 2),),
        (("measure_ratchet_swing", "not_found"), ("strip_oil_pump", "found"), ("lap_oil_pump", "done")),
        _found("oil_pump_worn", "seen", "Ball seat pitted; lapped, and it winds up pressure again."), "mentor2",
    ),
    Told(
        160, "mate", "Heavy to push on the level", (("drags_on_track", 1),),
        (("try_brake_blocks", "found"), ("release_and_ease_brake", "done")),
        _found(
            "brake_binding", "seen", "The hand brake's pull-off spring was on the wrong side of its pin.",
            Confirmed("piston_gland_worn@left", "seen", "by_the_way", "A wisp at the left rod while it was pushed."),
        ),
        "mentor2",
    ),
    Told(
        85, "mate", "Tight once a turn since the winter", (("tight_once_a_turn", 1),),
        (("ease_pump_and_drive", "done"),),
        _found("feed_pump_stiff", "cured", "Scale on the ram; polished and oiled."), "mentor2",
    ),
    Told(
        18, "mate", "The reverser creeps out of full gear", (("reverser_vague", 2),),
        (("look_at_reverser_catch", "found"), ("mend_reverser", "done")),
        _found("reverser_worn", "seen", "The catch spring had no tension left."),
    ),
)  # fmt: skip
DUNLIN = (
    Told(
        40, "owner", "Pulls up on the tight curve", (("tightens_on_curves", 1),),
        (("uncouple_and_compare", "found"), ("free_engine_tender_coupling", "done")),
        _found("engine_tender_coupling_binds", "seen", "The drawbar was a quarter inch short."), closed_by="mentor2",
    ),
)  # fmt: skip


TURNSTONE = (
    Told(
        230, "member", "The hand pump does nothing after the winter", (("hand_pump_moves_easily@hand_pump", 2),),
        (("look_for_frost_split@hand_pump", "found"), ("replace_split_part@hand_pump", "done")),
        _found(
            "feed_split_by_frost@hand_pump", "seen",
            "Split along the barrel: a thimble of water was left in it over the frost. New pump from stock.",
        ),
        "mentor2", allowed_by="mentor",
    ),
)  # fmt: skip
FAULTS = {"dabchick": DABCHICK, "whinchat": WHINCHAT, "dunlin": DUNLIN, "turnstone": TURNSTONE}


def tell_of_earlier_faults(fleet: Fleet, teller: Teller) -> None:
    """Every sheet is worked on before the first is closed: each closing teaches, and knowledge is expanded anew."""
    add_hand(
        engine=fleet.whinchat, member=teller.people["mentor2"], mark=uuid4(), hand=teller.people["mate"],
        on=teller.day(399),
    )  # fmt: skip
    told = [(getattr(fleet, name), one) for name, faults in FAULTS.items() for one in faults]
    told.append((fleet.dabchick, CAME_BACK))
    sheets = [(_worked(engine, one, teller), one) for engine, one in told]
    conclusions = [_closed(sheet, one, teller) for sheet, one in sheets]
    _came_back(conclusions[-1], teller)


def _worked(engine: Engine, told: Told, teller: Teller) -> FaultSheet:
    sheet = _opened(engine, told, teller)
    _worked_on(sheet, told, teller, told.days_ago)
    return sheet


def _closed(sheet: FaultSheet, told: Told, teller: Teller) -> Conclusion:
    conclusion = services.close_sheet(
        sheet=sheet, draft=told.conclusion, doing=teller.doing(told.closed_by, told.days_ago - 3), mark=uuid4()
    )
    if told.signed_by:
        services.sign_off(
            conclusion=conclusion, words="", doing=teller.doing(told.signed_by, told.days_ago - 5), mark=uuid4()
        )
    return conclusion


def _opened(engine: Engine, told: Told, teller: Teller) -> FaultSheet:
    return services.open_sheet(
        engine=engine, complaint=told.complaint, history=None, member=teller.people[told.who],
        at=teller.at(told.days_ago), mark=uuid4(),
    )  # fmt: skip


def _worked_on(sheet: FaultSheet, told: Told, teller: Teller, days_ago: float) -> None:
    """Seen on the first day, looked at and put right on the second, looked at again on the third."""
    story = Story(sheet, dict(teller.people), teller.now)
    for finding, level in told.seen:
        story.saw(told.who, days_ago, finding, level)
    if told.allowed_by:
        asked = story.asked(told.who, days_ago - 0.7, told.done[-1][0], "Shown to you on Tuesday. Boiler cold.")
        decision = services.Decision("given", "Look at its neighbours too.", story.at(days_ago - 2))
        services.answer_go_ahead(
            go_ahead=asked, decision=decision, doing=Doing(story.people[told.allowed_by], story.at(days_ago - 0.8)),
            mark=uuid4(),
        )  # fmt: skip
    for action, answer in told.done:
        story.answered(told.who, days_ago - 1, action, answer)
    for finding, _ in told.seen:
        story.saw(told.who, days_ago - 2, finding, 0, reported=False)


def _came_back(conclusion: Conclusion, teller: Teller) -> None:
    """Closed too soon, opened again; what it is thought to be now waits for a mentor to close."""
    services.reopen_sheet(
        conclusion=conclusion, reason="Full of water again after one outing: something lets it in.",
        doing=teller.doing("mentor", 30), mark=uuid4(),
    )  # fmt: skip
    _worked_on(conclusion.sheet, CAME_BACK, teller, 29)
    words = "Drained again and left open overnight. It stays filled if the steam valve is shut first on the way in."
    services.propose_conclusion(
        sheet=conclusion.sheet, draft=replace(CAME_BACK.conclusion, words=words), doing=teller.doing("member", 6),
        mark=uuid4(),
    )  # fmt: skip
