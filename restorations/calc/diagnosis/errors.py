"""Errors of the diagnosis: each names the offender and what was expected."""

from collections.abc import Sequence

from restorations.calc.errors import CalculationError


class InvalidModel(CalculationError):
    """The causal model is not lawful; the message names cause or finding."""


class InvalidHistory(CalculationError):
    """An event does not fit the model; the message names the event."""


class ImpossibleEvidence(CalculationError):
    """No combination of causes can have given these events together.

    Parameters
    ----------
    events : sequence
        The events that contradict each other; leaving any one out removes the contradiction.
    """

    def __init__(self, events: Sequence[object]) -> None:
        self.events = tuple(events)
        listed = "; ".join(str(event) for event in self.events)
        super().__init__(
            f"These cannot all be true under this model: {listed}. "
            "Strike out the one that is doubtful, or record it as a fresh look."
        )


class TooEntangled(CalculationError):
    """Exact answer refused before it is begun, because it would take too long.

    Parameters
    ----------
    predicted_seconds, allowed_seconds : float
        Predicted and permitted duration of one posterior [s].
    """

    def __init__(self, predicted_seconds: float, allowed_seconds: float) -> None:
        self.predicted_seconds, self.allowed_seconds = predicted_seconds, allowed_seconds
        super().__init__(
            f"The findings are too entangled: an exact answer would take about {predicted_seconds:.2g} s, "
            f"{allowed_seconds:.2g} s is allowed. Inspect one of the suspects, or answer fewer findings."
        )
