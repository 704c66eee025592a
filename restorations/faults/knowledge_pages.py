"""What the pages of single entries show, put together from the knowledge in words."""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from restorations.faults import knowledge_words as words
from restorations.faults.finding_search import SYSTEMS
from restorations.faults.wording import as_fraction
from restorations.knowledge import Knowledge
from restorations.knowledge.comparing import Telling
from restorations.knowledge.entries import Action, Cause, Check, Entry, Finding, Link, Remedy
from restorations.knowledge.rules import in_use

CLOSEST = 12


@dataclass(frozen=True, slots=True)
class Level:
    """At which level, how strongly, in words with the number."""

    level: str
    strength: str


@dataclass(frozen=True, slots=True)
class Shows:
    """One cause in one finding, seen from either of them."""

    entry: Entry
    levels: tuple[Level, ...]
    through: str
    when: str
    is_across: bool
    origin: words.Provenance | None
    """Where it is not that of the finding."""


@dataclass(frozen=True, slots=True)
class Rate:
    past: str
    word: str
    fraction: str
    number: str


def system_words(system: str) -> str:
    return SYSTEMS.get(system, system.replace("_", " ").capitalize())


def level_words(levels: Sequence[str], number: int) -> str:
    """ "stiff or more", and for the last level just its name."""
    return levels[number] if number == len(levels) - 1 else f"{levels[number]} or more"


def shown(kind: str, entry: Entry, knowledge: Knowledge) -> dict[str, Any]:
    """Everything of an entry, in words: what all kinds share, and what this kind has."""
    return {
        "kind": kind,
        "entry": entry,
        "system": system_words(entry.system),
        "status": words.status_words(entry),
        "origin": words.provenance(entry.basis, entry.source, knowledge.sources),
        "heirs": _named(entry.replaced_by, getattr(knowledge, kind)),
        **_of_kind(entry, knowledge),
    }


def _of_kind(entry: Entry, knowledge: Knowledge) -> dict[str, Any]:
    if isinstance(entry, Cause):
        return _cause(entry, knowledge)
    if isinstance(entry, Finding):
        return _finding(entry, knowledge)
    if isinstance(entry, Check):
        return _check(entry, knowledge)
    return _remedy(entry, knowledge) if isinstance(entry, Remedy) else {}


def _cause(cause: Cause, knowledge: Knowledge) -> dict[str, Any]:
    findings = [(finding, link) for finding in in_use(knowledge.findings) for link in finding.links
                if link.cause == cause.id]  # fmt: skip
    shows = [_shows(finding, finding, link, knowledge) for finding, link in findings]
    examined = [check for check in in_use(knowledge.checks) if check.examines == cause.id]
    return {
        "where": words.where(cause), "at": words.at_words(cause.at), "builds": words.builds(cause.applies),
        "rates": [_rate(name, cause.rate[name]) for name in words.CLASS_WORDS],
        "shared_out": cause.per == "engine" and bool(cause.place),
        "factors": [words.factor_words(factor) for factor in cause.when],
        "shows": sorted(shows, key=lambda row: -max(_chances(row.entry, cause.id))),
        "examinations": [(check, words.reliability(check), words.effort(check)) for check in _cheapest(examined)],
        "remedies": [(one, words.effort(one)) for one in _named(cause.remedies, knowledge.remedies)],
        "others": closest(knowledge, cause.id),
    }  # fmt: skip


def _chances(finding: Entry, cause: str) -> list[float]:
    links = finding.links if isinstance(finding, Finding) else ()
    return [link.strengths[0] for link in links if link.cause == cause]


def _rate(name: str, rate: float) -> Rate:
    return Rate(words.CLASS_WORDS[name], words.how_common(rate), as_fraction(rate), words.per_cent(rate))


def _shows(entry: Entry, finding: Finding, link: Link, knowledge: Knowledge) -> Shows:
    is_own = (link.basis, link.source) != (finding.basis, finding.source)
    return Shows(
        entry=entry,
        levels=tuple(
            Level(level_words(finding.levels, number), words.strength_words(chance))
            for number, chance in enumerate(link.strengths, start=1)
        ),
        through=words.through_words(link, knowledge),
        when=words.condition_words(link.when, knowledge),
        is_across=bool(link.across),
        origin=words.provenance(link.basis, link.source, knowledge.sources) if is_own else None,
    )


def closest(knowledge: Knowledge, cause: str) -> list[Cause]:
    """Causes that share most findings with this one, for "what would tell them apart"."""
    shared: dict[str, float] = {}
    for finding in in_use(knowledge.findings):
        strengths = {link.cause: link.strengths[0] for link in finding.links}
        for other, strength in strengths.items() if cause in strengths else ():
            shared[other] = shared.get(other, 0.0) + min(strength, strengths[cause])
    ranked = sorted(shared, key=lambda other: (-shared[other], other))
    return [knowledge.causes[other] for other in ranked if other != cause and other in knowledge.causes][:CLOSEST]


def _finding(finding: Finding, knowledge: Knowledge) -> dict[str, Any]:
    known = [link for link in finding.links if link.cause in knowledge.causes]
    shows = [_shows(knowledge.causes[link.cause], finding, link, knowledge) for link in known]
    answered = [check for check in in_use(knowledge.checks) if check.answers == finding.id]
    return {
        "where": words.where(finding), "at": words.at_words(finding.at), "builds": words.builds(finding.applies),
        "requires": words.condition_words(finding.requires, knowledge),
        "expects_off": words.parts_off_words(finding.expects_off, knowledge),
        "expects_fitted": words.parts_words(finding.expects_fitted, knowledge),
        "leaks": [Level(level_words(finding.levels, number), f"{as_fraction(chance)}, {words.per_cent(chance)}")
                  for number, chance in enumerate(finding.leak, start=1)],
        "shows": sorted(shows, key=lambda row: -max(_chances(finding, row.entry.id))),
        "checks": [(check, words.effort(check)) for check in _cheapest(answered)],
    }  # fmt: skip


def _check(check: Check, knowledge: Knowledge) -> dict[str, Any]:
    return {
        **_action(check, knowledge), "where": words.where(check),
        "finding": knowledge.findings.get(check.answers), "cause": knowledge.causes.get(check.examines),
        "reliability": words.reliability(check) if check.examines else "",
        "conditions": words.condition_words(check.conditions, knowledge), "meaning": check.meaning.items(),
    }  # fmt: skip


def _remedy(remedy: Remedy, knowledge: Knowledge) -> dict[str, Any]:
    cured = [cause for cause in in_use(knowledge.causes) if remedy.id in cause.remedies]
    return {
        **_action(remedy, knowledge), "cures": cured,
        "success": f"{as_fraction(remedy.success)} times, {words.per_cent(remedy.success)}",
    }  # fmt: skip


def _action(action: Action, knowledge: Knowledge) -> dict[str, Any]:
    return {
        "effort": words.effort(action), "builds": words.builds(action.applies),
        "needs_off": words.parts_off_words(action.needs_off, knowledge),
        "needs_fitted": words.parts_words(action.needs_fitted, knowledge),
    }  # fmt: skip


def _cheapest(checks: Iterable[Check]) -> list[Check]:
    return sorted(checks, key=lambda check: (check.minutes, check.title))


def _named(names: Iterable[str], table: Mapping[str, Any]) -> list[Any]:
    return [table[name] for name in names if name in table]


@dataclass(frozen=True, slots=True)
class Told:
    """One finding that tells two causes apart, in words."""

    finding: str
    """Its id, without a place."""
    name: str
    level: str
    first: str
    second: str
    is_across: bool


@dataclass(frozen=True, slots=True)
class Looked:
    """A direct examination of one of the two."""

    check: str
    name: str
    cause: str
    reliability: str
    effort: words.Effort


def told_apart(telling: Telling, findings: Any, checks: Any, causes: Any) -> dict[str, Any]:
    """The comparison in words; the tables give for each id something with a title or name."""
    return {
        "gaps": [
            Told(gap.finding.partition("@")[0], _name(findings[gap.finding]),
                 level_words(_entry(findings[gap.finding]).levels, gap.level), words.strength_words(gap.first),
                 words.strength_words(gap.second), gap.is_across)
            for gap in telling.gaps[:CLOSEST]
        ],
        "examinations": [
            Looked(one.entry.id, _name(checks[one.check]), _name(causes[one.cause]), words.reliability(one.entry),
                   words.effort(one.entry))
            for one in telling.examinations
        ],
    }  # fmt: skip


def _name(thing: Any) -> str:
    return str(getattr(thing, "name", "") or thing.title)


def _entry(thing: Any) -> Any:
    return getattr(thing, "entry", thing)
