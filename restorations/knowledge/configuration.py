"""What an engine is built of, as far as the knowledge asks; every answer may be "not known"."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, fields
from typing import Any

from restorations.knowledge.places import MOST_AXLES

NOT_KNOWN = "not_known"
_UNKNOWN = {NOT_KNOWN: "not known"}
_FITTED = {**_UNKNOWN, "fitted": "fitted", "none": "none"}

CHOICES: dict[str, dict[str, str]] = {
    "kind": {
        **_UNKNOWN,
        "tank_locomotive": "tank locomotive",
        "tender_locomotive": "tender locomotive",
        "traction_engine": "traction engine",
        "stationary_engine": "stationary engine",
        "marine_engine": "marine engine",
    },
    "cylinder_layout": {
        **_UNKNOWN,
        "one": "one cylinder",
        "two_outside": "two outside cylinders",
        "two_inside": "two inside cylinders",
        "three": "three cylinders",
    },
    "cylinder_mounting": {**_UNKNOWN, "fixed": "fixed cylinders", "oscillating": "oscillating cylinders"},
    "valve": {**_UNKNOWN, "slide": "slide valves", "piston": "piston valves", "oscillating": "oscillating ports"},
    "valve_gear": {
        **_UNKNOWN,
        "slip_eccentric": "slip eccentric",
        "fixed_eccentric": "fixed eccentric",
        "stephenson": "Stephenson",
        "walschaerts": "Walschaerts",
        "joy": "Joy",
        "hackworth": "Hackworth",
        "reversing_block": "reversing block",
    },
    "reverser": {**_UNKNOWN, "lever": "lever", "screw": "screw", "none": "none"},
    "cylinder_material": {
        **_UNKNOWN,
        "cast_iron": "cast iron",
        "bronze": "bronze or gunmetal",
        "brass": "brass",
        "steel": "steel",
    },
    "piston_sealing": {
        **_UNKNOWN,
        "iron_rings": "iron rings",
        "soft_rings": "O-rings or PTFE rings",
        "packing": "soft packing",
        "plain": "plain piston",
    },
    "piston_rod_material": {**_UNKNOWN, "steel": "steel", "stainless": "stainless steel", "bronze": "bronze"},
    "lubricator": {
        **_UNKNOWN,
        "mechanical_ratchet": "mechanical, ratchet and pawl",
        "mechanical_clutch": "mechanical, one-way clutch",
        "displacement": "displacement",
        "none": "none",
    },
    "drain_cocks": _FITTED,
    "snifting_valve": _FITTED,
    "superheater": _FITTED,
    "truck": {**_UNKNOWN, "leading": "leading", "trailing": "trailing", "both": "leading and trailing", "none": "none"},
    "brake": {**_UNKNOWN, "hand": "hand", "steam": "steam", "both": "hand and steam", "none": "none"},
    "feed_pump": {
        **_UNKNOWN,
        "axle": "pump driven from an axle",
        "crosshead": "pump driven from a crosshead",
        "none": "none",
    },
    "hand_pump": _FITTED,
    "injector": {**_UNKNOWN, "one": "one", "two": "two", "none": "none"},
    "boiler": {**_UNKNOWN, "copper": "copper", "steel": "steel", "none": "none"},
    "fuel": {**_UNKNOWN, "coal": "coal", "gas": "gas", "spirit": "spirit", "none": "none"},
}

LABELS: dict[str, str] = {
    "kind": "Kind of engine",
    "cylinder_layout": "Cylinders",
    "cylinder_mounting": "How the cylinders are mounted",
    "valve": "Valves",
    "valve_gear": "Valve gear",
    "reverser": "Reverser",
    "cylinder_material": "Cylinder material",
    "piston_sealing": "What seals the pistons",
    "piston_rod_material": "Piston rod material",
    "lubricator": "Cylinder lubricator",
    "drain_cocks": "Drain cocks",
    "snifting_valve": "Snifting valve",
    "superheater": "Superheater",
    "truck": "Truck or bogie",
    "brake": "Brake",
    "feed_pump": "Engine-driven feed pump",
    "hand_pump": "Hand pump",
    "injector": "Injectors",
    "boiler": "Boiler",
    "fuel": "Fuel",
    "coupled_axles": "Driven axles, the driving axle included",
    "driving_axle": "Which of them the connecting rods drive, counted from the front",
}
LOCOMOTIVES = ("tank_locomotive", "tender_locomotive")
AXLES_ASSUMED = 3
_CYLINDER_SIDES = {"one": ("middle",), "three": ("left", "middle", "right")}
_INJECTORS = {"none": (), "one": ("injector1",)}


class InvalidConfiguration(ValueError):
    """A configuration that cannot be; `offenders` maps each field to what was expected."""

    def __init__(self, offenders: Mapping[str, str]) -> None:
        self.offenders = dict(offenders)
        super().__init__("; ".join(f"{field}: {words}" for field, words in self.offenders.items()))


@dataclass(frozen=True, slots=True)
class Configuration:
    """One engine's build. Axles are the driven ones; a truck's axles are covered by `truck`."""

    kind: str = NOT_KNOWN
    cylinder_layout: str = NOT_KNOWN
    cylinder_mounting: str = NOT_KNOWN
    valve: str = NOT_KNOWN
    valve_gear: str = NOT_KNOWN
    reverser: str = NOT_KNOWN
    cylinder_material: str = NOT_KNOWN
    piston_sealing: str = NOT_KNOWN
    piston_rod_material: str = NOT_KNOWN
    lubricator: str = NOT_KNOWN
    drain_cocks: str = NOT_KNOWN
    snifting_valve: str = NOT_KNOWN
    superheater: str = NOT_KNOWN
    truck: str = NOT_KNOWN
    brake: str = NOT_KNOWN
    feed_pump: str = NOT_KNOWN
    hand_pump: str = NOT_KNOWN
    injector: str = NOT_KNOWN
    boiler: str = NOT_KNOWN
    fuel: str = NOT_KNOWN
    coupled_axles: int | None = None
    driving_axle: int | None = None

    def __post_init__(self) -> None:
        offenders = {
            field: f"{getattr(self, field)!r} is none of {', '.join(choices)}"
            for field, choices in CHOICES.items()
            if getattr(self, field) not in choices
        }
        if not _is_count(self.coupled_axles, MOST_AXLES):
            offenders["coupled_axles"] = f"expected 1 to {MOST_AXLES}, or nothing when not known"
        elif not _is_count(self.driving_axle, self.axle_count):
            offenders["driving_axle"] = f"expected 1 to {self.axle_count}, or nothing when not known"
        if offenders:
            raise InvalidConfiguration(offenders)

    @property
    def axle_count(self) -> int:
        """Driven axles; where not known, three for a locomotive (or an engine of no known kind), else one."""
        if self.coupled_axles is not None:
            return self.coupled_axles
        return AXLES_ASSUMED if self.kind in (*LOCOMOTIVES, NOT_KNOWN) else 1

    @property
    def cylinder_sides(self) -> tuple[str, ...]:
        """Where the cylinders are; a single one is in the middle."""
        return _CYLINDER_SIDES.get(self.cylinder_layout, ("left", "right"))

    @property
    def wheel_sides(self) -> tuple[str, ...]:
        """Where wheels, coupling rods and axleboxes are."""
        return ("left", "right")

    @property
    def axles(self) -> tuple[str, ...]:
        """Driven axles from the front."""
        return tuple(f"axle{number}" for number in range(1, self.axle_count + 1))

    @property
    def feeds(self) -> tuple[str, ...]:
        """Ways of putting water in the boiler; one that is not known is taken to be there."""
        pumps = [("engine_pump", self.feed_pump), ("hand_pump", self.hand_pump)]
        fitted = tuple(name for name, answer in pumps if answer != "none")
        return fitted + _INJECTORS.get(self.injector, ("injector1", "injector2"))

    def share(self, applies: Mapping[str, tuple[str | int, ...]]) -> float:
        """Return 1 where every named field has a named value, 0 where one has not; a field not known gives its share.

        The share is the part of the field's lawful values that are named.
        """
        share = 1.0
        for field, named in applies.items():
            share *= self._field_share(field, named)
        return share

    def _field_share(self, field: str, named: tuple[str | int, ...]) -> float:
        answer = self.axle_count if field == "coupled_axles" else getattr(self, field)
        if answer == NOT_KNOWN:
            return len(set(named) - {NOT_KNOWN}) / (len(CHOICES[field]) - 1)
        if answer is None:
            return len(set(named)) / self.axle_count
        return float(answer in named)

    def as_mapping(self) -> dict[str, Any]:
        """Return the answers as plain data."""
        return {field.name: getattr(self, field.name) for field in fields(self)}

    @classmethod
    def from_mapping(cls, mapping: Mapping[str, Any]) -> Configuration:
        """Build from plain data; unknown fields are refused."""
        unknown = set(mapping) - set(LABELS)
        if unknown:
            raise InvalidConfiguration(dict.fromkeys(sorted(unknown), "no such field"))
        return cls(**mapping)


def lawful_values(field: str) -> tuple[str | int, ...]:
    """Return what a field can be, "not known" left out."""
    if field in CHOICES:
        return tuple(value for value in CHOICES[field] if value != NOT_KNOWN)
    return tuple(range(1, MOST_AXLES + 1))


def _is_count(value: object, most: int) -> bool:
    return value is None or (isinstance(value, int) and not isinstance(value, bool) and 1 <= value <= most)
