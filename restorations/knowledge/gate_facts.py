"""The facts that gates turn on: what an action may need to be so, or not to be so."""

from __future__ import annotations

from collections.abc import Collection

# Fact -> (what to do first when it is needed, when not to act when it is excluded).
GATE_FACTS: dict[str, tuple[str, str]] = {
    "turns_freely_by_hand": ("see it turn freely by hand", "while it turns freely by hand"),
    "boiler_cold": ("let the boiler go cold", "while the boiler is cold"),
    "under_hydraulic_test": ("have the boiler under its hydraulic test", "during a hydraulic test"),
    "in_steam": ("have the engine in steam", "while the engine is in steam"),
    "certificate_in_date": (
        "have the boiler passed: no certificate in date is recorded, or a stop stands on it",
        "under certificate",
    ),
    "air_isolated": (
        "part the steam pipe and blank it on the boiler side, or open the boiler to the atmosphere",
        "while the steam pipe is parted",
    ),
    "wheels_clear": (
        "have the wheels clear, on a stationary or marine engine flywheel and crankshaft free to turn",
        "while the wheels are clear",
    ),
    "wheels_chocked": ("chock the wheels, or hold the flywheel", "while the wheels are chocked"),
    "tied_down": ("tie the engine down", "while the engine is tied down"),
    "wheels_on_rail": ("put the engine on the rails", "while the engine stands on the rails"),
    "volatile_solvent": ("put solvent on", "while a volatile solvent is on the engine"),
    "soaking": ("begin the soak", "while it is left to soak"),
    "under_pressure": ("raise pressure", "while anything is under pressure"),
}
_FIXED: dict[str, tuple[str, str]] = {
    "wheels_clear": (
        "uncouple what it drives, so that flywheel and crankshaft are free to turn",
        "while flywheel and crankshaft are free to turn",
    ),
    "wheels_chocked": ("hold the flywheel so that it cannot turn", "while the flywheel is held"),
    "wheels_on_rail": ("stand the engine on its own bed", "while the engine stands on its bed"),
}
_ROLLING: dict[str, tuple[str, str]] = {
    "wheels_clear": ("lift the engine so that its wheels are clear", "while the wheels are clear"),
    "wheels_chocked": ("chock the wheels", "while the wheels are chocked"),
}
_ROAD: dict[str, tuple[str, str]] = {
    "wheels_clear": (
        "lift the driving wheels clear, or put the engine out of gear, so that the flywheel is free to turn",
        "while the flywheel is free to turn",
    ),
    "wheels_on_rail": ("put the engine on its wheels", "while the engine stands on its wheels"),
    "wheels_chocked": ("chock the wheels and hold the flywheel", "while wheels and flywheel are held"),
}
# What a fact of the wheels means on an engine of a known kind.
_BY_KIND = {
    "tank_locomotive": _ROLLING,
    "tender_locomotive": _ROLLING,
    "traction_engine": _ROAD,
    "stationary_engine": _FIXED,
    "marine_engine": _FIXED,
}
USES = ("air", "heat", "steam")
AUTHORITIES = ("member", "mentor", "inspector")

# A remedy that leaves a volatile solvent on the engine uses it too, without saying so twice.
SOLVENT = "solvent"
_NEEDED_BY_USE = {
    "air": frozenset({"turns_freely_by_hand", "air_isolated"}),
    "heat": frozenset[str](),
    SOLVENT: frozenset[str](),
    "steam": frozenset({"certificate_in_date"}),
}
_EXCLUDED_BY_USE = {
    "air": frozenset[str](),
    "heat": frozenset({"volatile_solvent"}),
    SOLVENT: frozenset({"in_steam"}),
    "steam": frozenset({"volatile_solvent"}),
}
# At most one of each of these can be so at a time.
ALTERNATIVES = (
    frozenset({"boiler_cold", "under_hydraulic_test", "in_steam"}),
    frozenset({"wheels_clear", "wheels_chocked", "wheels_on_rail"}),
    frozenset({"boiler_cold", "under_pressure"}),
)


def words_of(fact: str, kind: str) -> tuple[str, str]:
    """Return what to do first where a fact is needed and when not to act where it is excluded, by kind of engine."""
    return _BY_KIND.get(kind, {}).get(fact, GATE_FACTS[fact])


def needed(needs: Collection[str], uses: Collection[str], authority: str) -> frozenset[str]:
    """Return what must be so: what the entry says, and what air and steam always need."""
    implied = frozenset[str]().union(*(_NEEDED_BY_USE[use] for use in uses))
    # The inspector's own steam test is how an engine comes by its certificate.
    return frozenset(needs) | (implied - {"certificate_in_date"} if authority == "inspector" else implied)


def excluded(excludes: Collection[str], uses: Collection[str]) -> frozenset[str]:
    """Return what must not be so: what the entry says, and what heat, steam and solvent never meet."""
    return frozenset(excludes).union(*(_EXCLUDED_BY_USE[use] for use in uses))
