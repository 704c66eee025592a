"""The reader of typed quantities: what members write, what it refuses and how it says so."""

import math

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from restorations.web.units import EXAMPLES, SI, UNITS, AbsolutePressure, GaugePressure, NotAQuantity, read_quantity

INCH = 0.0254  # by definition
PSI = 6894.757293168  # pound-force per square inch, NIST SP 811 appendix B.8

READ = [
    ("1 1/8 in", "length", 1.125 * INCH),
    ("1-1/8 in", "length", 1.125 * INCH),
    ("1⅛ in", "length", 1.125 * INCH),
    ("½ in", "length", 0.5 * INCH),
    ('3/4"', "length", 0.75 * INCH),
    ("28.6 mm", "length", 0.0286),
    ("28.6mm", "length", 0.0286),
    (".5 mm", "length", 0.0005),
    ("4 thou", "length", 0.004 * INCH),
    ("-2 thou", "length", -0.002 * INCH),
    ("\u22122 thou", "length", -0.002 * INCH),
    ("3.5 IN", "length", 3.5 * INCH),
    ("90 psi", "pressure", 90 * PSI),
    ("90 lb/in2", "pressure", 90 * PSI),
    ("90 lb/in²", "pressure", 90 * PSI),
    ("6.2 bar", "pressure", 620_000),
    ("20 C", "temperature", 293.15),
    ("68 F", "temperature", 293.15),
    ("32 deg", "angle", math.radians(32)),
    ("2 h", "duration", 7200),
    ("1 kg", "mass", 1),
    ("3 pt", "volume", 3 * 0.56826125e-3),  # imperial pint, Weights and Measures Act 1985
]
REFUSED = [
    ("12 kg", "length", "a length is wanted"),
    ("1,5 mm", "length", "Use a point, not a comma: 1.5 mm"),
    ("1 000 mm", "length", "not a number with a unit"),
    ("9**9 mm", "length", "not a number with a unit"),
    ("9**9**9**9 mm", "length", "not a number with a unit"),
    ("2;3 mm", "length", "not a number with a unit"),
    ("1e9 mm", "length", "not a number with a unit"),
    ("5", "length", "Add the unit"),
    ("1/0 in", "length", "nothing under the line"),
    ("five mm", "length", "not a number with a unit"),
    ("5 furlongs", "length", "is not a unit known here"),
    ("nan mm", "length", "not a number with a unit"),
    ("", "length", "at most 40 characters"),
    ("1" * 41, "length", "at most 40 characters"),
    ("🚂 mm", "length", "not a number with a unit"),
    ("\x00", "length", "not a number with a unit"),
    ("__import__('os')", "length", "not a number with a unit"),
]


@pytest.mark.parametrize(("typed", "dimension", "si"), READ, ids=[case[0] for case in READ])
def test_what_members_write_is_read(typed: str, dimension: str, si: float) -> None:
    quantity = read_quantity(typed, dimension)
    assert quantity.si == pytest.approx(si, rel=1e-9)  # conversion factors to ten figures
    assert quantity.typed == typed


@pytest.mark.parametrize(("typed", "dimension", "words"), REFUSED, ids=[ascii(case[0])[:20] for case in REFUSED])
def test_what_cannot_be_meant_is_refused_in_words(typed: str, dimension: str, words: str) -> None:
    with pytest.raises(NotAQuantity) as refusal:
        read_quantity(typed, dimension)
    assert words in str(refusal.value)


@pytest.mark.parametrize("dimension", UNITS)
def test_every_example_offered_can_be_read_back(dimension: str) -> None:
    for example in EXAMPLES[dimension].replace(" or ", ", ").split(", "):
        assert math.isfinite(read_quantity(example, dimension).si)


@pytest.mark.parametrize(("dimension", "unit"), [(dimension, unit) for dimension in UNITS for unit in UNITS[dimension]])
def test_every_unit_converts(dimension: str, unit: str) -> None:
    quantity = read_quantity(f"2 {unit}", dimension)
    assert quantity.to(SI[dimension]) == pytest.approx(quantity.si)


@settings(max_examples=300)
@given(typed=st.text(max_size=60), dimension=st.sampled_from(sorted(UNITS)))
def test_any_text_is_read_to_a_finite_number_or_refused(typed: str, dimension: str) -> None:
    try:
        si = read_quantity(typed, dimension).si
    except NotAQuantity as refusal:
        answer = str(refusal)
    else:
        answer = "finite" if math.isfinite(si) else ""
    assert answer


def test_gauge_and_absolute_pressure_do_not_mix() -> None:
    air = AbsolutePressure(101_325)
    assert GaugePressure(620_000).absolute(air) == AbsolutePressure(721_325)
    with pytest.raises(TypeError):
        GaugePressure(1) + air  # type: ignore[operator]
    assert GaugePressure(1) != AbsolutePressure(1)
