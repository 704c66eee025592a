"""Base rates learned from closed fault sheets, without the bias of where members looked.

A cause that was confirmed is one that was looked for, and members look where a cause is suspected: confirmed over
looked-at is far above the rate. So every sheet counts, for every cause, with what the whole sheet says of it against
what its complaint alone had said before anybody looked. Where the rates are right the two agree on average, wherever
members look; what is left over is what the sheets teach.
"""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from enum import StrEnum
from math import fsum, isfinite

from restorations.calc.diagnosis.errors import ImpossibleEvidence, InvalidHistory, TooEntangled
from restorations.calc.diagnosis.history import Event, Inspected
from restorations.calc.diagnosis.model import CausalModel
from restorations.calc.diagnosis.posterior import posterior
from restorations.calc.errors import OutOfRange

__all__ = [
    "ClosedSheet",
    "Confirmation",
    "GatheredEvidence",
    "LearnedRate",
    "SheetEvidence",
    "evidence_of_sheet",
    "evidence_of_sheets",
    "learned_rates",
    "rate_in_words",
]

STRENGTH = 20.0  # sheets that the rate started from is worth
MOST_RATE = 0.95  # the sums have no top where complaints hardly allow a cause that is found again and again


class Confirmation(StrEnum):
    """How a cause was confirmed when the sheet was closed."""

    SEEN = "seen"
    CURED = "cured"  # cured, and proved by the complaint's findings gone
    INFERRED = "inferred"


# Sensitivity and false alarm rate of the inspection that a confirmation counts as; what was inferred is no evidence.
_COUNTS_AS = {Confirmation.SEEN: (0.98, 0.005), Confirmation.CURED: (0.9, 0.05)}


@dataclass(frozen=True, slots=True)
class SheetEvidence:
    """What one closed sheet says of the causes its engine can have.

    Attributes
    ----------
    at_start : mapping of str to float - P(there at the start | everything on the sheet), 0..1.
    complaint_alone : mapping of str to float - P(there | the complaint alone), 0..1; the same causes.

    Summed over the places of a rate, both are expected numbers and may exceed 1. InvalidHistory where the two do not
    name the same causes, OutOfRange where a number is below 0.
    """

    at_start: Mapping[str, float]
    complaint_alone: Mapping[str, float]

    def __post_init__(self) -> None:
        if odd := self.at_start.keys() ^ self.complaint_alone.keys():
            raise InvalidHistory(f"A sheet must weigh {min(odd)!r} twice: by its complaint alone, and in all.")
        for cause, expected in [*self.at_start.items(), *self.complaint_alone.items()]:
            if not (isfinite(expected) and expected >= 0.0):
                raise OutOfRange(cause, expected, 0.0, None)

    def by_rate(self, rate_of: Mapping[str, str]) -> "SheetEvidence":
        """Add up the places (sides, ends, axles) that share one rate.

        Parameters
        ----------
        rate_of : mapping of str to str - name of the rate of each cause; causes it does not name are left out.

        Returns
        -------
        SheetEvidence - by name of the rate.
        """
        return SheetEvidence(_summed(self.at_start, rate_of), _summed(self.complaint_alone, rate_of))


@dataclass(frozen=True, slots=True)
class LearnedRate:
    """A base rate after the club's sheets, and what it was made of.

    Attributes
    ----------
    shipped : float - the rate started from, 0..1.
    expected_from_complaints : float - how many times the complaints alone made the cause likely.
    found : float - how many times it was there, as far as the whole sheets tell.
    sheets : int - sheets of engines that can have the cause.
    rate : float - the new rate, 0..1.
    """

    shipped: float
    expected_from_complaints: float
    found: float
    sheets: int
    rate: float


@dataclass(frozen=True, slots=True)
class ClosedSheet:
    """A closed sheet as `evidence_of_sheet` takes it: see there."""

    model: CausalModel
    history: Sequence[Event]
    complaint: Sequence[Event]
    confirmed: Mapping[str, Confirmation]


@dataclass(frozen=True, slots=True)
class GatheredEvidence:
    """Evidence of many sheets by name of the sheet, and why those that cannot be used were left out, in words."""

    by_sheet: Mapping[str, SheetEvidence]
    left_out: Mapping[str, str]


def evidence_of_sheet(
    model: CausalModel, history: Sequence[Event], complaint: Sequence[Event], confirmed: Mapping[str, Confirmation]
) -> SheetEvidence:
    """Work out what a closed sheet says of every cause.

    A confirmed cause enters as an inspection of the engine as it was at the start, before any remedy: seen with
    sensitivity 0.98 and false alarm 0.005, cured and proved with 0.9 and 0.05; inferred adds nothing to what it was
    inferred from.

    Parameters
    ----------
    model : CausalModel - with the rates that the learning starts from, never with those it leads to.
    history : sequence of Observed, Inspected, Remedied - everything on the sheet, in the order in which it happened.
    complaint : sequence of Observed, Inspected, Remedied - those of `history` that stood on the sheet when it was
        opened; none where the engine came without a complaint.
    confirmed : mapping of str to Confirmation - causes confirmed on closing, the complaint's or found by the way.

    Returns
    -------
    SheetEvidence

    Raises
    ------
    InvalidHistory
        An event or a confirmed cause does not fit the model, or the complaint is not part of the history.
    ImpossibleEvidence, TooEntangled
        As `posterior`.

    Examples
    --------
    A stiff engine whose piston was seen to be gummed. Odds of the complaint alone 0.2 x 0.8 to 0.8 x 0.1, that is 2;
    of the whole sheet 2 x 0.98 / 0.005 = 392 (by hand).

    >>> from restorations.calc.diagnosis.history import Observed
    >>> model = CausalModel.from_mapping(
    ...     {"causes": {"gum": 0.2}, "findings": {"stiff": {"leak": [0.1], "links": {"gum": [7 / 9]}}}})
    >>> stiff = [Observed("stiff", 1)]
    >>> evidence = evidence_of_sheet(model, stiff, stiff, {"gum": Confirmation.SEEN})
    >>> round(evidence.complaint_alone["gum"], 9), round(evidence.at_start["gum"], 9)  # 2 / 3, 392 / 393
    (0.666666667, 0.997455471)
    """
    strange = [event for event in complaint if event not in history]
    if strange:
        raise InvalidHistory(f"The complaint has {strange[0]}, which is not on the sheet.")
    return SheetEvidence(
        at_start=posterior(model, [*_inspections(confirmed), *history]).at_start,
        complaint_alone=posterior(model, complaint).at_start,
    )


def evidence_of_sheets(sheets: Mapping[str, ClosedSheet]) -> GatheredEvidence:
    """Work out what many sheets say; one that cannot be used is left out and named, and stops none of the others.

    Parameters
    ----------
    sheets : mapping of str to ClosedSheet - by a name that tells the sheet.

    Returns
    -------
    GatheredEvidence - with the reason, in words, for each sheet that is too entangled, contradicts itself or speaks of
        what the model no longer has.
    """
    found, left_out = {}, {}
    for name, sheet in sheets.items():
        try:
            found[name] = evidence_of_sheet(sheet.model, sheet.history, sheet.complaint, sheet.confirmed)
        except (ImpossibleEvidence, InvalidHistory, TooEntangled) as error:
            left_out[name] = str(error)
    return GatheredEvidence(found, left_out)


def learned_rates(
    shipped: Mapping[str, float], sheets: Iterable[SheetEvidence], *, strength: float = STRENGTH
) -> dict[str, LearnedRate]:
    """Learn base rates from the closed sheets of engines of one history class.

    With O the sum over the sheets of P(there at the start | everything on the sheet), E that of P(there | the complaint
    alone) and p0 the rate started from, the new rate is (strength p0 + O) / (strength + E / p0): the mean of a
    Beta-binomial whose trials are counted as what the complaints already explained. Where the complaints say nothing,
    E / p0 is the number of sheets. What a sheet leaves in doubt stays at the rate started from, so the new rate keeps
    to the side of the old one however many sheets there are. The sums are rounded once, so that the order of the sheets
    does not matter to the last bit.

    For sister engines call it again: `shipped` the rates learned from everybody else's sheets, the evidence of the
    sisters' sheets worked out anew with a model of those rates.

    Parameters
    ----------
    shipped : mapping of str to float - the rate started from of every cause wanted, above 0 and below 1.
    sheets : iterable of SheetEvidence - the sheets that count, by the same names (`SheetEvidence.by_rate`), worked out
        with the rates of `shipped`. A sheet that does not name a cause is of an engine that cannot have it.
    strength : float - how many sheets the rate started from is worth, above 0.

    Returns
    -------
    dict of str to LearnedRate - for every cause of `shipped`; no rate is above 0.95.

    Raises
    ------
    OutOfRange
        A rate of `shipped`, named by its cause, or the strength is outside its range.

    References
    ----------
    Beta-binomial: Skellam 1948 (RECALLED); shrinkage: Efron & Morris 1975.

    Examples
    --------
    Fourteen sheets that made 1.3 likely, three found: (20 x 0.05 + 3) / (20 + 1.3 / 0.05) = 4 / 46, by hand.

    >>> sheets = [SheetEvidence({"gum": float(n < 3)}, {"gum": 1.3 / 14}) for n in range(14)]
    >>> learned = learned_rates({"gum": 0.05}, sheets)["gum"]
    >>> round(learned.rate, 9)
    0.086956522
    >>> rate_in_words(learned)
    'base rate 5 %; in 14 sheets the complaints alone made 1.3 likely, 3.0 were found → 9 %'
    """
    if not (isfinite(strength) and strength > 0.0):
        raise OutOfRange("strength", strength, 0.0, None, "sheets")
    every = list(sheets)
    return {cause: _learned(cause, start, every, strength) for cause, start in shipped.items()}


def rate_in_words(learned: LearnedRate, start: str = "base rate") -> str:
    """Say what a learned rate was made of.

    Parameters
    ----------
    learned : LearnedRate
    start : str - what the rate started from is called: "base rate", for a sister engine "the club's rate".

    Returns
    -------
    str - "base rate 5 %; in 14 sheets the complaints alone made 1.3 likely, 3.0 were found → 9 %"
    """
    started = f"{start} {_per_cent(learned.shipped)}"
    if not learned.sheets:
        return f"{started}; no closed sheet speaks of it yet"
    sheets = "1 sheet the complaint" if learned.sheets == 1 else f"{learned.sheets} sheets the complaints"
    return (
        f"{started}; in {sheets} alone made {learned.expected_from_complaints:.1f} likely, "
        f"{learned.found:.1f} were found → {_per_cent(learned.rate)}"
    )


def _inspections(confirmed: Mapping[str, Confirmation]) -> list[Event]:
    # Sorted, so that a sheet gives the same to the last bit however its confirmed causes were kept.
    counted = [(cause, _counts_as(cause, how)) for cause, how in sorted(confirmed.items())]
    return [Inspected(cause, True, *rates) for cause, rates in counted if rates]


def _counts_as(cause: str, how: Confirmation) -> tuple[float, float] | None:
    if how not in tuple(Confirmation):
        raise InvalidHistory(f"{cause!r} was confirmed as {how!r}; expected one of {', '.join(Confirmation)}.")
    return _COUNTS_AS.get(how)


def _summed(by_cause: Mapping[str, float], rate_of: Mapping[str, str]) -> dict[str, float]:
    places: dict[str, list[float]] = {}
    for cause, expected in by_cause.items():
        if cause in rate_of:
            places.setdefault(rate_of[cause], []).append(expected)
    return {rate: fsum(values) for rate, values in places.items()}


def _learned(cause: str, start: float, sheets: list[SheetEvidence], strength: float) -> LearnedRate:
    if not 0.0 < start < 1.0:
        raise OutOfRange(cause, start, 0.0, 1.0)
    speaking = [sheet for sheet in sheets if cause in sheet.complaint_alone]
    expected = fsum(sheet.complaint_alone[cause] for sheet in speaking)
    found = fsum(sheet.at_start[cause] for sheet in speaking)
    rate = (strength * start + found) / (strength + expected / start)
    return LearnedRate(start, expected, found, len(speaking), min(rate, max(start, MOST_RATE)))


def _per_cent(share: float) -> str:
    if share < 0.0001:
        return "under 0.01 %"
    return f"{100.0 * share:.0f} %" if share >= 0.05 else f"{100.0 * share:.2g} %"
