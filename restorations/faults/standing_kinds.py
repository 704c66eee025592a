"""The kinds of step a mentor may allow somebody once and for a time, read from the knowledge; no table of steps."""

from restorations.engines.models.history import SYSTEMS
from restorations.knowledge import EngineKnowledge
from restorations.knowledge.engine import PlacedCheck, PlacedRemedy
from restorations.knowledge.entries import Action, Remedy

BOILER_SYSTEMS = frozenset({"boiler", "fittings"})
# What holds steam, fire or gas, or cannot be put back, is looked at afresh each time.
NEVER_IN = BOILER_SYSTEMS | {"firing"}
NEVER_USING = frozenset({"steam"})
TOO_GRAVE = 3
BY = {"air": "on air", "heat": "with heat", "solvent": "with solvent", "hand": "by hand"}


def kind_of(entry: Action) -> str:
    """The kind a risky step belongs to, such as "motion:heat"; empty where it is never allowed beforehand."""
    if not entry.is_risky or entry.system in NEVER_IN or entry.uses & NEVER_USING or is_of_boiler(entry):
        return ""
    if max(entry.risk_person, entry.risk_engine) >= TOO_GRAVE or _cannot_be_undone(entry):
        return ""
    return f"{entry.system}:{next((use for use in BY if use in entry.uses), 'hand')}"


def _cannot_be_undone(entry: Action) -> bool:
    return isinstance(entry, Remedy) and entry.cannot_be_undone


def is_of_boiler(entry: Action) -> bool:
    """Boiler work: the inspector's by its authority, or on the boiler or what is screwed into it."""
    return entry.authority == "inspector" or entry.system in BOILER_SYSTEMS


def kind_in_words(kind: str) -> str:
    """ "motion:heat": "Wheels, rods and motion, with heat"."""
    system, _, by = kind.partition(":")
    return ", ".join(filter(None, (SYSTEMS.get(system, system), BY.get(by, by))))


def kinds_on(expanded: EngineKnowledge) -> dict[str, list[str]]:
    """Every kind of this engine, with the names of the steps it would cover."""
    found: dict[str, list[str]] = {}
    for placed in _actions(expanded):
        kind = kind_of(placed.entry)
        if kind:
            found.setdefault(kind, []).append(placed.name)
    return dict(sorted(found.items(), key=lambda pair: kind_in_words(pair[0])))


def actions_of(expanded: EngineKnowledge, kinds: frozenset[str]) -> frozenset[str]:
    """The placed steps of an engine that these kinds cover."""
    if not kinds:
        return frozenset()
    return frozenset(placed.id for placed in _actions(expanded) if kind_of(placed.entry) in kinds)


def _actions(expanded: EngineKnowledge) -> list[PlacedCheck | PlacedRemedy]:
    return [*expanded.checks.values(), *expanded.remedies.values()]
