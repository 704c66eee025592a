"""Sets of cards to start from, read from card_sets.toml; all that is wrong in the file is listed at once."""

import tomllib
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from functools import cache
from pathlib import Path
from typing import Any

from restorations.knowledge import load
from restorations.tasks.systems import SYSTEMS

SHIPPED = Path(__file__).parent / "card_sets.toml"
BASES = ("published", "club_record", "judgement")
MOST_HOURS = 200.0
_SET_KEYS = {"id", "title", "what", "basis", "source", "cards"}
_NEEDED = {"id", "title", "what", "hours"}
_CARD_KEYS = _NEEDED | {"system", "each_side", "after", "bring", "good_first_job"}


class InvalidCardSets(ValueError):
    """The file cannot be used; `offenders` says everything that is wrong with it."""

    def __init__(self, offenders: Sequence[str]) -> None:
        super().__init__("; ".join(offenders))
        self.offenders = tuple(offenders)


@dataclass(frozen=True, slots=True)
class StartingCard:
    """A card to start from: hours at best, most likely and at worst; what comes first, within its set."""

    id: str
    title: str
    what: str
    hours: tuple[float, float, float]
    system: str = ""
    side: str = ""
    each_side: bool = False
    after: tuple[str, ...] = ()
    bring: str = ""
    is_good_first_job: bool = False


@dataclass(frozen=True, slots=True)
class CardSet:
    """The cards of one stage, with where they come from."""

    id: str
    title: str
    what: str
    basis: str
    source: str
    cards: tuple[StartingCard, ...]

    def for_sides(self, sides: Sequence[str]) -> tuple[StartingCard, ...]:
        """The cards of an engine with cylinders on these sides, what comes first before what comes after."""
        placed = {card.id: _placed(card, sides) for card in self.cards}
        return tuple(
            replace(one, after=tuple(_ids_before(one, card, placed))) for card in self.cards for one in placed[card.id]
        )


def _placed(card: StartingCard, sides: Sequence[str]) -> list[StartingCard]:
    if not card.each_side or len(sides) < 2:
        return [card]
    return [replace(card, id=f"{card.id}@{side}", side=side, title=f"{card.title}, {side}") for side in sides]


def _ids_before(one: StartingCard, card: StartingCard, placed: Mapping[str, list[StartingCard]]) -> Iterator[str]:
    """A card of one side waits for the same side's; a card of the whole engine for both."""
    for earlier in card.after:
        for other in placed[earlier]:
            if not (one.side and other.side) or one.side == other.side:
                yield other.id


def load_card_sets() -> dict[str, CardSet]:
    """The shipped sets by id, in order of work."""
    return _shipped()


@cache
def _shipped() -> dict[str, CardSet]:
    return read_card_sets(SHIPPED)


def read_card_sets(path: Path) -> dict[str, CardSet]:
    """Read a file; raises InvalidCardSets with all offenders."""
    try:
        tables = tomllib.loads(path.read_text(encoding="utf-8")).get("sets", [])
    except (tomllib.TOMLDecodeError, UnicodeDecodeError) as error:
        raise InvalidCardSets([f"{path.name}: {error}"]) from None
    offenders = [f"{path.name}: {wrong}" for wrong in _wrong_in(tables)]
    if offenders:
        raise InvalidCardSets(offenders)
    return {table["id"]: _set(table) for table in tables}


def _set(table: Mapping[str, Any]) -> CardSet:
    cards = tuple(_card(card) for card in table["cards"])
    return CardSet(table["id"], table["title"], table["what"], table["basis"], table["source"], cards)


def _card(table: Mapping[str, Any]) -> StartingCard:
    low, likely, high = table["hours"]
    return StartingCard(
        id=table["id"], title=table["title"], what=table["what"], hours=(float(low), float(likely), float(high)),
        system=table.get("system", ""), each_side=table.get("each_side", False), after=tuple(table.get("after", ())),
        bring=table.get("bring", ""), is_good_first_job=table.get("good_first_job", False),
    )  # fmt: skip


def _wrong_in(tables: Sequence[Mapping[str, Any]]) -> Iterator[str]:
    if not tables:
        yield "no [[sets]] in it"
    seen: set[str] = set()
    for number, table in enumerate(tables, start=1):
        name = str(table.get("id", f"set {number}"))
        yield from (f"{name}: {key}: missing" for key in sorted(_SET_KEYS - table.keys()))
        yield from (f"{name}: {key}: not a key of a set" for key in sorted(table.keys() - _SET_KEYS))
        if name in seen:
            yield f"{name}: id: used twice"
        seen.add(name)
        yield from (f"{name}: {wrong}" for wrong in _wrong_in_provenance(table))
        yield from (f"{name}: {wrong}" for wrong in _wrong_in_cards(table.get("cards", [])))


def _wrong_in_provenance(table: Mapping[str, Any]) -> Iterator[str]:
    if table.get("basis") not in (None, *BASES):
        yield f"basis: one of {', '.join(BASES)}, not {table['basis']!r}"
    source = table.get("source")
    if source is not None and source not in load().sources:
        yield f"source: {source!r} is not in sources.toml"


def _wrong_in_cards(cards: Sequence[Mapping[str, Any]]) -> Iterator[str]:
    seen: list[str] = []
    for number, card in enumerate(cards, start=1):
        name = str(card.get("id", f"card {number}"))
        yield from (f"{name}: {key}: missing" for key in sorted(_NEEDED - card.keys()))
        yield from (f"{name}: {key}: not a key of a card" for key in sorted(card.keys() - _CARD_KEYS))
        if name in seen:
            yield f"{name}: id: used twice"
        for other in card.get("after", ()):
            if other not in seen:
                yield f"{name}: after: {other!r} is no earlier card of this set"
        if "system" in card and card["system"] not in SYSTEMS:
            yield f"{name}: system: one of {', '.join(SYSTEMS)}, not {card['system']!r}"
        if "hours" in card and not _in_order(card["hours"]):
            yield f"{name}: hours: three numbers, 0 < at best <= likely <= at worst <= {MOST_HOURS:g}"
        if len(str(card.get("title", ""))) > 70:
            yield f"{name}: title: longer than 70 characters"
        seen.append(name)


def _in_order(hours: Any) -> bool:
    if not isinstance(hours, list) or len(hours) != 3:
        return False
    if not all(isinstance(hour, int | float) and not isinstance(hour, bool) for hour in hours):
        return False
    low, likely, high = hours
    return bool(0 < low <= likely <= high <= MOST_HOURS)
