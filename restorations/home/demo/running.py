"""Running days and test sessions: one that has been, with a near miss; one in three weeks; tests booked and missed."""

from datetime import time
from uuid import uuid4

from restorations.home.demo.engines import Fleet
from restorations.home.demo.teller import Teller
from restorations.traffic.models import RunningDay
from restorations.traffic.services import allocations, incidents, running_days, sessions
from restorations.traffic.services.allocations import Ran
from restorations.traffic.services.incidents import Report
from restorations.traffic.services.sessions import Booking, Outcome

BEEN, AHEAD = 51, -24  # days ago; three weeks from now


def run(fleet: Fleet, teller: Teller) -> None:
    _tests(fleet, teller)
    _last_day_of_the_season(fleet, teller)
    _in_three_weeks(fleet, teller)


def _tests(fleet: Fleet, teller: Teller) -> None:
    """Whinchat's was missed for snow in the spring; Dabchick's steam test, about to lapse, is booked."""
    inspector = teller.people["inspector"]
    missed = sessions.ask_for_test(
        engine=fleet.whinchat, test="steam_test", words="", doing=teller.doing("mentor2", 330), mark=uuid4()
    )
    booking = Booking(teller.day(316), time(10), inspector, place="steaming bay")
    sessions.book(row=missed, version=1, booking=booking, doing=teller.doing("secretary", 328), mark=uuid4())
    sessions.record_outcome(
        row=missed, outcome=Outcome("missed", "Snow on the pass; nobody but the hands got through."),
        doing=teller.doing("secretary", 315), mark=uuid4(),
    )  # fmt: skip
    asked = sessions.ask_for_test(
        engine=fleet.dabchick, test="steam_test", words="The lease wants it in date all winter.",
        doing=teller.doing("member", 5), mark=uuid4(),
    )  # fmt: skip
    booking = Booking(teller.day(-9), time(10, 30), inspector, place="steaming bay", witness="J. Penhallick")
    sessions.book(row=asked, version=1, booking=booking, doing=teller.doing("secretary", 4), mark=uuid4())


def _sunday(days_ago: int, teller: Teller) -> int:
    """So many days ago, or the Sunday before."""
    return days_ago + (teller.day(days_ago).weekday() + 1) % 7


def _planned(days_ago: float, told_ago: float, title: str, note: str, teller: Teller) -> RunningDay:
    said = {"title": title, "begins_at": time(10, 30), "ends_at": time(16), "note": note}
    return running_days.plan_day(
        on=teller.day(days_ago), said=said, doing=teller.doing("secretary", told_ago), mark=uuid4()
    )


def _last_day_of_the_season(fleet: Fleet, teller: Teller) -> None:
    """Two engines ran; a coupling pin came out at the platform, and nobody was hurt."""
    day = _planned(_sunday(BEEN, teller), BEEN + 40, "Last day of the season", "Public running. Gates at ten.", teller)
    for engine, laps, hours, who in ((fleet.whinchat, 31, 4.5, "mentor2"), (fleet.turnstone, 18, 3, "mentor")):
        held = allocations.allocate(
            row=day, engine=engine, words="", doing=teller.doing("secretary", BEEN + 10), mark=uuid4()
        )
        ran = Ran(True, laps, round(60 * hours), "Steamed well." if hours > 4 else "Off the jetty, gas low at the end.")
        allocations.record_result(allocation=held, ran=ran, doing=teller.doing(who, BEEN - 1), mark=uuid4())
    came = [teller.people[name] for name in ("member", "mate", "mentor", "mentor2", "secretary")]
    running_days.record_who_came(row=day, came=came, doing=teller.doing("secretary", BEEN - 1), mark=uuid4())
    running_days.tell_how_it_went(
        row=day, version=day.version, words="Dry, about ninety visitors. A second marshal at the crossing next time.",
        doing=teller.doing("secretary", BEEN - 1), mark=uuid4(),
    )  # fmt: skip
    report = Report(
        "near_miss", "The pin of the second car's coupling came out as the train drew up. The car rolled back a foot.",
        "no", time(14, 10), action="Passengers off, car taken out of the train. Its pins have no retaining clips.",
    )  # fmt: skip
    near_miss = incidents.report_incident(row=day, report=report, doing=teller.doing("mate", BEEN - 1), mark=uuid4())
    incidents.add_to_incident(
        incident=near_miss, words="Clips fitted to all five cars.", doing=teller.doing("mentor", BEEN - 9), mark=uuid4()
    )


def _in_three_weeks(fleet: Fleet, teller: Teller) -> None:
    """One allocated, one with its if, one asked for by somebody who would like to see it run."""
    day = _planned(_sunday(AHEAD, teller), 20, "Winter steaming", "Members and families. Bring your own coal.", teller)
    for engine in (fleet.whinchat, fleet.dabchick):
        allocations.allocate(row=day, engine=engine, words="", doing=teller.doing("secretary", 3), mark=uuid4())
    allocations.ask_for(
        row=day, engine=fleet.turnstone, words="to learn firing on it", doing=teller.doing("stranger", 2), mark=uuid4()
    )
    for name, answer in (("member", "yes"), ("mate", "yes"), ("mentor", "yes"), ("mentor2", "no")):
        running_days.say_coming(row=day, coming=answer, doing=teller.doing(name, 2), mark=uuid4())
    _planned(_sunday(AHEAD - 60, teller), 20, "Candlemas run", "", teller)
