"""Reads one TOML table field by field and notes every offender, so that all are listed at once."""

from __future__ import annotations

from collections.abc import Collection, Mapping
from dataclasses import dataclass, field
from itertools import pairwise
from math import inf, isfinite
from typing import Any

LONGEST_TEXT = 4000
LONGEST_ITEM = 400
_LONGEST_SHOWN = 120


def shown(value: Any) -> str:
    """Return a value as it is quoted in a fault, never long."""
    quoted = repr(value)
    return quoted if len(quoted) <= _LONGEST_SHOWN else f"{quoted[:_LONGEST_SHOWN]} …"


@dataclass(frozen=True, slots=True, order=True)
class Offender:
    """One thing wrong in the knowledge files."""

    file: str
    id: str
    field: str
    expected: str

    def __str__(self) -> str:
        return f"{self.file} [{self.id}] {self.field}: {self.expected}"


class KnowledgeError(ValueError):
    """The knowledge files break their rules; the message lists all offenders."""

    def __init__(self, offenders: Collection[Offender]) -> None:
        self.offenders = tuple(sorted(set(offenders)))
        lines = [f"{len(self.offenders)} offender(s) in the knowledge files:", *map(str, self.offenders)]
        super().__init__("\n  ".join(lines))


@dataclass(slots=True)
class Table:
    """One table of a file. A field that is wrong is noted and read as its default, so that reading goes on."""

    raw: Mapping[str, Any]
    file: str
    id: str
    offenders: list[Offender]
    prefix: str = ""
    _asked: set[str] = field(default_factory=set)

    def fault(self, name: str, expected: str) -> None:
        """Note an offender."""
        self.offenders.append(Offender(self.file, self.id, self.prefix + name, expected))

    def has(self, name: str) -> bool:
        """Say whether the field is written out."""
        return name in self.raw

    def text(self, name: str, default: str | None = None, longest: int = LONGEST_TEXT) -> str:
        """Read a text; required where there is no default."""
        value = self._value(name, default, "a text")
        if isinstance(value, str) and (value.strip() or value == default):
            if len(value) > longest:
                self.fault(name, f"{len(value)} letters: expected at most {longest}")
            return value[:longest]
        if value is not None:
            self.fault(name, "expected a text that is not empty")
        return default or ""

    def choice(self, name: str, choices: Collection[str], default: str | None = None) -> str:
        """Read one word of a list."""
        value = self.text(name, default)
        if value and value not in choices:
            self.fault(name, f"{shown(value)} is none of {', '.join(choices)}")
        return value

    def texts(self, name: str, choices: Collection[str] | None = None, least: int = 0) -> tuple[str, ...]:
        """Read a list of different texts (a single text stands for a list of one)."""
        value = self._value(name, [] if least == 0 else None, "a list of texts")
        if value is None:
            return ()
        found = _as_texts(value)
        if found is None or len(set(found)) < len(found) or len(found) < least:
            self.fault(name, f"expected a list of {'different texts' if least == 0 else f'{least} or more texts'}")
            return ()
        for text in found:
            if len(text) > LONGEST_ITEM:
                self.fault(name, f"{shown(text)}: expected at most {LONGEST_ITEM} letters")
        if choices is None:
            return found
        for text in found:
            if text not in choices:
                self.fault(name, f"{shown(text)} is none of {', '.join(choices)}")
        return tuple(text for text in found if text in choices)

    def number(self, name: str, low: float = 0.0, high: float = inf, default: float | None = None) -> float:
        """Read a number from low to high."""
        value = self._value(name, default, "a number")
        if _is_number(value) and low <= value <= high:
            return float(value)
        if value is not None:
            self.fault(name, f"{shown(value)}: expected a number {_range(low, high)}")
        return default if default is not None else low

    def risk(self, name: str) -> int:
        """Read a risk: 0 none, 1 slight, 2 serious, 3 grave."""
        value = self._value(name, None, "0, 1, 2 or 3")
        if isinstance(value, int) and not isinstance(value, bool) and 0 <= value <= 3:
            return value
        if value is not None:
            self.fault(name, f"{shown(value)}: expected 0, 1, 2 or 3")
        return 0

    def probability(self, name: str, default: float | None = None) -> float:
        """Read a probability strictly between 0 and 1."""
        value = self._value(name, default, "a probability strictly between 0 and 1")
        if _is_number(value) and 0 < value < 1:
            return float(value)
        if value is not None and value != default:
            self.fault(name, f"{shown(value)}: expected a probability strictly between 0 and 1")
        return 0.5 if default is None else default

    def probabilities(self, name: str, length: int) -> tuple[float, ...]:
        """Read P(level > 0), P(level > 1), …: lawful, not rising, one fewer than the levels."""
        value = self._value(name, None, "a list of probabilities")
        if value is None:
            return (0.5,) * length
        if not isinstance(value, list) or len(value) != length or not all(map(_is_number, value)):
            self.fault(name, f"{shown(value)}: expected {length} number(s), one fewer than the levels")
            return (0.5,) * length
        if not all(0 < number < 1 for number in value):
            self.fault(name, f"{shown(value)}: expected probabilities strictly between 0 and 1")
        if any(later > earlier for earlier, later in pairwise(value)):
            self.fault(name, f"{shown(value)}: expected numbers that do not rise with the level")
        return tuple(float(number) for number in value)

    def flag(self, name: str) -> bool:
        """Read true or false; false where it is not written."""
        value = self._value(name, False, "true or false")
        if isinstance(value, bool):
            return value
        self.fault(name, f"{shown(value)}: expected true or false")
        return False

    def values(self, name: str) -> dict[str, tuple[Any, ...]]:
        """Read a table of field to value, or field to list of values."""
        found = self._value(name, {}, "a table")
        if not isinstance(found, dict):
            self.fault(name, f"{shown(found)}: expected a table in braces")
            return {}
        return {key: tuple(value) if isinstance(value, list) else (value,) for key, value in found.items()}

    def words(self, name: str) -> dict[str, str]:
        """Read a table of field to one text."""
        found = {}
        for key, value in self.values(name).items():
            if len(value) == 1 and isinstance(value[0], str) and value[0].strip():
                found[key] = value[0]
            else:
                self.fault(f"{name}.{key}", "expected one text")
        return found

    def table(self, name: str) -> Table:
        """Read a required inner table, its fields named "outer.inner" in faults."""
        value = self._value(name, None, "a table")
        if value is not None and not isinstance(value, dict):
            self.fault(name, f"{shown(value)}: expected a table")
        return self._inner(value if isinstance(value, dict) else {}, f"{name}.")

    def tables(self, name: str) -> list[Table]:
        """Read a list of inner tables."""
        value = self._value(name, [], "a list of tables")
        if not isinstance(value, list) or not all(isinstance(item, dict) for item in value):
            self.fault(name, "expected a list of tables")
            return []
        return [self._inner(item, f"{name}[{number}].") for number, item in enumerate(value, start=1)]

    def raw_list(self, name: str) -> list[Any]:
        """Read a list whose items the caller judges."""
        value = self._value(name, [], "a list")
        if isinstance(value, list):
            return value
        self.fault(name, f"{shown(value)}: expected a list")
        return []

    def finish(self) -> None:
        """Note every field that nobody asked for."""
        for name in sorted(set(self.raw) - self._asked):
            self.fault(name, f"unknown field; the fields here are {', '.join(sorted(self._asked))}")

    def _value(self, name: str, default: Any, expected: str) -> Any:
        self._asked.add(name)
        if name not in self.raw and default is None:
            self.fault(name, f"missing; expected {expected}")
        return self.raw.get(name, default)

    def _inner(self, raw: Mapping[str, Any], prefix: str) -> Table:
        return Table(raw, self.file, self.id, self.offenders, self.prefix + prefix)


def _is_number(value: Any) -> bool:
    return isinstance(value, int | float) and not isinstance(value, bool) and isfinite(value)


def _as_texts(value: Any) -> tuple[str, ...] | None:
    found = [value] if isinstance(value, str) else value
    if isinstance(found, list) and all(isinstance(text, str) and text.strip() for text in found):
        return tuple(found)
    return None


def _range(low: float, high: float) -> str:
    return f"of {low:g} or more" if high == inf else f"from {low:g} to {high:g}"
