"""What could come next on one engine: the steps that bear on what is possible enough, and more where these run out."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace

from restorations.calc import diagnosis
from restorations.knowledge.engine import EngineKnowledge
from restorations.knowledge.expansion import UNLISTED
from restorations.knowledge.facts import EngineFacts
from restorations.knowledge.options import options_of
from restorations.knowledge.prices import Prices


@dataclass(frozen=True, slots=True)
class Reach:
    """Which causes are weighed: those at least so probable, and at most so many of them."""

    least: float
    most: int

    def of(self, listed: frozenset[str], now: Mapping[str, float]) -> frozenset[str]:
        """Return the most probable of these causes within reach."""
        ranked = sorted(listed, key=lambda cause: (-now[cause], cause))
        return frozenset(cause for cause in ranked[: self.most] if now[cause] >= self.least)


# Weighing every step there is would keep whoever records a line waiting for a second.
USUAL = Reach(least=0.003, most=60)
# Before an engine is given away, what is hardly possible is weighed too.
LAST = Reach(least=0.0005, most=80)
# The numbers of the knowledge may be out, and nothing follows giving away: it must be right at twice its price.
CAUTION = 2.0


def look_ahead(
    engine: EngineKnowledge,
    known: diagnosis.Posterior,
    facts: EngineFacts,
    complaint: tuple[str, ...],
    prices: Prices | None = None,
    **drawing: int,
) -> diagnosis.Outlook:
    """Rank what could come next and say how much work is left.

    Where that would be to hand the engine over, what was hardly possible is weighed too, an examination may be made a
    second time (somebody may have overlooked what was there), and handing over is priced higher. `drawing` is passed
    on: samples, n, seed.
    """
    listed = engine.explaining(complaint) - {UNLISTED}
    options = options_of(engine, facts, complaint, prices, USUAL.of(listed, known.now))
    ahead = diagnosis.outlook(known, options, **drawing)
    if not ahead.advice or not isinstance(ahead.advice[0].step, diagnosis.HandOver):
        return ahead
    more = options_of(engine, facts, complaint, prices, LAST.of(listed, known.now))
    price = CAUTION * more.hand_over_minutes
    return diagnosis.outlook(known, replace(more, examine_again=True, hand_over_minutes=price), **drawing)
