"""The knowledge's numbers, codes and ids in words; a page says both the word and the number."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass

from restorations.faults.wording import (
    RISK_TO_PEOPLE,
    RISK_TO_THE_ENGINE,
    as_fraction,
    days_in_words,
    minutes_in_words,
    part_apart,
)
from restorations.knowledge import CHOICES, LABELS, Knowledge
from restorations.knowledge.entries import Action, Applies, Cause, Check, Entry, Factor, Finding, Link, Source
from restorations.knowledge.gate_facts import GATE_FACTS
from restorations.knowledge.places import AT, split_id
from restorations.knowledge.rules import COMMON_PRACTICE

# The four words a base rate is named by, and how strongly a cause shows; the bands are ours.
FREQUENCY = ((0.1, "very common"), (0.03, "common"), (0.01, "occasional"), (0.0, "rare"))
STRENGTH = (
    (0.9, "nearly always"), (0.65, "mostly"), (0.35, "about half the time"), (0.12, "sometimes"), (0.0, "seldom"),
)  # fmt: skip
CLASS_WORDS = {
    "idle_for_years": "Idle for two years or more",
    "freshly_assembled": "Freshly put together, not yet run",
    "in_regular_use": "In regular use",
}
BASIS_WORDS = {
    "published": "published",
    "club_record": "the club's own record",
    "judgement": "judgement: our best estimate, nobody has counted it",
}
HISTORY_WORDS = {
    "ever_ran": {"yes": "it has run", "no": "it has never run"},
    "ran_well_when_put_away": {"yes": "it ran well when it was put away", "no": "it did not run well when put away"},
    "rebuilt_since": {"yes": "rebuilt since", "no": "not rebuilt since"},
    "first_run_done": {"yes": "it has run since", "no": "it has not run since"},
    "stored": {"damp": "stored damp", "dry": "stored dry", "oiled": "stored oiled", "drained": "stored drained"},
}
PLACE_WORDS = {"side": "side", "end": "end", "axle": "axle", "gear": "gear", "feed": "feed"}
AUTHORITY_WORDS = {
    "member": "any member", "mentor": "after a mentor's go-ahead", "inspector": "the club's inspector only",
}  # fmt: skip
STATUS_WORDS = {"draft": "a draft: it does not count yet", "withdrawn": "withdrawn"}
USE_WORDS = {"air": "compressed air", "heat": "heat", "steam": "steam", "solvent": "a volatile solvent"}


def how_common(rate: float) -> str:
    return next(word for least, word in FREQUENCY if rate >= least)


def how_strong(chance: float) -> str:
    return next(word for least, word in STRENGTH if chance >= least)


def per_cent(chance: float) -> str:
    """Two figures that mean something: "80 %", "0.4 %"."""
    return f"{100 * chance:.2g}\u00a0%" if chance < 0.995 else f"{100 * chance:.3g}\u00a0%"


def strength_words(chance: float) -> str:
    return f"{how_strong(chance)}, {per_cent(chance)}" if chance else "never by itself"


@dataclass(frozen=True, slots=True)
class Provenance:
    """Where an entry comes from, to be read and followed."""

    basis: str
    title: str = ""
    details: str = ""
    key: str = ""
    address: str = ""


def provenance(basis: str, source: str, sources: Mapping[str, Source]) -> Provenance:
    found = sources.get(source)
    if source == COMMON_PRACTICE or found is None:
        return Provenance(BASIS_WORDS[basis], "common practice, no source")
    details = [found.details[name] for name in ("author", "publisher", "year", "page") if name in found.details]
    return Provenance(BASIS_WORDS[basis], found.title, ", ".join(details), source, followable(found))


def followable(source: Source) -> str:
    """The address, where it is one that a browser may be led to."""
    address = source.details.get("address", "")
    return address if address.startswith(("https://", "http://")) else ""


def where(entry: Cause | Finding | Check) -> str:
    """At which of its places an engine has the thing: "each side and end"."""
    named = [PLACE_WORDS[coordinate] for coordinate in entry.place]
    if not named:
        return "once for the engine"
    of_wheels = " (as the wheels have sides)" if "side" in entry.place and entry.sides == "wheels" else ""
    return f"for each {' and '.join(named)}{of_wheels}"


def at_words(at: str) -> str:
    return AT[at]


def builds(applies: Applies) -> list[str]:
    """On which builds only: "Valve gear: Stephenson or Joy"."""
    return [f"{LABELS[field]}: {_choices(field, values)}" for field, values in applies.items()]


def _choices(field: str, values: Iterable[str | int]) -> str:
    words = CHOICES.get(field, {})
    return " or ".join(words.get(str(value), str(value)) for value in values)


def factor_words(factor: Factor) -> str:
    told = [" or ".join(HISTORY_WORDS[key][value] for value in values) for key, values in factor.answers.items()]
    times = f"odds × {factor.times:g}"
    return f"{', '.join(told).capitalize()}: {times}"


def part_words(name: str, knowledge: Knowledge) -> str:
    part, place = split_id(name)
    title = knowledge.parts[part].title.partition(" (")[0] if part in knowledge.parts else part.replace("_", " ")
    at = ", ".join(value.replace("_", " ") for value in place.coordinates().values())
    return f"{title[:1].lower()}{title[1:]}{f' ({at})' if at else ''}"


def parts_off_words(names: Iterable[str], knowledge: Knowledge) -> str:
    """With what "off" means for a part where that is not plainly taken off."""
    told = []
    for name in names:
        part = knowledge.parts.get(split_id(name)[0])
        meaning = part_apart(part.title)[1] if part else ""
        told.append(f"{part_words(name, knowledge)}{f': {meaning}' if meaning else ''}")
    return "; ".join(told)


def parts_words(names: Iterable[str], knowledge: Knowledge) -> str:
    return ", ".join(part_words(name, knowledge) for name in names)


def through_words(link: Link, knowledge: Knowledge) -> str:
    """What carries it: with one of these off, the cause cannot show."""
    return ", ".join(" or ".join(part_words(name, knowledge) for name in names) for names in link.through)


def condition_words(named: Mapping[str, Iterable[str] | str], knowledge: Knowledge) -> str:
    told = []
    for name, values in named.items():
        title = knowledge.conditions[name].title if name in knowledge.conditions else name.replace("_", " ")
        listed = [values] if isinstance(values, str) else list(values)
        told.append(f"{title[:1].lower()}{title[1:]} {' or '.join(value.replace('_', ' ') for value in listed)}")
    return ", ".join(told)


def gate_words(action: Action) -> list[str]:
    """What must be so first, and when it is never done."""
    first = [f"First: {GATE_FACTS[fact][0]}" for fact in GATE_FACTS if fact in action.needs]
    never = [f"Not {GATE_FACTS[fact][1]}" for fact in GATE_FACTS if fact in action.excludes]
    uses = [f"Uses {USE_WORDS[use]}" for use in sorted(action.uses)]
    return first + never + uses


@dataclass(frozen=True, slots=True)
class Effort:
    """What an action costs and risks, and who may do it, in words."""

    minutes: str
    waiting: str
    risk_engine: str
    risk_person: str
    who: str
    gates: list[str]


def effort(action: Action) -> Effort:
    return Effort(
        minutes=minutes_in_words(action.minutes),
        waiting=days_in_words(action.waiting_days) if action.waiting_days else "",
        risk_engine=RISK_TO_THE_ENGINE[action.risk_engine],
        risk_person=RISK_TO_PEOPLE[action.risk_person],
        who=_who(action),
        gates=gate_words(action),
    )


def _who(action: Action) -> str:
    if action.making_safe:
        return "anybody, at once: it makes safe"
    if action.authority == "member" and action.is_risky:
        return AUTHORITY_WORDS["mentor"]
    return AUTHORITY_WORDS[action.authority]


def reliability(check: Check) -> str:
    """How far an examination can be trusted, in words and numbers."""
    return (
        f"finds it {as_fraction(check.sensitivity)} times when it is there ({per_cent(check.sensitivity)}), and says "
        f"so {as_fraction(check.false_alarm)} times when it is not ({per_cent(check.false_alarm)})"
    )


def status_words(entry: Entry) -> str:
    return STATUS_WORDS.get(entry.status, "")
