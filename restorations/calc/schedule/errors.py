"""Errors of planning: each names the offender and what was expected."""

from restorations.calc.errors import CalculationError, OutOfRange


class InvalidPlan(CalculationError):
    """Work that cannot be put in order: it waits for itself, or for something that is not in the plan.

    Parameters
    ----------
    message : str
        What is wrong, in words.
    chain : tuple of str
        Names concerned, each waiting for the one before it; for a circle the first name stands at the end again.
    """

    def __init__(self, message: str, chain: tuple[str, ...] = ()) -> None:
        self.chain = chain
        super().__init__(message)


class EndsBeforeItBegins(OutOfRange):
    """An interval that ends before it begins; `name` is the argument, the words show the interval itself.

    Parameters
    ----------
    name : str
        Argument it stands in.
    which : str
        The interval in words, "interval 2" or "the period".
    start, end : object
        Its two ends, as given.
    days : float
        End less start [days], negative.
    """

    def __init__(self, name: str, which: str, start: object, end: object, days: float) -> None:
        super().__init__(name, days, 0.0, None, "days")
        self.args = (f"{name}: {which} ends on {end}, before it began on {start}; it must end on that day or later.",)
