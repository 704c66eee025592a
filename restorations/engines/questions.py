"""Which questions an engine is asked: not what follows from another answer, and nothing is offered that cannot be."""

from collections.abc import Mapping
from typing import Any

from restorations.engines.models.configuration import MEASURES
from restorations.knowledge.configuration import CHOICES, LOCOMOTIVES, NOT_KNOWN

GROUPS: dict[str, tuple[str, ...]] = {
    "What it is": ("kind",),
    "Cylinders and valves": (
        "cylinder_layout",
        "cylinder_mounting",
        "valve",
        "valve_gear",
        "reverser",
        "cylinder_material",
        "piston_sealing",
        "piston_rod_material",
        "lubricator",
        "drain_cocks",
        "snifting_valve",
    ),
    "Wheels and axles": ("coupled_axles", "driving_axle", "truck", "brake"),
    "Boiler and feed": ("boiler", "fuel", "superheater", "feed_pump", "hand_pump", "injector"),
    "Measures": tuple(MEASURES),
}
DECIDING = ("kind", "cylinder_mounting", "valve_gear", "coupled_axles", "boiler")
_WITHOUT_REVERSER = ("slip_eccentric", "fixed_eccentric")
_FED_BY_NOTHING = dict.fromkeys(("fuel", "superheater", "feed_pump", "hand_pump", "injector"), "none")


def settled_by(so_far: Mapping[str, Any]) -> dict[str, Any]:
    """What the deciding answers settle: each field here is not asked and has this value."""
    settled: dict[str, Any] = {}
    if so_far["cylinder_mounting"] == "oscillating":
        settled |= {"valve": "oscillating", "valve_gear": "reversing_block"}
    elif so_far["valve_gear"] in _WITHOUT_REVERSER:
        settled["reverser"] = "none"
    if so_far["boiler"] == "none":
        settled |= _FED_BY_NOTHING
    return settled | _settled_by_kind(so_far["kind"]) | _settled_by_axles(so_far["coupled_axles"])


def _settled_by_kind(kind: str) -> dict[str, Any]:
    if kind in (*LOCOMOTIVES, NOT_KNOWN):
        return {}
    no_driven_axles = {"coupled_axles": None, "driving_axle": None, "truck": "none"}
    settled = {**no_driven_axles, "gauge_typed": "", "snifting_valve": "none"}
    return settled if kind == "traction_engine" else {**settled, "wheel_diameter_typed": "", "brake": "none"}


def _settled_by_axles(coupled_axles: int | None) -> dict[str, Any]:
    """With one driven axle there is no choice, and of an unknown number none can be counted out."""
    return {} if coupled_axles and coupled_axles > 1 else {"driving_axle": coupled_axles}


def choices_for(field: str, so_far: Mapping[str, Any]) -> list[tuple[str, str]]:
    """The answers offered: fixed cylinders have no ports in a rocking face."""
    barred = {"oscillating"} if field == "valve" and so_far["cylinder_mounting"] == "fixed" else set()
    return [(value, words) for value, words in CHOICES[field].items() if value not in barred]
