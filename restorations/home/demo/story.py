"""Pipit's open sheet, told through the same services the pages use, so that its ranking is a real one.

The faults are of our own choosing: the left piston rod rusted fast in its gland, and on the right a coupling rod that
went back wrong years ago. Some things are ruled out, one remedy only half worked, one soak is under way, one step waits
for a mentor and one was done without asking.
"""

from dataclasses import replace
from datetime import datetime
from typing import Any
from uuid import uuid4

from restorations.engines.models import Engine
from restorations.faults import services
from restorations.faults.drafts import draft_of_answer, draft_of_finding
from restorations.faults.models import FaultSheet, GoAhead
from restorations.faults.services.sheets import ground_of
from restorations.home.demo.teller import moment
from restorations.members.doing import Doing
from restorations.members.models import Member

COMPLAINT = """Will not turn more than a few degrees.
Stood fourteen years on a shelf in a damp garage with the regulator open. The reverser moves. Nothing looks broken."""


def tell(engine: Engine, people: dict[str, Member], *, now: datetime) -> FaultSheet:
    """Five weeks of evenings at the bench."""
    opened = moment(now, 33)
    sheet = services.open_sheet(
        engine=engine, complaint=COMPLAINT, history=None, member=people["member"], at=opened, mark=uuid4()
    )
    story = Story(sheet, people, now)
    story.saw("member", 33, "wheels_stiff", 2, note="Rocks about five degrees each way, then solid.")
    story.answered("member", 33, "look_at_brake_handle", "not_found")
    story.answered("mate", 32, "look_for_rust@right", "0")
    story.answered("mate", 32, "look_for_rust@left", "2")
    story.answered("mate", 26, "turn_wheels_one_rod_off@right", "2", taken_off=("connecting_rod@right",), box="3")
    story.answered("member", 25, "turn_wheels_both_rods_off", "1", taken_off=("connecting_rod@left",), box="4")
    story.answered("member", 25, "slide_crosshead_by_hand@right", "0")
    story.answered("member", 25, "slide_crosshead_by_hand@left", "2")
    story.answered("mate", 19, "flush_and_oil_motion", "done")
    story.answered("mate", 18, "turn_wheels_both_rods_off", "1")
    story.answered("member", 12, "chalk_tight_dead_centres@right", "1")
    story.answered("member", 12, "chalk_tight_dead_centres@left", "0")
    story.answered("mate", 9, "ease_coupling_rod_bushes@axle2", "done", note="Could not wait, eased it with a scraper.")
    story.answered("mate", 9, "turn_wheels_both_rods_off", "1")
    story.answered("mate", 5, "look_at_rod_in_gland@left", "found")
    story.answered("member", 4, "soak_cylinder@left", "begun")
    story.answered("mate", 3, "compare_rods_with_marks@right", "not_sure")
    story.asked(
        "member", 2, "free_rod_in_gland@left", "Rusted fast, and the soak alone does not move it. Split clamp made."
    )
    return sheet


class Story:
    """Writes steps on a sheet at given moments of the past."""

    def __init__(self, sheet: FaultSheet, people: dict[str, Member], now: datetime) -> None:
        self.sheet, self.people, self.now = sheet, people, now

    def saw(
        self, who: str, days_ago: float, finding: str, level: int, *, note: str = "", reported: bool = True
    ) -> None:
        at = self.at(days_ago)
        draft = draft_of_finding(ground_of(self.sheet, at=at).expanded, finding, level, reported=reported)
        self._record(who, at, replace(draft, note=note))

    def answered(self, who: str, days_ago: float, action: str, answer: str, **moved: Any) -> None:
        """`moved`: taken_off, box, note, as StepDraft has them."""
        at = self.at(days_ago)
        draft = draft_of_answer(ground_of(self.sheet, at=at).expanded, action, answer)
        self._record(who, at, replace(draft, **moved))

    def asked(self, who: str, days_ago: float, action: str, reason: str) -> GoAhead:
        at = self.at(days_ago)
        placed = ground_of(self.sheet, at=at).expanded.remedies[action]
        return services.ask_go_ahead(
            sheet=self.sheet, placed=placed, reason=reason, doing=Doing(self.people[who], at), mark=uuid4()
        )

    def _record(self, who: str, at: datetime, draft: services.StepDraft) -> None:
        services.record_step(sheet=self.sheet, draft=draft, doing=Doing(self.people[who], at), mark=uuid4())

    def at(self, days_ago: float) -> datetime:
        return moment(self.now, days_ago)
