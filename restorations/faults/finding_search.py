"""Finding a finding by words, by the place tapped on the outline or by a plain question; a step by words or system."""

import re
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from restorations.knowledge import EngineKnowledge
from restorations.knowledge.engine import PlacedAction, PlacedCheck, PlacedFinding, PlacedRemedy
from restorations.knowledge.entries import Finding

# What a tap on a region of the outline means, in the knowledge's own places.
REGION_AT: dict[str, frozenset[str]] = {
    "wheels": frozenset({"wheels", "axlebox", "crankpin", "spring", "track"}),
    "coupling_rods": frozenset({"coupling_rod", "crankpin"}),
    "connecting_rods": frozenset({"connecting_rod", "crosshead", "slide_bars"}),
    "cylinders": frozenset({"cylinder", "cylinder_cover", "piston_gland"}),
    "steam_chest": frozenset({"steam_chest", "valve_spindle"}),
    "valve_gear": frozenset({"eccentric", "return_crank", "expansion_link", "weighshaft"}),
    "reverser": frozenset({"reverser", "weighshaft"}),
    "regulator": frozenset({"regulator", "steam_pipe", "cab"}),
    "smokebox": frozenset({"smokebox", "chimney", "exhaust", "steam_pipe", "snifting_valve", "blower", "ejector"}),
    "lubricator": frozenset({"lubricator", "oil_pipe"}),
    "crankshaft": frozenset({"axlebox", "crankpin", "wheels"}),
    "drain_cocks": frozenset({"drain_cocks"}),
    "feed_pump": frozenset({"feed_pump"}),
    "truck": frozenset({"truck"}),
    "brake": frozenset({"brake"}),
    "boiler": frozenset({"boiler", "tubes", "blow_down", "clack"}),
    "firebox": frozenset({"firebox", "grate", "ashpan", "burner", "gas_tank", "fusible_plug", "tubes"}),
    "boiler_fittings": frozenset(
        {"water_gauge", "pressure_gauge", "safety_valve", "whistle", "turret", "blow_down", "fusible_plug", "cab"}
    ),
    "feeds": frozenset({"tank", "injector", "hand_pump", "hose", "clack"}),
    "frame": frozenset({"frame"}),
    "tender": frozenset({"tender"}),
}
REGION_WORDS = {
    "coupling_rods": "coupling rods", "connecting_rods": "connecting rods", "steam_chest": "steam chest",
    "valve_gear": "valve gear", "drain_cocks": "drain cocks", "feed_pump": "feed pump", "truck": "truck or bogie",
    "boiler_fittings": "gauges, valves and whistle", "feeds": "water tank, injector and hand pump",
}  # fmt: skip
# Plain questions somebody at the bench would ask: a system, or the first whose words a title holds, takes the finding.
QUESTIONS = (
    ("oil", "Does the oil arrive?"),
    ("fire", "Does it make steam: fire, draught, flame?"),
    ("feed", "Does water go in?"),
    ("boiler", "Boiler, gauges and valves: do they weep, do they tell the truth?"),
    ("line", "On the line: does it slip, tighten, come off?"),
    ("heard", "What is heard: knocks, beats, squeals?"),
    ("escapes", "Where do steam, air or water come out?"),
    ("by_hand", "Turned or moved by hand: is it tight, and where?"),
    ("runs", "Does it run, and how well?"),
    ("seen", "What is seen or felt: rust, rubbing, loose or missing parts?"),
)
_QUESTION_OF_SYSTEM = {
    "lubrication": "oil", "firing": "fire", "feed": "feed", "boiler": "boiler", "fittings": "boiler", "track": "line",
}  # fmt: skip
# Where the way of the steam shows that there is not enough of it.
_SHORT_OF_STEAM = frozenset({"boiler", "smokebox"})
_HEARD = re.compile(r"knock|click|clank|squeal|groan|beat|rattle|lame", re.I)
_ESCAPES = re.compile(r"blow|leak|steam|water|air put|no air|puff|snift", re.I)
LONGEST_SEARCH = 200
SHORTEST_PIECE = 3
SYSTEMS = {
    "motion": "Wheels, rods and motion", "cylinders": "Cylinders and pistons", "valve_gear": "Valves and valve gear",
    "lubrication": "Lubrication", "steam_path": "Regulator, steam pipes and exhaust",
    "boiler": "Boiler", "firing": "Fire and fuel", "feed": "Water and feed",
    "fittings": "Gauges, valves and fittings", "track": "Wheels on the track, brakes, springs",
}  # fmt: skip
_COMMON = frozenset(
    [
        "a",
        "an",
        "and",
        "are",
        "at",
        "be",
        "by",
        "does",
        "for",
        "from",
        "has",
        "have",
        "in",
        "is",
        "it",
        "its",
        "not",
        "of",
        "off",
        "on",
        "or",
        "the",
        "to",
        "was",
        "when",
        "will",
        "with",
    ]
)


@dataclass(frozen=True, slots=True)
class FindingChoice:
    """One finding with the places it can be at on this engine."""

    entry: Finding
    places: tuple[PlacedFinding, ...]


@dataclass(frozen=True, slots=True)
class QuestionGroup:
    question: str
    choices: tuple[FindingChoice, ...]


def choices_of(expanded: EngineKnowledge) -> list[FindingChoice]:
    """Every finding this engine can show, each once, whatever the number of its places."""
    by_entry: dict[str, list[PlacedFinding]] = {}
    for placed in expanded.findings.values():
        by_entry.setdefault(placed.entry.id, []).append(placed)
    return [FindingChoice(placed[0].entry, tuple(placed)) for placed in by_entry.values()]


def search(expanded: EngineKnowledge, text: str, *, at: Iterable[str] = ()) -> list[FindingChoice]:
    """Those whose title, words or question hold what was typed, best first; `at` keeps to places of the outline."""
    wanted = words_in(text[:LONGEST_SEARCH])
    places = frozenset(at)
    kept = [choice for choice in choices_of(expanded) if not places or choice.entry.at in places]
    if not wanted:
        return kept if places else []
    typed = " ".join(text[:LONGEST_SEARCH].lower().split())
    scored = [(_score(choice.entry, wanted) + _said(choice.entry, typed), choice) for choice in kept]
    return [choice for score, choice in sorted(scored, key=lambda pair: -pair[0]) if score > 0]


@dataclass(frozen=True, slots=True)
class Actions:
    """Checks and remedies found."""

    checks: tuple[PlacedCheck, ...]
    remedies: tuple[PlacedRemedy, ...]

    def grouped(self) -> list[tuple[str, Sequence[PlacedAction]]]:
        """Under headings; an empty one is left out."""
        groups = (("Looked at or tried", self.checks), ("Put right", self.remedies))
        return [(heading, rows) for heading, rows in groups if rows]


def action_search(expanded: EngineKnowledge, text: str, *, system: str = "") -> Actions:
    """Those whose names hold every word typed, or those of a system; nothing where nothing is asked."""
    wanted = words_in(text)

    def found(row: PlacedAction) -> bool:
        return all(holds(words_in(row.name), word) for word in wanted) if wanted else row.entry.system == system

    def by_name(row: PlacedAction) -> str:
        return row.name

    return Actions(
        tuple(sorted(filter(found, expanded.checks.values()), key=by_name)),
        tuple(sorted(filter(found, expanded.remedies.values()), key=by_name)),
    )


def on_side(choices: Iterable[FindingChoice], side: str) -> list[FindingChoice]:
    """Only the places on this side, where a thing has one there: whoever tapped a drawing said which side it shows."""
    kept = []
    for choice in choices:
        here = tuple(placed for placed in choice.places if placed.place.side == side)
        kept.append(FindingChoice(choice.entry, here or choice.places))
    return kept


def grouped(choices: Iterable[FindingChoice]) -> list[QuestionGroup]:
    """The same under plain questions."""
    groups: dict[str, list[FindingChoice]] = {key: [] for key, _ in QUESTIONS}
    for choice in choices:
        groups[_question_of(choice.entry)].append(choice)
    return [QuestionGroup(words, tuple(groups[key])) for key, words in QUESTIONS if groups[key]]


def _question_of(entry: Finding) -> str:
    if entry.system == "steam_path" and entry.at in _SHORT_OF_STEAM:
        return "fire"
    if entry.system in _QUESTION_OF_SYSTEM:
        return _QUESTION_OF_SYSTEM[entry.system]
    if _HEARD.search(entry.title):
        return "heard"
    if _ESCAPES.search(entry.title):
        return "escapes"
    driven = entry.requires.get("driven_by", "")
    if driven == "by_hand":
        return "by_hand"
    return "runs" if driven or entry.system in {"steam_path", "valve_gear"} else "seen"


def words_in(text: str) -> set[str]:
    """The words worth looking for, without their endings."""
    return {_stem(word) for word in re.findall(r"[a-z]+", text.lower()) if word not in _COMMON}


def _stem(word: str) -> str:
    """Enough to let "leaking" find "leak" and "wheels" find "wheel"."""
    for ending in ("ing", "ed", "es", "s"):
        if word.endswith(ending) and len(word) - len(ending) >= 4:
            return word[: -len(ending)]
    return word


def _score(entry: Finding, wanted: set[str]) -> float:
    title, words, rest = words_in(entry.title), words_in(" ".join(entry.words)), words_in(entry.ask)
    return sum(3.0 * holds(title, word) + 2.0 * holds(words, word) + 0.5 * holds(rest, word) for word in wanted)


def _said(entry: Finding, typed: str) -> float:
    """A whole saying of the trade found in what was typed says more than its words scattered: "will not turn"."""
    return 5.0 * any(saying in typed for saying in (*entry.words, *entry.levels[1:]) if " " in saying)


def holds(words: set[str], sought: str) -> bool:
    """Whether one of the words is the one sought, or begins with it while it is still being typed."""
    return sought in words or (len(sought) >= SHORTEST_PIECE and any(word.startswith(sought) for word in words))
