"""Errors every calculation may raise; their words are meant for the member at the bench."""


class CalculationError(Exception):
    """Base of all errors of `calc`: the input is wrong, or the question has no answer."""


class OutOfRange(CalculationError):
    """A number lies outside the range for which the formula holds.

    Parameters
    ----------
    name : str
        Argument that is out of range; forms show the message beside the field of this name.
    value : float
        What was given [unit].
    low, high : float
        Least and greatest value allowed [unit]; None where there is no such limit.
    unit : str
        Unit of the three numbers, empty for a plain number.
    """

    def __init__(self, name: str, value: float, low: float | None, high: float | None, unit: str = "") -> None:
        self.name, self.value, self.low, self.high, self.unit = name, value, low, high, unit
        super().__init__(f"{name} is {_spoken(value, unit)}; it must be {self._limits()}.")

    def _limits(self) -> str:
        if self.low is not None and self.high is not None:
            return f"between {_spoken(self.low, self.unit)} and {_spoken(self.high, self.unit)}"
        if self.low is not None:
            return f"{_spoken(self.low, self.unit)} or more"
        if self.high is not None:
            return f"{_spoken(self.high, self.unit)} or less"
        return "an ordinary number"


class ImpossibleGeometry(CalculationError):
    """The dimensions given cannot be put together, e.g. a rod too short to reach."""


def _spoken(value: float, unit: str) -> str:
    return f"{value:.6g} {unit}".rstrip()
