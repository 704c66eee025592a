"""The causal model: independent causes, graded findings, noisy-MAX links in the net form."""

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from itertools import pairwise
from typing import Any, NoReturn, Self

import numpy as np
from numpy.typing import NDArray

from restorations.calc.diagnosis.errors import InvalidModel

Floats = NDArray[np.float64]
Ints = NDArray[np.integer[Any]]
Bools = NDArray[np.bool_]


@dataclass(frozen=True, slots=True, eq=False)
class RowTable:
    """All findings as padded arrays. Row 0 is the leak, rows 1.. the linked causes, padding rows never act.

    causes : (findings, rows) cause number of each row; leak and padding carry the number of causes.
    below : (findings, rows, levels) P(contribution of this row <= level); 1 from the finding's top level on.
    fire : (findings, rows, levels) P(contribution = level | contribution <= level), 0 where that is undefined.
    """

    causes: Ints
    below: Floats
    fire: Floats

    @property
    def top(self) -> int:
        """Level that no finding exceeds."""
        return int(self.below.shape[2]) - 1


@dataclass(frozen=True, slots=True, eq=False, weakref_slot=True)
class CausalModel:
    """Causes with prior probabilities, findings with leaks and links.

    P(F <= k | causes present) = (1 - leak_{>k}) * product over causes present of (1 - strength_{c,>k}).

    Attributes
    ----------
    causes, findings : tuple of str - names, in the order of the arrays.
    prior : ndarray of shape (causes,) - P(present at the start), 0..1.
    leaks : one ndarray of shape (levels - 1,) for each finding - P(level > k) with no cause present.
    parents : one ndarray of cause numbers for each finding, ascending.
    strengths : one ndarray of shape (parents, levels - 1) for each finding - P(level > k) from that cause alone.

    References
    ----------
    Net form: Zagorecki & Druzdzel 2004; noisy-MAX: Takikawa & D'Ambrosio 1999.
    """

    causes: tuple[str, ...]
    prior: Floats
    findings: tuple[str, ...]
    leaks: tuple[Floats, ...]
    parents: tuple[Ints, ...]
    strengths: tuple[Floats, ...]
    cause_index: dict[str, int] = field(repr=False)
    finding_index: dict[str, int] = field(repr=False)
    rows: RowTable = field(repr=False)

    @classmethod
    def from_mapping(cls, mapping: Mapping[str, Any]) -> Self:
        """Read and check a model once.

        Parameters
        ----------
        mapping : mapping
            `{"causes": {name: prior}, "findings": {name: {"leak": [..], "links": {cause: [..]}}}}`; leak and
            strengths are P(level > 0), P(level > 1), ..., all of one length, never rising, within 0..1.

        Returns
        -------
        CausalModel

        Raises
        ------
        InvalidModel
            Names the cause, finding or link that is wrong, and what was expected.

        Examples
        --------
        >>> model = CausalModel.from_mapping(
        ...     {"causes": {"gum": 0.2}, "findings": {"stiff": {"leak": [0.02], "links": {"gum": [0.8]}}}})
        >>> model.levels("stiff")
        2
        """
        _check_keys("the model", mapping, {"causes", "findings"})
        causes = _mapping("causes", mapping["causes"])
        prior = np.array([_probability(f"prior of cause {name!r}", p) for name, p in causes.items()])
        names = {_name("cause", name): number for number, name in enumerate(causes)}
        findings = _mapping("findings", mapping["findings"])
        read = [_finding(_name("finding", name), entry, names) for name, entry in findings.items()]
        leaks, parents, strengths = (tuple(part) for part in zip(*read, strict=True)) if read else ((), (), ())
        for array in (prior, *leaks, *parents, *strengths):
            array.flags.writeable = False
        return cls(
            causes=tuple(causes),
            prior=prior,
            findings=tuple(findings),
            leaks=leaks,
            parents=parents,
            strengths=strengths,
            cause_index=names,
            finding_index={name: number for number, name in enumerate(findings)},
            rows=_row_table(len(names), leaks, parents, strengths),
        )

    def to_mapping(self) -> dict[str, Any]:
        """Return the model as `from_mapping` reads it: plain numbers and names, for storage."""
        return {
            "causes": dict(zip(self.causes, self.prior.tolist(), strict=True)),
            "findings": {
                name: {
                    "leak": self.leaks[f].tolist(),
                    "links": {
                        self.causes[c]: row.tolist() for c, row in zip(self.parents[f], self.strengths[f], strict=True)
                    },
                }
                for f, name in enumerate(self.findings)
            },
        }

    def levels(self, finding: str) -> int:
        """Return the number of levels of a finding, level 0 included."""
        return len(self.leaks[self.finding_index[finding]]) + 1


def _refuse(words: str) -> NoReturn:
    raise InvalidModel(words)


def _mapping(what: str, value: object) -> Mapping[str, Any]:
    if not isinstance(value, Mapping):
        _refuse(f"{what} must be a mapping, not {type(value).__name__}.")
    return value


def _check_keys(what: str, value: object, expected: set[str]) -> None:
    keys = set(_mapping(what, value))
    if keys != expected:
        _refuse(f"{what} must have exactly the keys {sorted(expected)}; it has {sorted(map(str, keys))}.")


def _name(kind: str, name: object) -> str:
    if not isinstance(name, str) or not name:
        _refuse(f"The name of a {kind} must be a word; {name!r} is not.")
    return name


def _probability(what: str, value: object) -> float:
    if isinstance(value, bool) or not isinstance(value, int | float | np.integer | np.floating):
        _refuse(f"The {what} must be a number from 0 to 1, not {value!r}.")
    number = float(value)
    if not (math.isfinite(number) and 0.0 <= number <= 1.0):
        _refuse(f"The {what} must be from 0 to 1; it is {number}.")
    return number


def _levels(what: str, values: object) -> list[float]:
    if isinstance(values, str) or not isinstance(values, Sequence | np.ndarray) or len(values) == 0:
        _refuse(f"The {what} must be a list of one probability for each level above 0.")
    numbers = [_probability(f"{what}, level > {k},", value) for k, value in enumerate(values)]
    if any(later > earlier for earlier, later in pairwise(numbers)):
        _refuse(f"The {what} must not rise from level to level; it is {numbers}.")
    return numbers


def _finding(name: str, entry: object, causes: Mapping[str, int]) -> tuple[Floats, Ints, Floats]:
    _check_keys(f"finding {name!r}", entry, {"leak", "links"})
    entry = _mapping(name, entry)
    leak = _levels(f"leak of finding {name!r}", entry["leak"])
    links = {}
    for cause, values in _mapping(f"links of finding {name!r}", entry["links"]).items():
        if cause not in causes:
            _refuse(f"Finding {name!r} has a link from {cause!r}, which is not a cause of this model.")
        strengths = _levels(f"strengths of the link {cause!r} -> {name!r}", values)
        if len(strengths) != len(leak):
            _refuse(
                f"The link {cause!r} -> {name!r} has {len(strengths)} strengths; "
                f"the leak has {len(leak)} levels above 0."
            )
        links[causes[cause]] = strengths
    parents = np.array(sorted(links), dtype=np.int64)
    return np.array(leak), parents, np.array([links[c] for c in sorted(links)]).reshape(len(links), len(leak))


def _row_table(
    n_causes: int, leaks: Sequence[Floats], parents: Sequence[Ints], strengths: Sequence[Floats]
) -> RowTable:
    n_rows = 1 + max((len(p) for p in parents), default=0)
    top = max((len(leak) for leak in leaks), default=1)
    causes = np.full((len(leaks), n_rows), n_causes, dtype=np.int64)
    exceed = np.zeros((len(leaks), n_rows, top + 1))
    for f, (leak, linked, strength) in enumerate(zip(leaks, parents, strengths, strict=True)):
        causes[f, 1 : 1 + len(linked)] = linked
        exceed[f, 0, : len(leak)] = leak
        exceed[f, 1 : 1 + len(linked), : len(leak)] = strength
    below = 1.0 - exceed
    exactly = np.concatenate([np.ones_like(exceed[:, :, :1]), exceed[:, :, :-1]], axis=2) - exceed
    fire = np.divide(exactly, below, out=np.zeros_like(below), where=below > 0.0)
    return RowTable(causes=causes, below=below, fire=np.minimum(fire, 1.0))
