"""From what was read of an engine to a plan to simulate, and what nobody has said yet. No row is read here."""

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from datetime import date, timedelta

from restorations.calc.schedule import Plan, Session, Wait, Work, months_later, sessions_ahead, three_point
from restorations.engines.state import day
from restorations.traffic.forecast_inputs import CardLeft, Inputs, SheetLeft, WaitLeft

MONTHS_AHEAD = 24
MOST_HANDED_OVER = 0.5  # from there on no day is given, as on the sheet itself
# How many days later than promised things come: at best, mostly, at worst. Judgement, common practice without a source;
# nobody has counted. What is later than the worst is not believed to come at all until somebody promises it anew.
LATENESS = three_point(0, 4, 28)
INSPECTOR = "inspector"


@dataclass(frozen=True, slots=True)
class Gap:
    """Something that nobody has said, so that no day can be given; `kind` and `row` tell where it is said."""

    kind: str
    row: int | None
    words: str


@dataclass(frozen=True, slots=True)
class Left:
    """What is left as a plan, the sessions to do it in, and the gaps in it."""

    plan: Plan
    sessions: tuple[Session, ...]
    gaps: tuple[Gap, ...]

    @property
    def is_workable(self) -> bool:
        """There is something to reckon with, and sessions where there is work."""
        return bool(self.plan.work or self.plan.waits) and (bool(self.sessions) or not self.plan.work)


def needs_test(inputs: Inputs, on: date) -> bool:
    """Whether the boiler must be tested before it runs, if it is back on that day."""
    if inputs.boiler_stop:
        return True
    return inputs.has_boiler and (inputs.papers_until is None or inputs.papers_until < on)


def left_of(inputs: Inputs, *, tested: bool) -> Left:
    """Cards, sheets and waits under the keys that results are read by; `tested`: the boiler's test comes at the end."""
    waits = {wait.key: _wait(wait, inputs.on) for wait in inputs.waits}
    known = {key for key, wait in waits.items() if wait.until is not None}
    work = {f"card {card.row}": _card(card, known) for card in inputs.cards}
    work |= {f"sheet {sheet.row}": Work((*sheet.hours, *_unsaid(sheet))) for sheet in inputs.sheets if _is_said(sheet)}
    if tested and inputs.booked_on:
        waits[INSPECTOR] = Wait((inputs.booked_on - inputs.on).days)
    elif tested and (days := inputs.shop.inspector_days):
        waits[INSPECTOR] = Wait(0, three_point(days / 2, days, 2 * days), after_work=True)
    plan = Plan(work, {key: wait for key, wait in waits.items() if wait.until is not None})
    return Left(plan, _sessions(inputs), tuple(_gaps(inputs, waits, tested=tested)))


def horizon(on: date) -> date:
    """No day is given from here on."""
    return months_later(on, MONTHS_AHEAD)


def _sessions(inputs: Inputs) -> tuple[Session, ...]:
    ahead = (horizon(inputs.on) - inputs.on).days
    shut = [
        number for number in range(ahead)
        if any(first <= inputs.on + timedelta(days=number) <= last for first, last in inputs.shop.closed)
    ]  # fmt: skip
    week = {weekday: (hours, inputs.hands or (hands,)) for weekday, (hours, hands) in inputs.shop.week.items()}
    return sessions_ahead(week, inputs.on.weekday(), ahead, shut)


def _is_overrun(card: CardLeft) -> bool:
    return card.spent > 0 and card.spent >= card.guess[2]


def _card(card: CardLeft, known: Iterable[str]) -> Work:
    guess = None if _is_overrun(card) else three_point(*card.guess)
    after = tuple(f"card {row}" for row in card.after)
    waits = tuple(key for key in card.waits if key in known)
    return Work(guess, spent=card.spent, after=after, waits_for=waits, at_once=card.at_once)


def _is_said(sheet: SheetLeft) -> bool:
    return sheet.handed_over is not None and sheet.handed_over < MOST_HANDED_OVER and bool(sheet.hours)


def _unsaid(sheet: SheetLeft) -> tuple[float, ...]:
    """As many samples without an end as are handed over."""
    share = sheet.handed_over or 0.0
    return (float("inf"),) * round(len(sheet.hours) * share / (1 - share))


def _wait(wait: WaitLeft, on: date) -> Wait:
    if wait.until is None:
        return Wait(None)
    days = (wait.until - on).days
    if wait.kind == "soak":
        return Wait(days)
    return Wait(days, LATENESS) if -days < LATENESS.high else Wait(None)


def _gaps(inputs: Inputs, waits: dict[str, Wait], *, tested: bool) -> Iterator[Gap]:
    nothing = not inputs.cards and not inputs.sheets
    if nothing and not inputs.only_papers:
        yield Gap("work", None, "No card and no fault sheet is open: nobody has said what is left to do.")
    if nothing and inputs.only_papers and not tested:
        yield Gap("papers", None, "Papers have lapsed, and nobody has said when they are renewed.")
    if not nothing and not inputs.shop.week:
        yield Gap("pattern", None, "The club has no working sessions yet: there is no day to do the work on.")
    yield from (_overrun(card) for card in inputs.cards if _is_overrun(card))
    yield from (_unsaid_of(sheet) for sheet in inputs.sheets if not _is_said(sheet))
    yield from (_open_wait(wait) for wait in inputs.waits if waits[wait.key].until is None)
    if tested and not inputs.booked_on and not inputs.shop.inspector_days:
        yield Gap(
            "inspector", None, "The boiler is to be tested, and nobody has said how long that takes from asking for it."
        )


def _overrun(card: CardLeft) -> Gap:
    words = f"“{card.title}” has taken {card.spent:.3g} h, its worst guess was {card.guess[2]:g}: guess its hours anew."
    return Gap("card", card.row, words)


def _unsaid_of(sheet: SheetLeft) -> Gap:
    if sheet.handed_over is None:
        return Gap("sheet", sheet.row, f"“{sheet.title}”: how much work it is has not been worked out yet.")
    return Gap("sheet", sheet.row, f"“{sheet.title}”: too early to say how much work it is; look on.")


def _open_wait(wait: WaitLeft) -> Gap:
    if wait.until is None:
        said = "no day is promised" if wait.kind == "part" else "nobody has said until when"
        return Gap(wait.kind, wait.row, f"{wait.words}: {said}.")
    return Gap(wait.kind, wait.row, f"{wait.words}: should have come by {day(wait.until)}, long past; ask anew.")
