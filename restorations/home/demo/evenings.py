"""Work as it was planned and written down: Pipit's job with its cards, day book, readings, wanted list; outings."""

from collections.abc import Sequence
from datetime import timedelta
from typing import Any
from uuid import uuid4

from restorations.engines.models import Engine
from restorations.home.demo.teller import Teller
from restorations.tasks.measuring import read_line
from restorations.tasks.models import JobCard, Wanted
from restorations.tasks.services import jobs
from restorations.tasks.services.day_book import EntryDraft, write_entry
from restorations.tasks.services.jobs import CardPlan, CardState
from restorations.tasks.services.readings import Measuring, name_known_good, write_reading
from restorations.tasks.services.wanted import want

Cards = dict[str, JobCard]
_PLAIN_CARD = {"what": "", "system": "", "side": "", "is_good_first_job": False, "with_whom": "", "bring": ""}
# By key: title, hours (at best, most likely, at worst), keys of what comes first, who is on it, the rest.
CARDS: dict[str, tuple[str, tuple[float, float, float], tuple[str, ...], tuple[str, ...], dict[str, Any]]] = {
    "stand": ("Lift it on to the stand, wheels clear", (1, 1.5, 3), (), ("member", "mate"), {"system": "frame"}),
    "gland": (
        "Free the left piston rod in its gland", (1, 6, 20), ("stand",), ("member", "mate"),
        {"system": "cylinders", "side": "left", "what": "Soak on, split clamp made. Nothing is hit."},
    ),
    "packing": ("Renew the gland packing, both sides", (1, 2, 4), ("gland",), ("member",), {"system": "cylinders"}),
    "wash": (
        "Wash the parts in boxes 3 and 4", (1, 3, 6), (), (),
        {
            "system": "motion", "is_good_first_job": True, "with_whom": "Anneli, Tuesday evenings",
            "bring": "gloves, brushes, rags", "what": "One box at a time, so that nothing changes places.",
        },
    ),
    "rod": (
        "Find why the right coupling rod binds", (1, 4, 12), ("stand",), ("mate",),
        {"system": "motion", "side": "right"},
    ),
    "bushes": ("New bushes for the coupling rods", (3, 6, 12), ("rod",), (), {"system": "motion"}),
    "back": (
        "Rods back on, a full turn by hand both ways", (1, 2, 5), ("packing", "wash", "bushes"), (),
        {"system": "motion"},
    ),
}  # fmt: skip


def plan_pipit(engine: Engine, teller: Teller) -> Cards:
    """A restoration and its cards: one done, two in hand, one that waits for a part."""
    begun = teller.doing("member", 38)
    job = jobs.begin_job(
        engine=engine, kind="restoration", title="Back to steam after fourteen years", begun_on=teller.day(38),
        doing=begun, mark=uuid4(),
    )  # fmt: skip
    cards: Cards = {}
    for key, (title, hours, after, people, rest) in CARDS.items():
        low, likely, high = hours
        plan = CardPlan(
            title=title, job=job, low_hours=low, likely_hours=likely, high_hours=high,
            on_it=[teller.people[name] for name in people], comes_after=[cards[other] for other in after],
            **{**_PLAIN_CARD, **rest},
        )  # fmt: skip
        cards[key] = jobs.write_card(engine=engine, plan=plan, doing=begun, mark=uuid4())
    _say_how_they_stand(cards, teller)
    return cards


def _say_how_they_stand(cards: Cards, teller: Teller) -> None:
    waits = CardState("waits", waits_for="graphited yarn, promised", waits_until=teller.day(-6))
    for key, state, who, days_ago in (
        ("stand", CardState("done"), "member", 33),
        ("gland", CardState("in_hand"), "member", 12),
        ("rod", CardState("in_hand"), "mate", 12),
        ("packing", waits, "member", 9),
    ):
        doing, version = teller.doing(who, days_ago), cards[key].version
        jobs.set_card_state(card=cards[key], wanted=state, doing=doing, mark=uuid4(), version=version)


def write_pipits_day_book(engine: Engine, cards: Cards, teller: Teller) -> None:
    """Several hands, a helper whose line waits, and one line by who brought it, about a day before it came."""
    mate, mentor = teller.people["mate"], teller.people["mentor"]
    washed = "Hosed it down in the yard and let it dry in the sun before bringing it."
    about = (teller.at(46), "about")
    _write(engine, "member", 40, washed, teller, happened=about, by_name="Aldous Pell")
    on_stand = "Lifted on to the stand, four of us. Wheels clear. Rocks five degrees and stops."
    _write(
        engine, "member", 33, on_stand, teller, minutes=95, helpers=[mate, mentor], helper_names=["Old Harold"],
        card=cards["stand"],
    )  # fmt: skip
    _write(
        engine, "mate", 26, "Right connecting rod off. The big end pin is scored on top, all the way round.", teller,
        minutes=50, card=cards["rod"], readings=_lines("big end clearance, right = 6; 7; 6 thou"),
    )  # fmt: skip
    bores = _lines(
        "cylinder bore, left = 1.502 in; 1.503 in; 1.502 in", "cylinder bore, right = 38.1 mm; 38.2 mm; 38.1 mm"
    )
    measured = "Front covers off for an hour: both bores measured at three places, covers back on."
    _write(engine, "member", 19, measured, teller, minutes=80, system="cylinders", readings=bores)
    _write(
        engine, "mate", 9, "Eased the right bush with a scraper. It still binds.", teller, minutes=40, card=cards["rod"]
    )
    pull = _lines("pull at the tyre to turn it = 11.5 lbf; 12 lbf; 11.5 lbf")
    again = "Pull at the tyre again with both rods off."
    _write(engine, "member", 4, again, teller, minutes=25, helpers=[mate], card=cards["gland"], readings=pull)
    cleaned = "Cleaned the left frame and the stretchers with paraffin, wiped dry."
    _write(engine, "stranger", 1, cleaned, teller, stands=False, minutes=120, system="frame", side="left")
    _measure(engine, "mate", ((25, "18 lbf"), (18, "16 lbf; 17 lbf"), (12, "13.5 lbf; 14 lbf")), PULL, teller)


PULL = "pull at the tyre to turn it"
WATER = "water delivered in a minute"
KNOWN_GOOD = (
    f"{PULL} = 3.5 lbf; 4 lbf; 3.5 lbf",
    "cylinder bore, left = 1.500 in",
    "cylinder bore, right = 1.500 in",
    "big end clearance, right = 2 thou",
)


def use_dabchick(engine: Engine, teller: Teller) -> None:
    """A season of running: what its pump delivers gets less from outing to outing."""
    outings = (
        (96, 180, "First outing after the winter. Ran well for three hours."),
        (75, 174, "Six laps with a visitor driving. Steams freely."),
        (54, 170, "Hot axlebox on the left, back; more oil cured it."),
        (33, 152, "The pump needed the by-pass shut all afternoon."),
        (12, 131, "Water only just kept up. Hand pump used twice."),
    )
    for days_ago, water, text in outings:
        reading = _lines(f"{WATER}, feed pump = {water} ml; {water + 4} ml")
        minutes = 150 + days_ago % 40
        _write(engine, "member", days_ago, text, teller, minutes=minutes, system="feed", readings=reading)
    _measure(engine, "mentor", ((75, "59 psi"), (33, "60 psi")), "safety valve lifts at", teller)


def use_the_sister(engine: Engine, teller: Teller) -> None:
    """The sister engine runs well; what was measured on it is what the design should read."""
    happened = (teller.at(120), "day")
    for line in KNOWN_GOOD:
        reading = write_reading(
            engine=engine, typed=read_line(line), measuring=Measuring(happened), doing=teller.doing("mentor2", 120),
            mark=uuid4(),
        )  # fmt: skip
        name_known_good(reading=reading, known_good=True, member=teller.people["mentor"], mark=uuid4())


def use_the_others(dunlin: Engine, corncrake: Engine, turnstone: Engine, teller: Teller) -> None:
    """A line or two each, so that nobody opens an empty book."""
    set_up = _lines("port opening, left front = 1.1 mm", "port opening, left back = 1.6 mm")
    _write(
        dunlin, "owner", 9, "Left valve looked at through the drain plug with a lamp: it opens late at the front.",
        teller, minutes=70, system="valve_gear", side="left", readings=set_up,
    )  # fmt: skip
    _write(dunlin, "mentor2", 6, "Looked it over with Kester. Both valves want moving back on their rods.", teller)
    _write(corncrake, "mate", 74, "Last rally. Nine miles, no trouble.", teller, minutes=300)
    _write(
        turnstone, "mentor", 44, "Pump stripped, dried and left apart. Not again what the frost did last year.",
        teller, minutes=45, system="feed",
    )  # fmt: skip


def want_for_pipit(engine: Engine, cards: Cards, teller: Teller) -> list[Wanted]:
    member = teller.people["member"]
    rows: tuple[dict[str, Any], ...] = (
        {"what": "Split clamp plate, mild steel", "size": "1/2 in x 1 in x 6 in", "card": cards["gland"],
         "state": "came", "from_whom": "the club's stores", "price_pence": 640, "paid_by": member},
        {"what": "Graphited yarn", "size": "1/8 in square, 2 m", "card": cards["packing"], "state": "promised",
         "from_whom": "a packing maker in the north", "promised_by": teller.day(-6), "price_pence": 890},
        {"what": "Bronze bar for the coupling rod bushes", "size": "7/8 in x 6 in", "card": cards["bushes"],
         "state": "asked", "from_whom": "Philippa, who has an offcut"},
        {"what": "Whistle", "size": "1/4 in x 40 union"},
    )  # fmt: skip
    plain = {"size": "", "card": None, "state": "wanted", "from_whom": "", "promised_by": None, "price_pence": None}
    return [
        want(
            engine=engine, columns={**plain, "paid_by": None, **row}, mark=uuid4(),
            doing=teller.doing("member", 10 - number),
        )
        for number, row in enumerate(rows)
    ]  # fmt: skip


def _lines(*lines: str) -> Sequence[Any]:
    return [read_line(line) for line in lines]


def _write(
    engine: Engine, who: str, days_ago: float, text: str, teller: Teller, *, stands: bool = True, **draft: Any
) -> None:
    doing = teller.doing(who, days_ago, stands=stands)
    write_entry(engine=engine, draft=EntryDraft(text=text, **draft), doing=doing, mark=uuid4())


def _measure(engine: Engine, who: str, series: Sequence[tuple[int, str]], what: str, teller: Teller) -> None:
    for days_ago, value in series:
        doing = teller.doing(who, days_ago)
        measuring = Measuring((doing.at - timedelta(minutes=20), "minute"))
        write_reading(
            engine=engine, typed=read_line(f"{what} = {value}"), measuring=measuring, doing=doing, mark=uuid4()
        )
