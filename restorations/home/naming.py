"""Parts and places in words where rows of several engines stand together and none's configuration is read."""

from functools import cache

from restorations.knowledge import Configuration, in_words, load
from restorations.knowledge.places import Place

ANY_ENGINE = Configuration()


@cache
def place_words(place: str) -> str:
    """ "left side, front end"; what is no place of the knowledge reads as it was written."""
    try:
        return in_words(Place.parse(place or "engine"), ANY_ENGINE)
    except ValueError:
        return place.replace("_", " ").replace("@", ", ")


@cache
def part_title(component: str) -> str:
    """The knowledge's name without what stands in brackets, else the id read as words."""
    part = load().parts.get(component)
    return part.title.partition(" (")[0] if part else component.replace("_", " ").capitalize()


def part_words(component: str, place: str, name: str = "") -> str:
    """ "Connecting rod, left side"; one's own words where the knowledge has none."""
    title = part_title(component) if component else name
    where = place_words(place) if place else ""
    return ", ".join(words for words in (title or "a part to be named", where) if words)


def soak_words(place: str) -> str:
    """Where something soaks: a part, a side, or the whole engine."""
    component, at, side = place.partition("@")
    return part_words(component, side) if at else place_words(place) or "the whole engine"


def components_named(word: str) -> frozenset[str]:
    """Parts of the knowledge whose name holds the word."""
    sought = word.casefold()
    return frozenset(part.id for part in load().parts.values() if sought in part.title.casefold())
