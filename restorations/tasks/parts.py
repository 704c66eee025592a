"""The parts an engine of this configuration can have off, and the places where it can soak, in a member's words."""

from functools import lru_cache

from restorations.knowledge import Configuration, History, expand, in_words, load
from restorations.knowledge.places import Place


@lru_cache(maxsize=64)
def part_names(configuration: Configuration) -> dict[str, str]:
    """Part id -> name, states of the engine (fire, water) left out; sorted by name."""
    parts = expand(load(), configuration, History()).parts.values()
    named = {part.id: part.name for part in parts if not part.entry.is_state}
    return dict(sorted(named.items(), key=lambda pair: pair[1]))


def soak_places(configuration: Configuration) -> dict[str, str]:
    """Place text -> words: the whole engine, or the cylinder side that soaks."""
    sides = {side: in_words(Place(side=side), configuration) or "the cylinder" for side in configuration.cylinder_sides}
    return {"engine": "the whole engine", **sides}
