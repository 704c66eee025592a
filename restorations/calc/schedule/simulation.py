"""The return date as a distribution: work in its order, waits in elapsed time, sessions and the hands that come.

How a run is reckoned. Every piece of work gets its hours, every wait its length, every session its number of hands.
The work is through on the first day by which both are so:

- the longest chain is through, each piece worked on in every session by as many as can work on it side by side;
- the hands that came have put in all the hours, counted from any wait on: what cannot be begun before a part comes
  must be done in the sessions after it.

Neither takes less: with one pair of hands the second is the truth, with hands for everything the first. In between it
is an early answer, because hands are taken never to stand idle while there is work; how much earlier than hands that
take the first card they can begin is printed by tests/benchmarks/forecasts.py. Both only ever move one way: more
hours, longer waits or fewer hands never bring the day forward, which cannot be said of rules by which hands choose
their next card (Graham, Bell System Technical Journal 45 (1966) 1563, RECALLED). Then come the waits that begin when
the work is done.
"""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from restorations.calc.errors import OutOfRange
from restorations.calc.schedule.errors import InvalidPlan
from restorations.calc.schedule.plan import Plan
from restorations.calc.schedule.sessions import Session
from restorations.calc.schedule.three_point import Floats

Bools = npt.NDArray[np.bool_]
Indices = npt.NDArray[np.intp]

RUNS = 1000
MOST_RUNS = 1_000_000
A_MOMENT = 1e-9  # hours: what is left of adding up


@dataclass(frozen=True, slots=True)
class ReturnDate:
    """When the engine may be back, and what holds it up.

    Attributes
    ----------
    days : ndarray of shape (runs,) - day of return in each run, from day 0, smallest first; infinite where the work is
        not through in the sessions given, or where it cannot be said.
    critical : dict of str to float - share of runs in which the return would be later if this piece of work, or this
        wait, took longer.
    short_of_hands : float - share of runs in which the hours the hands can give decided, not the order of work.
    missing : tuple of str - what is not estimated: each would only add to the days.
    """

    days: Floats
    critical: dict[str, float]
    short_of_hands: float
    missing: tuple[str, ...]

    def by(self, chance: float) -> float | None:
        """Give the first day by which it is back in this share of the runs.

        Parameters
        ----------
        chance : float - above 0 and up to 1.

        Returns
        -------
        float or None - day from day 0; None where too many runs have no day.
        """
        if not 0.0 < chance <= 1.0:
            raise OutOfRange("chance", chance, 0.0, 1.0)
        day = float(self.days[int(np.ceil(chance * len(self.days) - A_MOMENT)) - 1])
        return day if np.isfinite(day) else None

    @property
    def even_chance(self) -> float | None:
        """The first day by which it is back in half the runs."""
        return self.by(0.5)

    @property
    def likely(self) -> float | None:
        """The first day by which it is back in 8 of 10 runs."""
        return self.by(0.8)


@dataclass(frozen=True, slots=True)
class _Clock:
    """Sessions as two clocks: hours the shop was open with somebody in it, and hours put in by all together.

    `opened` and `put_in` have shape (runs or 1, sessions + 1) and begin with 0.
    """

    days: Floats
    opened: Floats
    put_in: Floats

    def place(self, day: Floats) -> Indices:
        """Number of the first session on or after the day."""
        return np.searchsorted(self.days, day, side="left")

    def at(self, clock: Floats, place: Indices) -> Floats:
        """What the clock shows when that session begins."""
        shown: Floats = np.broadcast_to(clock, (len(place), clock.shape[1]))[np.arange(len(place)), place]
        return shown

    def day_of(self, clock: Floats, shown: Floats) -> Floats:
        """The day on which the clock shows so much; day 0 for nothing at all, infinite beyond the last session."""
        reached = (clock < shown[:, None] - A_MOMENT).sum(axis=1)
        day: Floats = np.concatenate(([0.0], self.days, [np.inf]))[reached]
        return day


@dataclass(frozen=True, slots=True)
class _Draws:
    """One row for each piece of work, in order, or for each wait; one column for each run."""

    order: list[str]
    hours: Floats
    unsaid: Bools
    waits: dict[str, Floats]


@dataclass(frozen=True, slots=True)
class _Reckoned:
    """A day for each run, and what held it up: one row for each piece of work."""

    day: Floats
    critical: Bools
    held_by: dict[str, Bools]


def simulate(plan: Plan, sessions: Sequence[Session], seed: int, runs: int = RUNS) -> ReturnDate:
    """Draw the day of return many times.

    Hours guessed three ways follow the beta distribution of `ThreePoint.quantiles`. Each piece of work and each wait
    draws from a stream of its own, named by the seed and its name: the same seed gives the same answer, and what is
    added to a plan does not disturb the rest. Where the numbers of hands of a session are several, each run first draws
    as many of them again with replacement, so that few counts give a wide answer, and then a number for each session.
    See the head of this module for how a run is reckoned.

    Parameters
    ----------
    plan : Plan - work and waits.
    sessions : sequence of Session - in order of days; what is not through by the last has no day.
    seed : int - any number from 0; the same gives the same draws.
    runs : int - how many, 1 to 1000000.

    Returns
    -------
    ReturnDate

    Raises
    ------
    InvalidPlan - work that waits for itself or for what is not there, or work and no session to do it in.
    OutOfRange - `spent` that is not below the guess at worst, a wait overdue beyond all its lateness, a negative seed,
        no runs or too many.

    Examples
    --------
    Three hours for certain, in sessions of two hours on days 1, 3 and 5, by hand: through on the second of them.

    >>> from restorations.calc.schedule import Plan, Session, Work, simulate, three_point
    >>> three_hours = Plan({"bush": Work(three_point(3, 3, 3))}, {})
    >>> simulate(three_hours, [Session(day, 2.0, (1,)) for day in (1, 3, 5)], seed=1, runs=4).likely
    3.0
    """
    if not 1 <= runs <= MOST_RUNS:
        raise OutOfRange("runs", runs, 1, MOST_RUNS)
    if seed < 0:
        raise OutOfRange("seed", seed, 0, None)
    order = plan.ordered()
    if order and not sessions:
        raise InvalidPlan("There is work to do, but no working session to do it in.")
    draws, clock = _draw(plan, order, seed, runs), _clock(sessions, seed, runs)
    chain, hands = _longest_chain(plan, draws, clock), _all_hours(plan, draws, clock)
    return _returned(plan, draws, chain, hands)


def _stream(seed: int, name: str) -> np.random.Generator:
    return np.random.default_rng([seed, *name.encode()])


def _draw(plan: Plan, order: list[str], seed: int, runs: int) -> _Draws:
    hours = np.zeros((len(order), runs))
    for row, name in enumerate(order):
        hours[row] = plan.work[name].drawn(_stream(seed, name).random(runs))
    waits = {name: wait.drawn(_stream(seed, name).random(runs)) for name, wait in plan.waits.items()}
    unsaid = np.isinf(hours)
    return _Draws(order, np.where(unsaid, 0.0, hours), unsaid, waits)


def _clock(sessions: Sequence[Session], seed: int, runs: int) -> _Clock:
    days = np.array([session.day for session in sessions], dtype=float)
    if np.any(np.diff(days) < 0):
        raise InvalidPlan("The sessions are not in order of their days.")
    length = np.array([session.hours for session in sessions])
    hands = _hands(sessions, seed, runs)
    return _Clock(days, _added_up(length * (hands > 0)), _added_up(length * hands))


def _added_up(hours: Floats) -> Floats:
    """What has been added up before each session, and after the last."""
    clock = np.zeros((len(hours), hours.shape[1] + 1))
    np.cumsum(hours, axis=1, out=clock[:, 1:])
    return clock


def _hands(sessions: Sequence[Session], seed: int, runs: int) -> Floats:
    """Shape (runs, sessions), or (1, sessions) where every number is certain."""
    places: dict[tuple[float, ...], list[int]] = {}
    for place, session in enumerate(sessions):
        places.setdefault(tuple(sorted(session.hands)), []).append(place)
    stream = _stream(seed, "hands")
    hands = np.zeros((1 if all(len(counts) == 1 for counts in places) else runs, len(sessions)))
    for counts, where in places.items():
        if len(counts) == 1:
            hands[:, where] = counts[0]
            continue
        again = stream.integers(len(counts), size=(runs, len(counts)), dtype=np.uint16)
        drawn = stream.integers(len(counts), size=(runs, len(where)), dtype=np.uint16)
        hands[:, where] = np.array(counts)[np.take_along_axis(again, drawn, axis=1)]
    return hands


def _own_wait(plan: Plan, draws: _Draws, name: str) -> Floats:
    """The day all that this piece waits for is over."""
    days = [draws.waits[wait] for wait in plan.work[name].waits_for]
    return np.maximum.reduce(days) if days else np.zeros(draws.hours.shape[1])


def _longest_chain(plan: Plan, draws: _Draws, clock: _Clock) -> _Reckoned:
    """Forward and backward pass on the clock of open hours: hands for everything, the order of work decides."""
    rows = {name: row for row, name in enumerate(draws.order)}
    runs = draws.hours.shape[1]
    takes = draws.hours / np.array([[plan.work[name].at_once] for name in draws.order]).reshape(-1, 1)
    finish, held = np.zeros_like(takes), np.zeros(takes.shape, dtype=bool)
    for name, row in rows.items():
        first = [finish[rows[other]] for other in plan.work[name].after]
        ready = np.maximum.reduce(first) if first else np.zeros(runs)
        opens = clock.at(clock.opened, clock.place(_own_wait(plan, draws, name)))
        held[row] = opens > ready + A_MOMENT
        finish[row] = np.maximum(ready, opens) + takes[row]
    through = finish.max(axis=0, initial=0.0)
    latest = np.tile(through, (len(rows), 1))
    for name, row in reversed(rows.items()):
        for other in plan.work[name].after:
            latest[rows[other]] = np.minimum(latest[rows[other]], latest[row] - takes[row])
    critical = latest - finish <= A_MOMENT
    return _Reckoned(clock.day_of(clock.opened, through), critical, _held_by(plan, draws, critical & held))


def _held_by(plan: Plan, draws: _Draws, held: Bools) -> dict[str, Bools]:
    """For each wait the runs in which a piece that decides was held up by it, and by no longer one."""
    found = {name: np.zeros(draws.hours.shape[1], dtype=bool) for name in plan.waits}
    for row, name in enumerate(draws.order):
        own = _own_wait(plan, draws, name)
        for wait in plan.work[name].waits_for:
            found[wait] |= held[row] & (draws.waits[wait] >= own)
    return found


def _all_hours(plan: Plan, draws: _Draws, clock: _Clock) -> _Reckoned:
    """From every wait on, all hours that cannot be put in before: the one that ends last decides."""
    rows = {name: row for row, name in enumerate(draws.order)}
    own = np.array([clock.place(_own_wait(plan, draws, name)) for name in draws.order]).reshape(draws.hours.shape)
    opens = own.copy()
    for name, row in rows.items():
        for other in plan.work[name].after:
            opens[row] = np.maximum(opens[row], opens[rows[other]])
    last_first = np.argsort(-opens, axis=0, kind="stable")
    sorted_opens = np.take_along_axis(opens, last_first, axis=0)
    work = np.cumsum(np.take_along_axis(draws.hours, last_first, axis=0), axis=0)
    shown = np.array([clock.at(clock.put_in, place) for place in sorted_opens]).reshape(work.shape) + work
    through = shown.max(axis=0, initial=0.0)
    deciding = np.zeros(draws.hours.shape[1], dtype=np.intp)
    if rows:
        deciding = np.take_along_axis(sorted_opens, shown.argmax(axis=0)[None, :], axis=0)[0]
    held = (own == deciding) & (deciding > 0)
    return _Reckoned(clock.day_of(clock.put_in, through), opens >= deciding, _held_by(plan, draws, held))


def _returned(plan: Plan, draws: _Draws, chain: _Reckoned, hands: _Reckoned) -> ReturnDate:
    """Put work and waits together: the later decides, and where both end on one day both do."""
    runs = draws.hours.shape[1]
    work = np.maximum(chain.day, hands.day)
    now = [draws.waits[name] for name, wait in plan.waits.items() if not wait.after_work]
    afterwards = [draws.waits[name] for name, wait in plan.waits.items() if wait.after_work]
    waited = np.maximum.reduce(now) if now else np.zeros(runs)
    tail = np.maximum.reduce(afterwards) if afterwards else np.zeros(runs)
    unsaid = draws.unsaid.any(axis=0)
    days = np.ceil(np.where(unsaid, np.inf, np.maximum(work, waited) + tail))
    said, by_work = ~unsaid, work >= waited
    by_chain, by_hands = said & by_work & (chain.day >= hands.day), said & by_work & (hands.day >= chain.day)
    decides = (chain.critical & by_chain) | (hands.critical & by_hands) | draws.unsaid
    critical = {name: float(decides[row].mean()) for row, name in enumerate(draws.order)}
    for name, wait in plan.waits.items():
        own = draws.waits[name]
        if wait.after_work:
            holds = said & (own > 0) & (own >= tail)
        else:
            held = (chain.held_by[name] & by_chain) | (hands.held_by[name] & by_hands)
            holds = held | (said & (own > 0) & (own >= waited) & (waited >= work))
        critical[name] = float(holds.mean())
    short = said & by_work & (hands.day > chain.day)
    return ReturnDate(np.sort(days), critical, float(short.mean()), plan.missing)
