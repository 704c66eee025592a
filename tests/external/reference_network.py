"""The same question put to a general-purpose library: a diagnosis written out as an ordinary Bayesian network.

pyAgrum 3.3.1 (LGPL or MIT). Its `addNoisyORNet` is the net form; `addNoisyOR` would be the compound one.
"""

import math
import warnings
from collections.abc import Sequence
from itertools import product
from typing import Any

from restorations.calc.diagnosis import Observed

with warnings.catch_warnings():
    warnings.simplefilter("ignore")  # its import warns, and a warning raised as an error inside it ends the process
    import pyagrum as gum

Answer = tuple[dict[str, float], float]  # P(present) of each cause, natural log of the evidence


def noisy_or_network(model: dict[str, Any]) -> gum.BayesNet:
    """A model of two-level findings, with the library's own noisy-OR nodes."""
    net = gum.BayesNet()
    for cause, prior in model["causes"].items():
        net.add(gum.RangeVariable(cause, cause, 0, 1))
        net.cpt(cause).fillWith([1.0 - prior, prior])
    for name, finding in model["findings"].items():
        net.addNoisyORNet(gum.RangeVariable(name, name, 0, 1), finding["leak"][0])
        for cause, strength in finding["links"].items():
            net.addWeightedArc(cause, name, strength[0])
    return net


def draw_by_draw_network(model: dict[str, Any], looks: Sequence[Observed]) -> gum.BayesNet:
    """Graded findings, each looked at any number of times in one draw.

    Every link is a node of its own, the contribution of its cause; every look is the greatest active contribution.
    """
    net = gum.BayesNet()
    for cause, prior in model["causes"].items():
        net.add(gum.RangeVariable(cause, cause, 0, 1))
        net.cpt(cause).fillWith([1.0 - prior, prior])
    for name, finding in model["findings"].items():
        top = len(finding["leak"])
        _add_contribution(net, f"{name}<-leak", None, finding["leak"])
        for cause, strengths in finding["links"].items():
            _add_contribution(net, f"{name}<-{cause}", cause, strengths)
        for number, look in enumerate(looks):
            if look.finding == name:
                active = ["leak", *(c for c in finding["links"] if c not in look.inactive)]
                _add_greatest(net, f"look{number}", [f"{name}<-{row}" for row in active], top)
    return net


def answer(net: gum.BayesNet, causes: Sequence[str], evidence: dict[str, int]) -> Answer:
    """Posterior of the causes and log-evidence by the library's exact inference."""
    inference = gum.LazyPropagation(net)
    inference.setEvidence(evidence)
    inference.setTargets(set(causes))
    inference.makeInference()
    present = {cause: float(inference.posterior(cause)[1]) for cause in causes}
    return present, math.log(inference.evidenceProbability())


def _add_contribution(net: gum.BayesNet, name: str, cause: str | None, exceed: Sequence[float]) -> None:
    edges = [1.0, *exceed, 0.0]
    exactly = [edges[k] - edges[k + 1] for k in range(len(edges) - 1)]
    net.add(gum.RangeVariable(name, name, 0, len(exceed)))
    if cause is None:
        net.cpt(name).fillWith(exactly)
        return
    net.addArc(cause, name)
    net.cpt(name)[{cause: 0}] = [1.0, *[0.0] * len(exceed)]
    net.cpt(name)[{cause: 1}] = exactly


def _add_greatest(net: gum.BayesNet, name: str, rows: Sequence[str], top: int) -> None:
    """Chain the greatest of two at a time, so that no table has more than two parents."""
    so_far = rows[0]
    for number, row in enumerate([*rows[1:], None]):
        node = name if row is None else f"{name}:{number}"
        net.add(gum.RangeVariable(node, node, 0, top))
        parents = [so_far] if row is None else [so_far, row]
        for parent in parents:
            net.addArc(parent, node)
        for levels in product(range(top + 1), repeat=len(parents)):
            shown = [float(k == max(levels)) for k in range(top + 1)]
            net.cpt(node)[dict(zip(parents, levels, strict=True))] = shown
        so_far = node
