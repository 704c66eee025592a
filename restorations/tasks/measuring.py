"""Reading what a member measured: repeats between semicolons, one line "what, where = 12.3 mm", and what is measured.

Pressures are as the gauge shows them. Nothing here touches a row.
"""

import re
from dataclasses import dataclass
from statistics import fmean

from restorations.web.units import UNITS, NotAQuantity, Quantity, read_quantity

LONGEST_LINE = 200
MOST_REPEATS = 12
# What is often measured, and what it is measured in; anything else is typed freely.
WHATS = {
    "cylinder bore": "length",
    "piston diameter": "length",
    "piston rod diameter": "length",
    "valve spindle diameter": "length",
    "slide bar clearance": "length",
    "axle play, up and down": "length",
    "axle side play": "length",
    "big end clearance": "length",
    "coupling rod bush clearance": "length",
    "crosshead travel": "length",
    "valve lead": "length",
    "port opening": "length",
    "wheels back to back": "length",
    "turns freely through": "angle",
    "pull at the tyre to turn it": "force",
    "air pressure to move it": "pressure",
    "air pressure left after ten minutes": "pressure",
    "safety valve lifts at": "pressure",
    "safety valve shuts at": "pressure",
    "water delivered in a minute": "volume",
    "oil used": "volume",
    "weight": "mass",
    "bearing temperature": "temperature",
    "time to raise steam": "duration",
}
# How a dimension is shown for comparison: our word for the unit, pint's, places.
SHOWN = {
    "length": ("mm", "millimeter", 3),
    "pressure": ("bar", "bar", 2),
    "mass": ("kg", "kilogram", 3),
    "force": ("N", "newton", 1),
    "volume": ("ml", "milliliter", 1),
    "temperature": ("°C", "degC", 1),
    "angle": ("°", "degree", 1),
    "duration": ("min", "minute", 1),
}
MOST_MINUTES = 24 * 60
_MINUTES = re.compile(r"(\d{1,5})(?:\s*(?:m|min|mins|minutes?))?", re.IGNORECASE)
_HOURS = re.compile(
    r"(\d{1,3}(?:\.\d{1,2})?)\s*(?:h|hrs?|hours?)(?:\s*(\d{1,2})(?:\s*(?:m|min|minutes?))?)?", re.IGNORECASE
)
_UNIT_AT_THE_END = re.compile(r"[^\d\s./+\-\u2212½¼¾⅛⅜⅝⅞][^\d;]*(?:in2|cm2)?$")


@dataclass(frozen=True, slots=True)
class Measured:
    """What was typed, and each repeat in SI units of its dimension."""

    typed: str
    dimension: str
    values_si: tuple[float, ...]

    @property
    def mean_si(self) -> float:
        return fmean(self.values_si)

    @property
    def least_si(self) -> float:
        return min(self.values_si)

    @property
    def most_si(self) -> float:
        return max(self.values_si)


@dataclass(frozen=True, slots=True)
class TypedReading:
    """One line of the day book: what, where on the engine, and the value."""

    what: str
    where: str
    measured: Measured
    state: str = ""


def plain(words: str) -> str:
    """A what or a where as it is compared: capitals and spaces make no difference."""
    return " ".join(words.split()).casefold()


def dimension_of(what: str) -> str:
    """The dimension of what is often measured; empty where it is typed freely."""
    return WHATS.get(plain(what), "")


def read_repeats(text: str, dimension: str = "") -> Measured:
    """Read `28.6 mm` or `28.6; 28.7; 28.6 mm`; a bare number takes the unit of the last value.

    Without a dimension the unit says it. Raises NotAQuantity in words.
    """
    typed = " ".join(text.split())
    parts = [part.strip() for part in typed.split(";") if part.strip()]
    if not parts or len(typed) > LONGEST_LINE or len(parts) > MOST_REPEATS:
        raise NotAQuantity(f"Type one value with its unit, or up to {MOST_REPEATS} with ; between: 28.6; 28.7 mm.")
    unit = _UNIT_AT_THE_END.search(parts[-1])
    kind = dimension or _dimension_of_unit(unit[0] if unit else "")
    whole = [part if _UNIT_AT_THE_END.search(part) or unit is None else f"{part} {unit[0]}" for part in parts]
    return Measured(typed, kind, tuple(read_quantity(part, kind).si for part in whole))


def _dimension_of_unit(unit: str) -> str:
    word = unit.strip().lower().replace(" ", "").replace("²", "2")
    for dimension, names in UNITS.items():
        if word in names:
            return dimension
    if not word:
        raise NotAQuantity("Add the unit, such as 28.6 mm, 90 psi or 4.5 lbf.")
    some = ", ".join(next(iter(names)) for names in UNITS.values())
    raise NotAQuantity(f"“{unit.strip()}” is not a unit known here. Known are {some} and others of their kind.")


def read_line(line: str, known: dict[str, str] | None = None) -> TypedReading:
    """Read `cylinder bore, left = 28.6 mm`. `known` names the dimension of what was measured here before.

    Raises NotAQuantity in words.
    """
    left, equals, right = line.partition("=")
    what, where = _what_and_where(" ".join(left.split()))
    if not equals or not what:
        raise NotAQuantity(f"Write a reading as what = value, such as “cylinder bore, left = 28.6 mm”, not “{line}”.")
    if len(what) > 80 or len(where) > 40:
        raise NotAQuantity("Keep what was measured to 80 characters, and the place to 40.")
    try:
        measured = read_repeats(right, dimension_of(what) or (known or {}).get(plain(what), ""))
    except NotAQuantity as error:
        raise NotAQuantity(f"{what}: {error}") from None
    return TypedReading(what, where, measured)


def _what_and_where(words: str) -> tuple[str, str]:
    """Part at the comma; what is in the list with a comma in its name stays whole."""
    for what in WHATS:
        if plain(words) == what or plain(words).startswith(f"{what},"):
            return what, words[len(what) :].lstrip(" ,")
    what, _, where = words.partition(",")
    return what.strip(), where.strip()


def shown_value(si: float, dimension: str) -> float:
    """An SI value in the unit that readings are compared in."""
    return Quantity("", si, dimension).to(SHOWN[dimension][1])


def in_shown_unit(si: float, dimension: str) -> str:
    """The same in words: "28.575 mm"."""
    unit, _, places = SHOWN[dimension]
    number = f"{shown_value(si, dimension):.{places}f}"
    if "." in number:
        number = number.rstrip("0").rstrip(".")
    return f"{'0' if number in {'-0', ''} else number}\u00a0{unit}"


def difference_in_words(si: float, other_si: float, dimension: str) -> str:
    """How far a value stands from another: "0.12 mm more"; a difference of temperatures has no zero of its own."""
    unit, _, places = SHOWN[dimension]
    gap = round(shown_value(si, dimension) - shown_value(other_si, dimension), places)
    if not gap:
        return "the same"
    return f"{abs(gap):.{places}f}".rstrip("0").rstrip(".") + f"\u00a0{unit} {'more' if gap > 0 else 'less'}"


def read_minutes(text: str) -> int:
    """Read `40`, `40 min`, `1 h 30` or `1.5 h` as minutes. Raises NotAQuantity in words."""
    typed = text.strip()
    hours, plain_minutes = _HOURS.fullmatch(typed), _MINUTES.fullmatch(typed)
    if hours is not None:
        minutes = round(float(hours[1]) * 60) + int(hours[2] or 0)
    elif plain_minutes is not None:
        minutes = int(plain_minutes[1])
    else:
        raise NotAQuantity("Type the time in minutes, such as 40, or like 1 h 30.")
    if minutes > MOST_MINUTES:
        raise NotAQuantity("That is more than a day. Write one entry for each day; a day has 1440 minutes.")
    if minutes < 1:
        raise NotAQuantity("Type at least one minute, or leave it empty where nobody knows.")
    return minutes


def in_hours(minutes: int | None) -> str:
    """ "40 min", "1 h 30"; nothing where nobody knows."""
    if not minutes:
        return ""
    hours, rest = divmod(minutes, 60)
    return f"{rest}\u00a0min" if not hours else f"{hours}\u00a0h" + (f"\u00a0{rest:02d}" if rest else "")
