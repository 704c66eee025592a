"""Why a cause is suspected: what each event did to the odds that it was there from the start."""

from collections.abc import Collection, Sequence
from dataclasses import replace
from weakref import WeakKeyDictionary

import numpy as np

from restorations.calc.diagnosis.errors import InvalidHistory
from restorations.calc.diagnosis.history import Event, Observed, Remedied, check_history
from restorations.calc.diagnosis.model import CausalModel, Floats
from restorations.calc.diagnosis.posterior import posterior

Weights = list[tuple[Event, float]]

MOST_KEPT = 1000  # beginnings of histories of one model, a few kilobytes each; they go when the model goes
_KEPT: WeakKeyDictionary[CausalModel, dict[tuple[Event, ...], Floats]] = WeakKeyDictionary()


def weights_of_evidence(
    model: CausalModel, history: Sequence[Event], causes: Collection[str] | None = None
) -> dict[str, Weights]:
    """Weigh every event for every cause: the change it made to the log-odds of the cause at the start.

    Chain rule over the beginnings of the history, so the weights of a cause add up to the change from its prior.
    A remedy weighs nothing; what is seen after it does. An event may take back what an earlier one gave.

    Parameters
    ----------
    model : CausalModel
    history : sequence of Observed, Inspected, Remedied - in the order in which they happened.
    causes : collection of str - names in the model of those that are wanted; all where none is given.

    Returns
    -------
    dict of str to list of (event, float) - for each cause every event with its weight [decibans, 10 = tenfold odds];
        infinite where the event settles the matter, 0 from then on.

    Raises
    ------
    InvalidHistory, ImpossibleEvidence, TooEntangled - as `posterior`; InvalidHistory also for an unknown cause.

    References
    ----------
    Weight of evidence in decibans: Good 1950 (RECALLED).

    Examples
    --------
    One cause, no leak: the absent finding multiplies the odds by 1 - 0.9, that is 10 decibans against (by hand).

    >>> from restorations.calc.diagnosis.history import Observed
    >>> model = CausalModel.from_mapping(
    ...     {"causes": {"gum": 0.2}, "findings": {"stiff": {"leak": [0.0], "links": {"gum": [0.9]}}}})
    >>> [(event.finding, round(w, 9)) for event, w in weights_of_evidence(model, [Observed("stiff", 0)])["gum"]]
    [('stiff', -10.0)]
    """
    for cause in causes or ():
        _check_cause(model, cause)
    events = check_history(model, history)
    before = _log_odds(model.prior, 1.0 - model.prior)
    hashable = tuple(map(_hashable, events))
    weights = []
    for count, event in enumerate(events, start=1):
        after = before if isinstance(event, Remedied) else _log_odds_after(model, hashable[:count])
        weights.append(_change(before, after))
        before = after
    wanted = {cause: model.cause_index[cause] for cause in (model.causes if causes is None else causes)}
    return {
        cause: [(event, float(weight[number])) for event, weight in zip(events, weights, strict=True)]
        for cause, number in wanted.items()
    }


def weight_of_evidence(model: CausalModel, history: Sequence[Event], cause: str) -> Weights:
    """Weigh every event for one cause; see `weights_of_evidence`, which costs the same for all causes.

    Parameters
    ----------
    model : CausalModel
    history : sequence of Observed, Inspected, Remedied - in the order in which they happened.
    cause : str - name in the model.

    Returns
    -------
    list of (event, float) - every event with its weight [decibans].

    Raises
    ------
    InvalidHistory, ImpossibleEvidence, TooEntangled - as `posterior`; InvalidHistory also for an unknown cause.
    """
    return weights_of_evidence(model, history, [cause])[cause]


def _check_cause(model: CausalModel, cause: str) -> None:
    if cause not in model.cause_index:
        raise InvalidHistory(f"{cause!r} is not a cause of this model.")


def _log_odds_after(model: CausalModel, events: tuple[Event, ...]) -> Floats:
    """Log-odds at the start after these events. Kept: the beginnings of a history stay what they were as it grows."""
    kept = _KEPT.setdefault(model, {})
    known = kept.get(events)
    if known is None:
        seen_so_far = posterior(model, events)
        known = _log_odds(seen_so_far.at_start_array, seen_so_far.absent_array)
        if len(kept) >= MOST_KEPT:
            kept.clear()
        kept[events] = known
    return known


def _hashable(event: Event) -> Event:
    return replace(event, inactive=frozenset(event.inactive)) if isinstance(event, Observed) else event


def _log_odds(present: Floats, absent: Floats) -> Floats:
    """Log-odds in decibans from both probabilities, so that neither end saturates."""
    with np.errstate(divide="ignore"):
        odds: Floats = 10.0 * (np.log10(present) - np.log10(absent))
    return odds


def _change(before: Floats, after: Floats) -> Floats:
    change = np.zeros_like(before)
    moved = before != after  # a settled cause stays settled: infinity less infinity is no change
    change[moved] = after[moved] - before[moved]
    return change
