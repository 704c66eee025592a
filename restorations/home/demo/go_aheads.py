"""What waits on the desks: a request with a question, one refused, one for the inspector, one that ran out, a standing
one, a question from a newcomer, and the owner asked before something is cut away. What was done without asking, and one
plain request, are told with Pipit's own sheet."""

from datetime import datetime, time
from uuid import uuid4

from django.utils import timezone

from restorations.engines.models import Engine
from restorations.engines.services.consent_requests import WhatIsAsked, ask_owner
from restorations.faults import services
from restorations.faults.models import FaultSheet, GoAhead
from restorations.faults.services.sheets import ground_of
from restorations.home.demo.story import Story
from restorations.home.demo.teller import Teller
from restorations.members.services.short_codes import set_short_code

SHORT_CODES = {"mentor": "402917", "mentor2": "730465", "inspector": "198204"}
COMPLAINT = """A steady blow at the chimney with the regulator open
Louder going forward. Quiet when pushed."""


def tell_of_go_aheads(pipits: FaultSheet, dabchick: Engine, teller: Teller) -> None:
    for name, code in SHORT_CODES.items():
        set_short_code(member=teller.people[name], code=code, at=teller.at(60))
    _ran_out(pipits, teller)
    _refused(pipits, teller)
    _standing(pipits.engine, teller)
    _from_a_newcomer(pipits, teller)
    _owner_asked(pipits, teller)
    _with_a_question(dabchick, teller)


def _asked(sheet: FaultSheet, who: str, days_ago: float, action: str, reason: str, teller: Teller) -> GoAhead:
    expanded = ground_of(sheet, at=teller.at(days_ago)).expanded
    placed = expanded.checks.get(action) or expanded.remedies[action]
    return services.ask_go_ahead(
        sheet=sheet, placed=placed, reason=reason, doing=teller.doing(who, days_ago), mark=uuid4()
    )


def _end_of_day(teller: Teller, days_ago: float) -> datetime:
    return timezone.make_aware(datetime.combine(teller.day(days_ago), time.max))


def _ran_out(sheet: FaultSheet, teller: Teller) -> None:
    row = _asked(
        sheet, "member", 24, "take_up_axlebox_slack@axle2", "The middle axle knocks in its horns when it is rocked.",
        teller,
    )  # fmt: skip
    decision = services.Decision("given", "Write the gaps down first, both sides.", _end_of_day(teller, 10))
    services.answer_go_ahead(go_ahead=row, decision=decision, doing=teller.doing("mentor", 23.5), mark=uuid4())


def _refused(sheet: FaultSheet, teller: Teller) -> None:
    row = _asked(
        sheet, "mate", 8, "restore_connecting_rod_length@right", "The right rod looks a shade short against the left.",
        teller,
    )  # fmt: skip
    why = "Not by eye. Compare both rods on one pin and write the reading down, then ask again."
    services.answer_go_ahead(
        go_ahead=row, decision=services.Decision("refused", why, None), doing=teller.doing("mentor2", 7), mark=uuid4()
    )


def _standing(engine: Engine, teller: Teller) -> None:
    draft = services.StandingDraft(
        teller.people["member"], "cylinders:solvent", "Doors open, nothing hot in the shop, gloves on.",
        _end_of_day(teller, -30),
    )  # fmt: skip
    services.give_standing(engine=engine, draft=draft, doing=teller.doing("mentor", 11), mark=uuid4())


def _from_a_newcomer(sheet: FaultSheet, teller: Teller) -> None:
    words = "Is the crosshead meant to be pinned or keyed on this engine? I can see no cotter."
    services.ask_mentors(sheet=sheet, words=words, doing=teller.doing("stranger", 1), mark=uuid4())


def _owner_asked(sheet: FaultSheet, teller: Teller) -> None:
    remedy = ground_of(sheet, at=teller.at(3)).expanded.remedies["recentre_coupling_rod@right"]
    asked = WhatIsAsked(
        remedy.id, remedy.name, "It went back by eye years ago, and binds on both centres.",
        remedy.said(remedy.entry.how), sheet.get_absolute_url(),
    )  # fmt: skip
    ask_owner(engine=sheet.engine, asked=asked, doing=teller.doing("mate", 3), mark=uuid4())


def _with_a_question(engine: Engine, teller: Teller) -> None:
    sheet = services.open_sheet(
        engine=engine, complaint=COMPLAINT, history=None, member=teller.people["member"], at=teller.at(6), mark=uuid4()
    )
    story = Story(sheet, dict(teller.people), teller.now)
    story.saw("member", 6, "blow_at_chimney", 1, note="Steady, not in beats.")
    row = _asked(
        sheet, "member", 5, "watch_chimney_in_steam", "Two of us, on the raised track on Sunday, before the public.",
        teller,
    )  # fmt: skip
    services.ask_about_go_ahead(
        go_ahead=row, words="Who has the regulator, and who watches? And is the brake seen to since last time?",
        doing=teller.doing("mentor2", 4), mark=uuid4(),
    )  # fmt: skip
    _asked(sheet, "member", 2, "set_safety_valve", "Lifts at 60, stamped for 65: it feathers all day.", teller)
