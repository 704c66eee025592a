"""The systems of an engine and its sides, as cards and the day book name them."""

from restorations.engines.models.history import GENERAL
from restorations.engines.models.history import SYSTEMS as WITH_HISTORY

SYSTEMS = {
    **{system: words for system, words in WITH_HISTORY.items() if system != GENERAL},
    "frame": "Frame, bodywork and paint",
}
SIDES = {"left": "left", "right": "right", "inside": "inside", "middle": "middle"}


def systems() -> dict[str, str]:
    return SYSTEMS


def sides() -> dict[str, str]:
    return SIDES


def place_in_words(system: str, side: str) -> str:
    """ "Cylinders and pistons, left"; nothing where neither is known."""
    return ", ".join(words for words in (SYSTEMS.get(system, ""), SIDES.get(side, "")) if words)
