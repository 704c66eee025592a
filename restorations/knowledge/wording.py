"""Places in members' words."""

from __future__ import annotations

from restorations.knowledge.configuration import LOCOMOTIVES, NOT_KNOWN, Configuration
from restorations.knowledge.places import Place

_WORDS = {
    "left": "left side",
    "middle": "inside, in the middle",
    "right": "right side",
    "front": "front end",
    "back": "back end",
    "fore_gear": "fore gear",
    "back_gear": "back gear",
    "engine_pump": "engine-driven pump",
    "hand_pump": "hand pump",
    "injector1": "first injector",
    "injector2": "second injector",
}
_ORDINALS = ("first", "second", "third", "fourth", "fifth", "sixth")


def in_words(place: Place, configuration: Configuration) -> str:
    """Name a place: "left side, front end"; nothing for the whole engine, or for the only cylinder."""
    only_cylinder = configuration.cylinder_sides == ("middle",)
    words = []
    for coordinate, value in place.coordinates().items():
        if coordinate == "axle":
            words.append(_axle_in_words(int(value.removeprefix("axle")), configuration))
        elif value == "injector1" and configuration.injector == "one":
            words.append("injector")
        elif not (value == "middle" and only_cylinder):
            words.append(_WORDS[value])
    return ", ".join(words)


def _axle_in_words(number: int, configuration: Configuration) -> str:
    if configuration.axle_count == 1:
        return "driving axle" if configuration.kind in (*LOCOMOTIVES, NOT_KNOWN) else "crankshaft"
    name = _axle_name(number, configuration.axle_count)
    return f"{name} (driving) axle" if number == configuration.driving_axle else f"{name} axle"


def _axle_name(number: int, count: int) -> str:
    if number == 1:
        return "leading"
    if number == count:
        return "trailing"
    return "middle" if count == 3 else _ORDINALS[number - 1]
