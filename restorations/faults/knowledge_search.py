"""Finding an entry of the knowledge by words, by system, by its place on the engine, or by where it comes from."""

from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache

from restorations.faults.finding_search import LONGEST_SEARCH, holds, words_in
from restorations.knowledge import Knowledge
from restorations.knowledge.entries import Cause, Check, Entry, Finding, Remedy

KIND_TITLES = {"causes": "Causes", "findings": "What can be seen", "checks": "Checks", "remedies": "Remedies"}
# What others call it -> what it is called here.
ALIASES = {
    "throttle": "regulator", "check valve": "clack", "cylinder oil": "steam oil", "sight glass": "water gauge",
    "gauge glass": "water gauge", "pop valve": "safety valve", "petcock": "drain cock", "pet cock": "drain cock",
    "stuffing box": "gland", "wrist pin": "gudgeon", "smokestack": "chimney", "stack": "chimney", "bogie": "truck",
    "reverse": "back gear", "forward": "fore gear", "exhaust nozzle": "blast pipe", "main rod": "connecting rod",
    "side rod": "coupling rod", "guide bar": "slide bar", "journal box": "axlebox", "valve chest": "steam chest",
}  # fmt: skip


@dataclass(frozen=True, slots=True)
class Asked:
    """What somebody looks for; an empty field does not matter."""

    text: str = ""
    system: str = ""
    at: str = ""
    source: str = ""

    @property
    def is_anything(self) -> bool:
        return bool(self.text.strip() or self.system or self.at or self.source)


@dataclass(frozen=True, slots=True)
class Group:
    kind: str
    title: str
    entries: Sequence[Entry]


@dataclass(frozen=True, slots=True)
class _Words:
    kind: str
    entry: Entry
    title: set[str]
    said: set[str]
    rest: set[str]


def find(knowledge: Knowledge, asked: Asked) -> list[Group]:
    """Best first where words were typed, else by title; an empty kind is left out."""
    if not asked.is_anything:
        return []
    typed = asked.text[:LONGEST_SEARCH].lower()
    wanted = [words_in(typed), words_in(_in_our_words(typed))]
    if typed.strip() and not any(wanted):
        return []
    scored = [
        (max(_score(row, words) for words in wanted), row) for row in _index(knowledge) if _fits(row.entry, asked)
    ]
    kept = sorted(
        ((score, row) for score, row in scored if score > 0), key=lambda pair: (-pair[0], pair[1].entry.title)
    )
    groups = [
        Group(kind, title, [row.entry for _, row in kept if row.kind == kind]) for kind, title in KIND_TITLES.items()
    ]
    return [group for group in groups if group.entries]


def _in_our_words(typed: str) -> str:
    for other, ours in ALIASES.items():
        typed = typed.replace(other, ours)
    return typed


def _fits(entry: Entry, asked: Asked) -> bool:
    system = not asked.system or entry.system == asked.system
    at = not asked.at or getattr(entry, "at", "") == asked.at
    return system and at and (not asked.source or asked.source in _sources(entry))


def _sources(entry: Entry) -> set[str]:
    return {entry.source, *(link.source for link in getattr(entry, "links", ()))}


def _score(row: _Words, wanted: set[str]) -> float:
    """Every word has to be somewhere; in the title it says most. Nothing typed: everything is as good."""
    scores = [
        3.0 * holds(row.title, word) + 2.0 * holds(row.said, word) + 0.5 * holds(row.rest, word) for word in wanted
    ]
    return sum(scores, start=1.0) if all(scores) else 0.0


@lru_cache(maxsize=4)
def _index(knowledge: Knowledge) -> list[_Words]:
    tables = {kind: getattr(knowledge, kind) for kind in KIND_TITLES}
    return [
        _Words(kind, entry, words_in(entry.title), words_in(_said(entry)), words_in(_rest(entry)))
        for kind, entries in tables.items()
        for entry in entries.values()
    ]


def _said(entry: Entry) -> str:
    """What members say for it."""
    return " ".join((*entry.words, *entry.levels)) if isinstance(entry, Finding) else ""


def _rest(entry: Entry) -> str:
    if isinstance(entry, Cause):
        return entry.explain
    if isinstance(entry, Check | Remedy):
        return " ".join((entry.how, *entry.tools))
    return entry.ask if isinstance(entry, Finding) else ""
