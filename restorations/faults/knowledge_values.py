"""The numbers and words of an entry that matter: as a form asks for them, and as a change of them is told."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Any

from restorations.faults.knowledge_words import AUTHORITY_WORDS, CLASS_WORDS, how_common, per_cent, strength_words
from restorations.faults.wording import RISK_TO_PEOPLE, RISK_TO_THE_ENGINE
from restorations.knowledge import Knowledge
from restorations.knowledge.entry_text import Path


@dataclass(frozen=True, slots=True)
class Asked:
    """One value of an entry as a form asks for it."""

    path: Path
    label: str
    how: str
    """number | line | words | lines | flag | choice"""
    choices: Sequence[tuple[Any, str]] = ()


def value_at(raw: Any, path: Path) -> Any:
    for step in path:
        try:
            raw = raw[step]
        except (KeyError, IndexError, TypeError):
            return None
    return raw


def values_of(kind: str, raw: dict[str, Any], knowledge: Knowledge) -> Iterator[tuple[str, Asked]]:
    yield "", Asked(("title",), "What it is called", "line")
    if kind == "causes":
        yield from _of_cause(raw)
    elif kind == "findings":
        yield from _of_finding(raw, knowledge)
    else:
        yield from _of_action(kind, raw)


def _of_cause(raw: dict[str, Any]) -> Iterator[tuple[str, Asked]]:
    yield "", Asked(("explain",), "What it is", "words")
    legend = "How common it is, as a chance"
    for name, label in CLASS_WORDS.items():
        yield legend, Asked(("rate", name), label, "number")
    for number, factor in _tables(raw.get("when")):
        told = ", ".join(f"{key.replace('_', ' ')}: {value}" for key, value in factor.items() if key != "times")
        yield "What multiplies the odds", Asked(("when", number, "times"), told.capitalize(), "number")
    yield "", Asked(("dangerous",), "It can hurt somebody", "flag")


def _of_finding(raw: dict[str, Any], knowledge: Knowledge) -> Iterator[tuple[str, Asked]]:
    yield "", Asked(("ask",), "How it is asked for", "words")
    yield "", Asked(("words",), "What members say for it", "lines")
    levels = [str(level) for level in _listed(raw.get("levels"))]
    steps = [f"{level} or more" for level in levels[1:-1]] + levels[-1:]
    for number, level in enumerate(steps):
        yield "Seen with nothing wrong", Asked(("leak", number), level.capitalize(), "number")
    for place, link in _tables(raw.get("links")):
        cause = knowledge.causes.get(str(link.get("cause")))
        legend = str(cause.title if cause else link.get("cause", ""))
        legend += " (on the other side)" if link.get("across") else ""
        for number, level in enumerate(steps):
            yield legend, Asked(("links", place, "strengths", number), level.capitalize(), "number")


def _of_action(kind: str, raw: dict[str, Any]) -> Iterator[tuple[str, Asked]]:
    yield "", Asked(("how",), "How it is done", "words")
    yield "Effort", Asked(("minutes",), "Minutes at the bench", "number")
    yield "Effort", Asked(("waiting_days",), "Days of waiting", "number")
    if kind == "remedies":
        yield "Effort", Asked(("success",), "Chance that it cures", "number")
    else:
        yield "How far it can be trusted", Asked(("sensitivity",), "Chance to find it when it is there", "number")
        yield "How far it can be trusted", Asked(("false_alarm",), "Chance to say so when it is not", "number")
    yield "", Asked(("tools",), "Tools", "lines")
    yield "Risk", Asked(("risk_person",), "Risk to people", "choice", list(enumerate(RISK_TO_PEOPLE)))
    yield "Risk", Asked(("risk_engine",), "Risk to the engine", "choice", list(enumerate(RISK_TO_THE_ENGINE)))
    yield "Risk", Asked(("authority",), "Who may do it", "choice", list(AUTHORITY_WORDS.items()))
    yield "", Asked(("cautions",), "Cautions", "lines")
    if kind == "remedies":
        yield "", Asked(("cannot_be_undone",), "It cannot be undone: the owner's consent is needed", "flag")
    meaning = raw.get("meaning")
    for outcome in meaning if isinstance(meaning, dict) else ():
        yield "What each answer means", Asked(("meaning", outcome), str(outcome).capitalize(), "words")


def _listed(value: Any) -> list[Any]:
    return value if isinstance(value, list) else []


def _tables(value: Any) -> list[tuple[int, dict[str, Any]]]:
    return [(number, item) for number, item in enumerate(_listed(value)) if isinstance(item, dict)]


@dataclass(frozen=True, slots=True)
class Changed:
    """One value that a change alters, in words."""

    label: str
    before: str
    after: str


def changed_values(kind: str, before: Any, after: Any, knowledge: Knowledge) -> list[Changed]:
    """What differs between two tables of an entry, as far as a form asks for it; links where none came or went."""
    found = []
    for legend, asked in values_of(kind, after, knowledge):
        old, new = value_at(before, asked.path), value_at(after, asked.path)
        if old != new and not (asked.path[0] == "links" and _causes(before) != _causes(after)):
            found.append(Changed(": ".join(filter(None, (legend, asked.label))), _said(asked, old), _said(asked, new)))
    return found


def _causes(raw: Any) -> list[Any]:
    return [link.get("cause") for _, link in _tables(value_at(raw, ("links",)))]


def _said(asked: Asked, value: Any) -> str:
    if value is None or value in ("", []):
        return "nothing"
    if asked.how == "flag":
        return "yes" if value is True else "no"
    if asked.how == "choice":
        return dict(asked.choices).get(value, str(value)) if isinstance(value, int | str) else str(value)
    if isinstance(value, list):
        return "; ".join(map(str, value))
    return _number(asked.path, value) if isinstance(value, int | float) else str(value)


def _number(path: Path, value: float) -> str:
    if not 0 < value < 1:
        return f"{value:g}"
    if path[0] == "rate":
        return f"{how_common(value)}, {per_cent(value)}"
    if path[0] == "links":
        return strength_words(value)
    return per_cent(value) if path[0] in {"leak", "sensitivity", "false_alarm", "success"} else f"{value:g}"
