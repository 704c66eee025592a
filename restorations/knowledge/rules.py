"""Rules that several entries keep together: references, use of every entry, checks that can be reached."""

from __future__ import annotations

from collections import Counter
from collections.abc import Collection, Iterator, Mapping
from itertools import chain
from typing import TYPE_CHECKING, TypeVar

from restorations.knowledge.entries import Action, Cause, Check, Entry, Finding, Link, Remedy
from restorations.knowledge.gate_facts import ALTERNATIVES, excluded, needed
from restorations.knowledge.places import split_id
from restorations.knowledge.tables import Offender

if TYPE_CHECKING:
    from restorations.knowledge.loader import Knowledge

COMMON_PRACTICE = "common_practice"
EXAMINED = ("found", "not found")
# Ids that an engine's knowledge adds by itself.
RESERVED = ("hand_over", "unlisted")
# A condition of a look that is also a gate fact.
_FACT_OF_CONDITION = {
    ("driven_by", "in_steam"): "in_steam",
    ("wheels", "chocked"): "wheels_chocked",
    ("wheels", "clear"): "wheels_clear",
    ("wheels", "on_rail"): "wheels_on_rail",
}
# Air and steam turn wheels without warning, so one of these is needed before air goes in.
_WHEELS_HELD = (frozenset({"wheels_chocked"}), frozenset({"wheels_clear", "tied_down"}))
_SomeEntry = TypeVar("_SomeEntry", bound=Entry)
_Found = Iterator[Offender]


def broken_rules(knowledge: Knowledge) -> list[Offender]:
    """List every offender against the rules that span entries."""
    return [
        *_provenance(knowledge),
        *chain.from_iterable(_cause(cause, knowledge) for cause in in_use(knowledge.causes)),
        *chain.from_iterable(_finding(finding, knowledge) for finding in in_use(knowledge.findings)),
        *chain.from_iterable(_check(check, knowledge) for check in in_use(knowledge.checks)),
        *chain.from_iterable(_remedy(remedy, knowledge) for remedy in in_use(knowledge.remedies)),
    ]


def in_use(entries: Mapping[str, _SomeEntry]) -> list[_SomeEntry]:
    """Return the entries that count."""
    return [entry for entry in entries.values() if entry.is_in_use]


def _provenance(knowledge: Knowledge) -> _Found:
    kinds: tuple[Mapping[str, Entry], ...] = (
        knowledge.causes,
        knowledge.findings,
        knowledge.checks,
        knowledge.remedies,
        {**knowledge.parts, **knowledge.conditions},
    )
    for entries in kinds:
        for entry in entries.values():
            yield from _source(entry, "source", entry.basis, entry.source, knowledge)
            for name in entry.replaced_by:
                if name not in entries:
                    yield _fault(entry, "replaced_by", f"{name!r} does not exist")
            if entry.id in RESERVED:
                yield _fault(entry, "id", "this id is kept for what every engine gets by itself")


def _source(entry: Entry, field: str, basis: str, source: str, knowledge: Knowledge) -> _Found:
    if source != COMMON_PRACTICE and source not in knowledge.sources:
        yield _fault(entry, field, f"{source!r} is neither {COMMON_PRACTICE!r} nor a key of sources.toml")
    if source == COMMON_PRACTICE and basis == "published":
        yield _fault(entry, field, "a published basis names its source")


def _cause(cause: Cause, knowledge: Knowledge) -> _Found:
    for name in cause.remedies:
        yield from _reference(cause, "remedies", name, knowledge.remedies)
    if not any(link.cause == cause.id for finding in in_use(knowledge.findings) for link in finding.links):
        yield _fault(cause, "", "no finding in use has a link to this cause")


def _finding(finding: Finding, knowledge: Knowledge) -> _Found:
    yield from _conditions(finding, "requires", _listed(finding.requires), knowledge)
    for field in ("expects_off", "expects_fitted"):
        yield from _parts(finding, field, getattr(finding, field), knowledge)
    if not finding.links:
        yield _fault(finding, "links", "expected at least one cause")
    counted = Counter((link.cause, link.across) for link in finding.links)
    for (cause, _), times in counted.items():
        if times > 1:
            yield _fault(finding, "links", f"{cause!r} is linked {times} times; expected once")
    for number, link in enumerate(finding.links, start=1):
        yield from _link(finding, link, f"links[{number}]", knowledge)


def _link(finding: Finding, link: Link, field: str, knowledge: Knowledge) -> _Found:
    yield from _reference(finding, f"{field}.cause", link.cause, knowledge.causes)
    yield from _parts(finding, f"{field}.through", tuple(chain.from_iterable(link.through)), knowledge)
    yield from _conditions(finding, f"{field}.when", link.when, knowledge)
    yield from _source(finding, f"{field}.source", link.basis, link.source, knowledge)
    cause = knowledge.causes.get(link.cause)
    if link.across and cause and not ("side" in cause.place and "side" in finding.place):
        yield _fault(finding, f"{field}.across", f"expected a side on both the finding and {link.cause!r}")


def _check(check: Check, knowledge: Knowledge) -> _Found:
    yield from _action(check, knowledge)
    yield from _conditions(check, "conditions", _listed(check.conditions), knowledge)
    if check.id in knowledge.remedies:
        yield _fault(check, "id", "a remedy has the same id")
    if check.examines:
        yield from _reference(check, "examines", check.examines, knowledge.causes)
        yield from _meaning(check, EXAMINED)
    else:
        yield from _reference(check, "answers", check.answers, knowledge.findings)
        finding = knowledge.findings.get(check.answers)
        if finding:
            yield from _meaning(check, finding.levels)
            yield from _says_what_drives_it(check, finding)
    facts = {_FACT_OF_CONDITION[item] for item in check.conditions.items() if item in _FACT_OF_CONDITION}
    yield from _reachable(check, facts)


def _says_what_drives_it(check: Check, finding: Finding) -> _Found:
    """A finding of the running engine can be looked at standing; only the check knows, and gates follow from it."""
    driven_by = finding.requires.get("driven_by", "by_hand")
    if driven_by != "by_hand" and "driven_by" not in check.conditions:
        yield _fault(
            check, "conditions", f"{finding.id!r} is judged {driven_by}: expected driven_by to be written here too"
        )


def _meaning(check: Check, outcomes: Collection[str]) -> _Found:
    if set(check.meaning) != set(outcomes):
        yield _fault(check, "meaning", f"{sorted(check.meaning)}: expected one for each of {', '.join(outcomes)}")


def _remedy(remedy: Remedy, knowledge: Knowledge) -> _Found:
    yield from _action(remedy, knowledge)
    yield from _reachable(remedy, set())
    if not any(remedy.id in cause.remedies for cause in in_use(knowledge.causes)):
        yield _fault(remedy, "", "no cause in use names this remedy")
    if (remedy.waiting_days or remedy.puts_solvent) and not remedy.waits_in:
        yield _fault(remedy, "waits_in", "it waits, or leaves a solvent: expected what in, in a few words")
    if remedy.puts_solvent and remedy.uses & {"heat", "steam"}:
        yield _fault(remedy, "uses", "heat and steam never meet the volatile solvent that this remedy puts on")


def _action(action: Action, knowledge: Knowledge) -> _Found:
    yield from _parts(action, "needs_off", action.needs_off, knowledge)
    yield from _parts(action, "needs_fitted", action.needs_fitted, knowledge)
    for name in sorted(set(action.needs_off) & set(action.needs_fitted)):
        yield _fault(action, "needs_off", f"{name!r} cannot be off and fitted at once")
    if "air" in action.uses and not any(wheels <= action.needs for wheels in _WHEELS_HELD):
        yield _fault(action, "needs", "air turns wheels: expected wheels_chocked, or wheels_clear and tied_down")


def _reachable(action: Action, facts: set[str]) -> _Found:
    must = needed(action.needs, action.uses, action.authority) | facts
    for fact in sorted(must & excluded(action.excludes, action.uses)):
        yield _fault(action, "excludes", f"{fact!r} is both needed and excluded: this could never be done")
    for alternatives in ALTERNATIVES:
        if len(must & alternatives) > 1:
            both = " and ".join(sorted(must & alternatives))
            yield _fault(action, "needs", f"{both} are never so together: this could never be done")


def _parts(entry: Entry, field: str, names: tuple[str, ...], knowledge: Knowledge) -> _Found:
    for name in names:
        try:
            part_id, place = split_id(name)
        except ValueError as error:
            yield _fault(entry, field, str(error))
            continue
        yield from _reference(entry, field, part_id, knowledge.parts)
        part = knowledge.parts.get(part_id)
        beyond = [value for coordinate, value in place.coordinates().items() if part and coordinate not in part.place]
        if part and beyond:
            has = ".".join(part.place) or "the whole engine"
            yield _fault(entry, field, f"{name!r}: {part_id!r} is placed by {has}, not by {', '.join(beyond)}")


def _conditions(entry: Entry, field: str, named: Mapping[str, tuple[str, ...]], knowledge: Knowledge) -> _Found:
    for name, values in named.items():
        yield from _reference(entry, field, name, knowledge.conditions)
        condition = knowledge.conditions.get(name)
        lawful = condition.values if condition else values
        if not values or any(value not in lawful for value in values):
            yield _fault(entry, f"{field}.{name}", f"{list(values)}: expected some of {', '.join(map(str, lawful))}")


def _reference(entry: Entry, field: str, name: str, entries: Mapping[str, Entry]) -> _Found:
    found = entries.get(name)
    if found is None:
        yield _fault(entry, field, f"{name!r} does not exist")
    elif not found.is_in_use:
        instead = f"; see {', '.join(found.replaced_by)}" if found.replaced_by else ""
        yield _fault(entry, field, f"{name!r} is {found.status.replace('_', ' ')}{instead}")


def _listed(named: Mapping[str, str]) -> dict[str, tuple[str, ...]]:
    return {name: (value,) for name, value in named.items()}


def _fault(entry: Entry, field: str, expected: str) -> Offender:
    return Offender(entry.file, entry.id, field, expected)
