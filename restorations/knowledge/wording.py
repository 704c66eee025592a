"""Places in members' words."""

from __future__ import annotations

import re

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
_THIS = re.compile(r"\b(this) (side|end|axle)\b('s)?", re.I)
_KINDS = {"inside": "side", "crankshaft": "axle"}
_ORDINALS = ("first", "second", "third", "fourth", "fifth", "sixth")

# Where there are no sides to tell apart: "this side's" is "the", "of this side" says nothing.
_SIDE = re.compile(r"\b(?P<t>[Tt])his side's\b| (?:of|on|at) this side\b|\b(?P<it>[Tt]his side)\b")


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
    if number == configuration.driving_axle:
        return "driving axle"
    return f"{_axle_name(number, configuration.axle_count)} axle"


def _axle_name(number: int, count: int) -> str:
    if number == 1:
        return "leading"
    if number == count:
        return "trailing"
    return "middle" if count == 3 else _ORDINALS[number - 1]


def said_at(text: str, where: str) -> str:
    """Name the place within a text: "this side's rod" becomes "the left side's rod", or "the rod" of an only one."""
    named = {_kind(piece): piece for piece in _pieces(where)}

    def named_there(found: re.Match[str]) -> str:
        this, kind, owns = found.groups(default="")
        if kind not in named:
            return found[0]
        the = "The" if this[0].isupper() else "the"
        return f"{the} {named[kind]}{'' if named[kind] == 'inside' else owns}"

    said = _THIS.sub(named_there, text)
    return said if "side" in named else _SIDE.sub(_without_side, said)


def _without_side(found: re.Match[str]) -> str:
    if found["it"]:
        return "It" if found["it"][0].isupper() else "it"
    return f"{found['t']}he" if found["t"] else ""


def _kind(piece: str) -> str:
    last = piece.rsplit(" ", 1)[-1]
    return _KINDS.get(last, last)


def titled_at(title: str, where: str) -> str:
    """Return the title with its place named within it, or in brackets after it where it has no word for it."""
    said = said_at(title, where)
    rest = [piece for piece in _pieces(where) if f"the {piece}" not in said.lower()]
    return f"{said} ({', '.join(rest)})" if rest else said


def _pieces(where: str) -> list[str]:
    return where.replace(_WORDS["middle"], "inside").split(", ") if where else []
