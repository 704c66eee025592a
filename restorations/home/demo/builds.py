"""What the demo's engines are built of; all invented."""

from typing import Any

from restorations.web.units import read_quantity


def _measure(name: str, typed: str, unit: str = "mm") -> dict[str, Any]:
    dimension, pint_unit = ("length", "millimeter") if unit == "mm" else ("pressure", "kilopascal")
    return {f"{name}_typed": typed, f"{name}_{unit}": read_quantity(typed, dimension).to(pint_unit)}


PIPIT_BUILD = {
    "kind": "tank_locomotive", "cylinder_layout": "two_outside", "cylinder_mounting": "fixed", "valve": "slide",
    "valve_gear": "walschaerts", "reverser": "lever", "cylinder_material": "cast_iron", "piston_sealing": "iron_rings",
    "piston_rod_material": "steel", "lubricator": "mechanical_ratchet", "drain_cocks": "fitted",
    "snifting_valve": "not_known", "superheater": "not_known", "truck": "none", "brake": "hand", "feed_pump": "axle",
    "hand_pump": "fitted", "injector": "one", "boiler": "copper", "fuel": "coal", "coupled_axles": 3, "driving_axle": 2,
    **_measure("gauge", "5 in"), **_measure("bore", "1 1/2 in"), **_measure("stroke", "2 1/8 in"),
    **_measure("wheel_diameter", "5 1/4 in"), **_measure("working_pressure", "90 psi", "kpa"),
}  # fmt: skip
DABCHICK_BUILD = {
    "kind": "tender_locomotive", "cylinder_layout": "two_inside", "cylinder_mounting": "fixed", "valve": "slide",
    "valve_gear": "slip_eccentric", "reverser": "none", "cylinder_material": "bronze", "piston_sealing": "soft_rings",
    "piston_rod_material": "stainless", "lubricator": "displacement", "drain_cocks": "not_known", "truck": "leading",
    "brake": "none", "feed_pump": "not_known", "boiler": "copper", "fuel": "spirit", "coupled_axles": 2,
    "driving_axle": 1, **_measure("gauge", "2 1/2 in"),
    **_measure("bore", "11/16 in"), **_measure("stroke", "1 1/8 in"),
}  # fmt: skip
DUNLIN_BUILD = {
    "kind": "tender_locomotive", "cylinder_layout": "two_outside", "cylinder_mounting": "fixed", "valve": "piston",
    "valve_gear": "stephenson", "reverser": "screw", "cylinder_material": "bronze", "piston_sealing": "soft_rings",
    "piston_rod_material": "stainless", "lubricator": "mechanical_clutch", "drain_cocks": "fitted",
    "superheater": "fitted", "truck": "leading", "brake": "steam", "boiler": "copper", "fuel": "coal",
    "coupled_axles": 3, "driving_axle": 2, **_measure("gauge", "3 1/2 in"), **_measure("bore", "28.6 mm"),
    **_measure("working_pressure", "6.2 bar", "kpa"),
}  # fmt: skip
CORNCRAKE_BUILD = {
    "kind": "traction_engine", "cylinder_layout": "one", "cylinder_mounting": "fixed", "valve": "slide",
    "valve_gear": "stephenson", "reverser": "lever", "cylinder_material": "cast_iron", "piston_sealing": "iron_rings",
    "piston_rod_material": "steel", "lubricator": "displacement", "drain_cocks": "fitted", "superheater": "none",
    "truck": "none", "brake": "hand", "feed_pump": "crosshead", "hand_pump": "none", "injector": "one",
    "boiler": "steel", "fuel": "coal", "coupled_axles": 1, "driving_axle": 1,
    **_measure("bore", "1 5/8 in"), **_measure("stroke", "2 in"), **_measure("working_pressure", "100 psi", "kpa"),
}  # fmt: skip
TURNSTONE_BUILD = {
    "kind": "marine_engine", "cylinder_layout": "two_inside", "cylinder_mounting": "oscillating",
    "valve": "oscillating", "valve_gear": "reversing_block", "reverser": "lever", "cylinder_material": "brass",
    "piston_sealing": "plain", "piston_rod_material": "stainless", "lubricator": "displacement",
    "drain_cocks": "none", "snifting_valve": "none", "superheater": "none", "truck": "none", "brake": "none",
    "feed_pump": "none", "hand_pump": "fitted", "injector": "none", "boiler": "copper", "fuel": "gas",
    "coupled_axles": 1, "driving_axle": 1, **_measure("bore", "12 mm"), **_measure("stroke", "14 mm"),
    **_measure("working_pressure", "3 bar", "kpa"),
}  # fmt: skip
