"""What to do next: every look, examination and remedy on offer, ranked by the minutes it leaves to the finish."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from restorations.calc.diagnosis.belief import Belief
from restorations.calc.diagnosis.history import Event, Observed, check_history
from restorations.calc.diagnosis.look_ahead import Prospect, prospects
from restorations.calc.diagnosis.model import CausalModel
from restorations.calc.diagnosis.options import InvalidOptions, Options, Step
from restorations.calc.diagnosis.problem import Problem, pose
from restorations.calc.diagnosis.worlds import believe


@dataclass(frozen=True, slots=True)
class SetUp:
    """What must be done to the parts before a step.

    Attributes
    ----------
    take_off, refit : frozenset of part names
    minutes : float - attended minutes of both [min]
    """

    take_off: frozenset[str]
    refit: frozenset[str]
    minutes: float


@dataclass(frozen=True, slots=True)
class Outcome:
    """What a check or the function test may show.

    Attributes
    ----------
    level : int - a look's level; for an examination 1 found, 0 not found; for the test 1 still there, 0 gone
    probability : float - chance of it, as things are known now
    minutes_to_finish : float - expected minutes from then on [min]
    """

    level: int
    probability: float
    minutes_to_finish: float


@dataclass(frozen=True, slots=True)
class Advice:
    """One step that could come next.

    Attributes
    ----------
    step : Look, Examination, Remedy, FunctionTest or HandOver
    minutes_to_finish : float - expected minutes until the complaint is gone if this comes next: set-up, the step,
        waiting and risk at their prices, and what follows [min]
    saves : float - how much less that is than the plain repair plan [min]; negative when the step does not pay
    set_up : SetUp - as the parts stand now
    gate : str - who must say yes, or what must be so first; empty when nothing stands in the way
    outcomes : tuple of Outcome - of a look, an examination or the test; empty for a remedy and for handing over
    """

    step: Step
    minutes_to_finish: float
    saves: float
    set_up: SetUp
    gate: str
    outcomes: tuple[Outcome, ...]


def advise(
    model: CausalModel,
    history: Sequence[Event],
    options: Options,
    *,
    depth: int = 1,
    samples: int = 4000,
    seed: int = 0,
) -> tuple[Advice, ...]:
    """Rank what could be done next by the expected minutes to the finish, best first.

    The finish is the complaint's findings at level 0 with everything fitted. Minutes of a check = its own cost + what
    the repair plan costs after each outcome, weighed by the outcome's chance; minutes of a remedy = the repair plan
    that begins with it. The repair plan does the remedies in the order of chance per minute, set-up counted once, with
    a function test where it pays, and hands over at its end. Cost of a step = attended minutes + parts to take off and
    to refit + waiting and risk at their prices. `depth` 2 looks one step further before falling back on the plan.

    A step with a gate stands where its minutes put it, its gate beside it: the gate is never traded against minutes,
    and no step is left out for having one. So the first entry may need somebody's yes; the first entry whose `gate` is
    empty is the best that may be done without asking. A page shows both.

    Left out are looks whose outcome is certain (made already in this state, for one), examinations made already, a test
    that is bound to fail, and remedies that could not cure anything at work or are not among the 20 with most chance
    per minute. When the complaint was last seen gone with everything able to act, nothing is advised.

    Parameters
    ----------
    model : CausalModel
    history : sequence of events, oldest first
    options : Options
    depth : int - steps looked ahead, >= 1; above 1 for small models only
    samples : int - possible worlds drawn when there are too many to list, >= 1
    seed : int - of the draws, >= 0

    Returns
    -------
    tuple of Advice - minutes [min]

    Raises
    ------
    InvalidOptions - a step, the complaint or a number is not lawful; says which
    InvalidHistory, ImpossibleEvidence, TooEntangled - as `posterior`

    References
    ----------
    Chance per cost: Heckerman, Breese & Rommelse 1995; when to test: Ottosen & Jensen 2010.
    """
    options.check(model)
    check_history(model, history)
    for label, value, least in (("depth", depth, 1), ("samples", samples, 1), ("seed", seed, 0)):
        at_least(label, value, least)
    if is_gone(history, options):
        return ()
    belief = believe(model, history, options, samples, seed)
    return ranked_steps(pose(belief, options), belief, depth)


def ranked_steps(problem: Problem, belief: Belief, depth: int) -> tuple[Advice, ...]:
    """The steps of a problem, best first, as `advise` ranks them."""
    found = prospects(problem, belief, problem.options.off, depth)
    ranked = sorted(found.steps, key=lambda prospect: (round(prospect.minutes, 9), prospect.step.name))
    return tuple(_advice(problem, prospect, found.plan) for prospect in ranked)


def at_least(label: str, value: int, least: int) -> None:
    """Raise `InvalidOptions` for a number below the least that is lawful."""
    if value < least:
        raise InvalidOptions(f"{label} is {value!r}; a whole number of {least} or more was expected")


def is_gone(history: Sequence[Event], options: Options) -> bool:
    """Whether every finding of the complaint was at level 0 when last seen with all able to act that the test lets."""
    last = {event.finding: event for event in history if isinstance(event, Observed)}
    return all(
        (seen := last.get(finding)) is not None
        and seen.level == 0
        and seen.inactive <= options.test_inactive.get(finding, frozenset())
        for finding in options.complaint
    )


def _advice(problem: Problem, prospect: Prospect, plan: float) -> Advice:
    step, off = prospect.step, problem.options.off
    take_off, refit = problem.set_up(step, off)
    return Advice(
        step=step,
        minutes_to_finish=prospect.minutes,
        saves=plan - prospect.minutes,
        set_up=SetUp(take_off, refit, problem.set_up_minutes(step, off)),
        gate=step.gate,
        outcomes=tuple(Outcome(*outcome) for outcome in prospect.outcomes),
    )
