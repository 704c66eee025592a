"""What must be so before a connection is parted, by what it carries: common practice, no source."""

from collections.abc import Iterable

_NO_PRESSURE = "no pressure: the gauge at nothing, and a cock opened to prove it"
_COLD = "cold enough to hold"
PRECAUTIONS: dict[str, dict[str, str]] = {
    "steam": {"no_pressure": _NO_PRESSURE, "cold": _COLD, "fire_out": "the fire is out"},
    "air": {"supply_off": "the air supply is shut and its hose undone", "no_pressure": _NO_PRESSURE},
    "water": {
        "tank_valve_shut": "the tank valve is shut", "no_pressure": _NO_PRESSURE, "drained": "drained, a tray under it",
    },
    "oil": {"no_pressure": _NO_PRESSURE, "drained": "drained, or a tray under it"},
    "gas": {
        "gas_off": "the gas is shut at the tank and the pipe burnt off or vented outside", "no_flame": "no flame near",
        "aired": "in the open, or doors open",
    },
    "exhaust": {"no_pressure": _NO_PRESSURE, "cold": _COLD},
    "electricity": {"switched_off": "switched off and unplugged, the battery off", "marked": "both wires marked"},
    "pin_joint": {
        "held": "what hangs on it is held, the wheels chocked", "no_pressure": "no steam or air on the engine",
    },
}  # fmt: skip


def missing_precautions(carries: str, made_safe: Iterable[str]) -> list[str]:
    """In words, what was not made sure of."""
    made = set(made_safe)
    return [words for key, words in PRECAUTIONS.get(carries, {}).items() if key not in made]


def kept_precautions(carries: str, made_safe: Iterable[str]) -> list[str]:
    made = set(made_safe)
    return [words for key, words in PRECAUTIONS.get(carries, {}).items() if key in made]
