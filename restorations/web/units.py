"""Quantities at the edge: our own reader takes what a member types, pint only converts.

pint is never given typed text: it reads `1 1/8 in` as 0.125 in and `1,5 mm` as 15 mm.
"""

import re
from dataclasses import dataclass
from fractions import Fraction
from functools import cache

import pint

LONGEST = 40
# What members write, by dimension: the unit as typed (lower case) -> pint's name. The first is offered in examples.
UNITS: dict[str, dict[str, str]] = {
    "length": {
        "mm": "millimeter", "in": "inch", '"': "inch", "inch": "inch", "inches": "inch", "cm": "centimeter",
        "m": "meter", "ft": "foot", "thou": "thou", "micron": "micrometer",
    },
    "pressure": {
        "psi": "psi", "bar": "bar", "kpa": "kilopascal", "mpa": "megapascal", "lb/in2": "psi",
        "kg/cm2": "kilogram_force / centimeter ** 2", "inhg": "inch_Hg",
    },
    "mass": {"kg": "kilogram", "lb": "pound", "g": "gram", "oz": "ounce", "cwt": "long_hundredweight"},
    "force": {"n": "newton", "kn": "kilonewton", "lbf": "pound_force", "kgf": "kilogram_force"},
    "volume": {
        "l": "liter", "ml": "milliliter", "cc": "centimeter ** 3", "pt": "imperial_pint", "gal": "imperial_gallon",
    },
    "temperature": {"c": "degC", "°c": "degC", "f": "degF", "°f": "degF", "k": "kelvin"},
    "angle": {"deg": "degree", "°": "degree", "degrees": "degree", "rad": "radian"},
    "duration": {"min": "minute", "minutes": "minute", "h": "hour", "hours": "hour", "days": "day", "weeks": "week"},
}  # fmt: skip
SI = {
    "length": "meter", "pressure": "pascal", "mass": "kilogram", "force": "newton", "volume": "meter ** 3",
    "temperature": "kelvin", "angle": "radian", "duration": "second",
}  # fmt: skip
EXAMPLES = {
    "length": "1 1/8 in, 28.6 mm or 4 thou", "pressure": "90 psi or 6.2 bar", "mass": "12 kg or 26 lb",
    "force": "20 N or 4.5 lbf", "volume": "2 l or 3 pt", "temperature": "20 C or 68 F", "angle": "32 deg",
    "duration": "15 min or 2 h",
}  # fmt: skip
_NUMBER = re.compile(
    r"(?P<sign>[-+\u2212]?)\s*(?:(?P<whole>\d{1,9})(?:\s+|-)(?P<top>\d{1,4})/(?P<bottom>\d{1,4})"
    r"|(?P<over>\d{1,4})/(?P<under>\d{1,4})|(?P<plain>\d{1,9}(?:\.\d{0,9})?|\.\d{1,9}))\s*(?P<unit>\D.*)?"
)
_VULGAR = {"½": "1/2", "¼": "1/4", "¾": "3/4", "⅛": "1/8", "⅜": "3/8", "⅝": "5/8", "⅞": "7/8"}


class NotAQuantity(ValueError):
    """What was typed cannot be read; the message says what was wrong and what would do."""


@dataclass(frozen=True, slots=True)
class Quantity:
    """What was typed, and the same in SI units (metres, pascals, kilograms, newtons, kelvin, radians, seconds)."""

    typed: str
    si: float
    dimension: str

    def to(self, unit: str) -> float:
        """The same in another of pint's units."""
        return float(_registry().Quantity(self.si, SI[self.dimension]).to(unit).magnitude)


@dataclass(frozen=True, slots=True)
class GaugePressure:
    """Pressure above the air around [Pa]; never added to or compared with an absolute one."""

    pascals: float

    def absolute(self, ambient: "AbsolutePressure") -> "AbsolutePressure":
        return AbsolutePressure(self.pascals + ambient.pascals)


@dataclass(frozen=True, slots=True)
class AbsolutePressure:
    """Pressure above a vacuum [Pa]."""

    pascals: float


@cache
def _registry() -> pint.UnitRegistry[float]:
    return pint.UnitRegistry(cache_folder=None)


def read_quantity(text: str, dimension: str) -> Quantity:
    """Read a typed quantity of a known dimension: sign, whole, decimal or (mixed) fraction, then a unit.

    Raises NotAQuantity with the reason in plain words.
    """
    typed = " ".join(text.split())
    number, unit = _parted(typed, dimension)
    names = UNITS[dimension]
    if not unit:
        raise NotAQuantity(f"Add the unit: {EXAMPLES[dimension]}.")
    name = names.get(unit.lower().replace(" ", "").replace("²", "2"))
    if name is None:
        raise NotAQuantity(_wrong_unit(unit, dimension))
    si = float(_registry().Quantity(number, name).to(SI[dimension]).magnitude)
    return Quantity(typed=typed, si=si, dimension=dimension)


def _parted(typed: str, dimension: str) -> tuple[float, str]:
    if not typed or len(typed) > LONGEST:
        raise NotAQuantity(f"Type at most {LONGEST} characters, such as {EXAMPLES[dimension]}.")
    if re.search(r"\d,\d", typed):
        raise NotAQuantity(f"Use a point, not a comma: {re.sub(r'(?<=[0-9]),(?=[0-9])', '.', typed)}.")
    plain = typed
    for sign, fraction in _VULGAR.items():
        plain = re.sub(rf"(?<=\d){sign}", f" {fraction}", plain).replace(sign, fraction)
    match = _NUMBER.fullmatch(plain)
    if match is None or (match["unit"] and re.search(r"[\d*^+]", match["unit"].replace("in2", "").replace("cm2", ""))):
        raise NotAQuantity(f"This is not a number with a unit. Type it like {EXAMPLES[dimension]}.")
    return _number(match), (match["unit"] or "").strip()


def _number(match: re.Match[str]) -> float:
    top, bottom = match["top"] or match["over"], match["bottom"] or match["under"]
    if bottom is not None and int(bottom) == 0:
        raise NotAQuantity("A fraction cannot have nothing under the line.")
    value = Fraction(match["plain"] or match["whole"] or 0)
    if bottom is not None:
        value += Fraction(int(top), int(bottom))
    return float(-value if match["sign"] in {"-", "\u2212"} else value)


def _wrong_unit(unit: str, dimension: str) -> str:
    for other, names in UNITS.items():
        if unit.lower() in names and other != dimension:
            return f"“{unit}” is a unit of {other}; a {dimension} is wanted, such as {EXAMPLES[dimension]}."
    return f"“{unit}” is not a unit known here. Use {', '.join(list(UNITS[dimension])[:6])}."
