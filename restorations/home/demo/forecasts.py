"""When the club works, and when engines may be back: a forecast that was kept, one with its days, one without."""

from datetime import time
from uuid import uuid4

from restorations.engines.models import Engine
from restorations.engines.services.stoppages import StopDraft, lift_stop, stop_engine
from restorations.engines.state import state_of
from restorations.home.demo.teller import Teller
from restorations.tasks.models import JobCard
from restorations.tasks.services import jobs
from restorations.tasks.services.jobs import CardPlan, CardState
from restorations.traffic.services.forecasts import make_forecast
from restorations.traffic.services.working import SessionPlan, close_shop, set_pattern

TUESDAY, SATURDAY = 1, 5
Hours = tuple[float, float, float]
# Title, hours (at best, most likely, at worst), numbers of the cards that come first, system.
STRAP: tuple[tuple[str, Hours, tuple[int, ...], str], ...] = (
    ("Left eccentric strap off, measured", (0.5, 1, 2), (), "valve_gear"),
    ("Line the strap and fit it", (2, 4, 8), (0,), "valve_gear"),
    ("Check the valve events on air", (1, 2, 4), (1,), "valve_gear"),
)
FIRST_RUN: tuple[tuple[str, Hours, tuple[int, ...], str], ...] = (
    ("Set the valves, both sides", (3, 6, 12), (), "valve_gear"),
    ("Pipe up the lubricator and prove the oil", (1, 3, 6), (), "lubrication"),
    ("First run on air, wheels clear", (1, 2, 5), (0, 1), "motion"),
    ("Fit the smokebox and blast pipe", (2, 4, 7), (), "steam_path"),
    ("Lagging and cladding on", (3, 5, 9), (2,), "boiler"),
)


def look_ahead(pipit: Engine, dunlin: Engine, whinchat: Engine, teller: Teller) -> None:
    _set_sessions(teller)
    _whinchat_was_back_in_time(whinchat, teller)
    _dunlin_is_nearly_there(dunlin, teller)
    _pipit_lacks_something(pipit, teller)


def _set_sessions(teller: Teller) -> None:
    secretary = teller.people["secretary"]
    sessions = [SessionPlan(TUESDAY, 2.5, 2, time(19, 30)), SessionPlan(SATURDAY, 4.0, 2, time(10))]
    set_pattern(sessions=sessions, inspector_days=21, member=secretary, version=1, mark=uuid4())
    close_shop(
        first_on=teller.day(-25), last_on=teller.day(-33), why="the winter show", doing=teller.doing("secretary", 3),
        mark=uuid4(),
    )  # fmt: skip


def _whinchat_was_back_in_time(engine: Engine, teller: Teller) -> None:
    """A strap that was relined: begun four months ago, back before the likely day."""
    draft = StopDraft("works", "valve_gear", "Left eccentric strap worn oval; relined.", teller.day(130))
    stop = stop_engine(engine=engine, draft=draft, doing=teller.doing("mentor2", 130), mark=uuid4())
    cards = _write_cards(engine, STRAP, "mentor2", 129, teller)
    _forecast(engine, "mentor2", 128, teller)
    for number, card in enumerate(cards):
        doing = teller.doing("mentor2", 120 - 4 * number)
        jobs.set_card_state(card=card, wanted=CardState("done"), doing=doing, mark=uuid4(), version=card.version)
    lift_stop(
        stoppage=stop, words="Ran three hours without warming.", on=teller.day(95),
        doing=teller.doing("secretary", 95), mark=uuid4(),
    )  # fmt: skip


def _dunlin_is_nearly_there(engine: Engine, teller: Teller) -> None:
    """Private: the secretary sees the days, the owner what holds it up."""
    _out_of_traffic(engine, "Just put together, never run.", "owner", 118, teller)
    cards = _write_cards(engine, FIRST_RUN, "owner", 30, teller)
    in_hand = teller.doing("owner", 9)
    jobs.set_card_state(
        card=cards[0], wanted=CardState("in_hand"), doing=in_hand, mark=uuid4(), version=cards[0].version
    )  # fmt: skip
    _forecast(engine, "owner", 2, teller)


def _pipit_lacks_something(engine: Engine, teller: Teller) -> None:
    """A fault that is not found yet and parts nobody promised: no day, and what is missing."""
    _out_of_traffic(engine, "To be brought back after fourteen years in a garage.", "member", 39, teller)
    _forecast(engine, "member", 1, teller)


def _out_of_traffic(engine: Engine, words: str, who: str, days_ago: float, teller: Teller) -> None:
    """In works since then, unless it is stopped already."""
    if not state_of(engine, teller.day(0)).is_in_traffic:
        return
    expected = teller.day(-150)
    draft = StopDraft(
        "works", "motion", words, teller.day(days_ago), waits_for="hands", expected_on=expected,
        expected_by=teller.people[who].full_name,
    )  # fmt: skip
    stop_engine(engine=engine, draft=draft, doing=teller.doing(who, days_ago), mark=uuid4())


def _write_cards(
    engine: Engine, planned: tuple[tuple[str, Hours, tuple[int, ...], str], ...], who: str, days_ago: float,
    teller: Teller,
) -> list[JobCard]:  # fmt: skip
    """Whoever writes them is on them."""
    cards: list[JobCard] = []
    for title, (low, likely, high), after, system in planned:
        plan = CardPlan(
            title=title, what="", job=None, system=system, side="", low_hours=low, likely_hours=likely, high_hours=high,
            is_good_first_job=False, with_whom="", bring="", on_it=[teller.people[who]],
            comes_after=[cards[number] for number in after],
        )  # fmt: skip
        cards.append(jobs.write_card(engine=engine, plan=plan, doing=teller.doing(who, days_ago), mark=uuid4()))
    return cards


def _forecast(engine: Engine, who: str, days_ago: float, teller: Teller) -> None:
    make_forecast(engine=engine, member=teller.people[who], at=teller.at(days_ago), mark=uuid4())
