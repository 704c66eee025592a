"""Turns the tables of each kind of file into entries. What one table alone can break is found here."""

from __future__ import annotations

from typing import Any

from restorations.knowledge.configuration import LABELS, lawful_values
from restorations.knowledge.emergencies import CARDS
from restorations.knowledge.entries import (
    Applies,
    Cause,
    Check,
    Condition,
    Factor,
    Finding,
    Link,
    Part,
    Remedy,
    Source,
    Through,
)
from restorations.knowledge.gate_facts import AUTHORITIES, GATE_FACTS, SOLVENT, USES
from restorations.knowledge.history import ANSWERS, CLASSES, STORED, YES_NO_KEYS
from restorations.knowledge.places import AT, COORDINATES, VALUES, WHOLE_ENGINE
from restorations.knowledge.tables import Table, shown

STATUSES = ("in_use", "draft", "withdrawn")
BASES = ("published", "club_record", "judgement")
SIDES = ("cylinders", "wheels")
MOST_LEVELS = 4
LONGEST_TITLE = 120
MOST_MINUTES = 10_000
MOST_DAYS = 1000
STOPS = ("engine", "boiler")
PART_STATES = ("slackened", "hung_up")
SOURCE_DETAILS = ("address", "author", "kind", "note", "page", "publisher", "read_on", "year")


def read_part(table: Table, system: str) -> Part | Condition:
    """Read a part, or a condition where the table names `condition` values."""
    return _read_condition(table, system) if table.has("condition") else _read_part(table, system)


def _read_part(table: Table, system: str) -> Part:
    part = Part(
        **_provenance(table, system),
        place=_place(table),
        sides=table.choice("sides", SIDES, default="cylinders"),
        minutes_off=table.number("minutes_off"),
        minutes_refit=table.number("minutes_refit"),
        applies=_applies(table),
        can_be=table.texts("can_be", choices=PART_STATES),
        is_state=table.flag("is_state"),
        feeds=_feeds(table),
    )
    table.finish()
    return part


def _read_condition(table: Table, system: str) -> Condition:
    values = table.texts("condition", least=2)
    assumed = table.choice("assumed", values)
    condition = Condition(
        **_provenance(table, system),
        values=values,
        assumed=assumed,
        absent=table.choice("absent", values, default=assumed),
        applies=_applies(table),
    )
    if _place(table):
        table.fault("place", f"expected {WHOLE_ENGINE!r}: a condition is asked once for the engine")
    table.finish()
    return condition


def read_cause(table: Table, system: str) -> Cause:
    """Read a cause."""
    rate = table.table("rate")
    cause = Cause(
        **_provenance(table, system),
        place=_place(table),
        sides=table.choice("sides", SIDES, default="cylinders"),
        at=table.choice("at", AT),
        applies=_applies(table),
        rate={name: rate.probability(name) for name in CLASSES},
        per=rate.choice("per", ("engine", "place")),
        when=tuple(_read_factor(item) for item in table.tables("when")),
        remedies=table.texts("remedies", least=1),
        explain=table.text("explain"),
        dangerous=table.flag("dangerous"),
        feeds=_feeds(table),
    )
    rate.choice("basis", BASES, default=cause.basis)
    rate.text("source", default=cause.source)
    rate.finish()
    table.finish()
    return cause


def _read_factor(table: Table) -> Factor:
    lawful = {**dict.fromkeys(YES_NO_KEYS, ANSWERS[:2]), "stored": STORED}
    answers = {key: table.texts(key, choices=values) for key, values in lawful.items() if table.has(key)}
    if not answers:
        table.fault("", f"expected at least one history answer: {', '.join(lawful)}")
    times = table.number("times", low=1e-3, high=1e3)
    table.finish()
    return Factor(answers, times)


def read_finding(table: Table, system: str) -> Finding:
    """Read a finding with its links."""
    levels = table.texts("levels", least=2)
    if len(levels) > MOST_LEVELS:
        table.fault("levels", f"expected at most {MOST_LEVELS} levels")
    basics = _provenance(table, system)
    steps = max(len(levels) - 1, 1)
    finding = Finding(
        **basics,
        words=table.texts("words"),
        place=_place(table),
        sides=table.choice("sides", SIDES, default="cylinders"),
        at=table.choice("at", AT),
        ask=table.text("ask"),
        levels=levels,
        leak=table.probabilities("leak", steps),
        dangerous=table.flag("dangerous"),
        stop=table.text("stop", default=""),
        stops=table.choice("stops", STOPS, default="engine" if table.flag("dangerous") else ""),
        card=table.choice("card", tuple(CARDS), default=""),
        requires=table.words("requires"),
        expects_off=table.texts("expects_off"),
        expects_fitted=table.texts("expects_fitted"),
        applies=_applies(table),
        links=tuple(_read_link(item, steps, basics) for item in table.tables("links")),
        feeds=_feeds(table),
    )
    for field in ("stop", "stops", "card"):
        if getattr(finding, field) and not finding.dangerous:
            table.fault(field, "only a dangerous finding stops the engine and says what to do first")
    table.finish()
    return finding


def _read_link(table: Table, steps: int, inherited: dict[str, Any]) -> Link:
    link = Link(
        cause=table.text("cause"),
        strengths=table.probabilities("strengths", steps),
        through=_through(table),
        when=table.values("when"),
        across=table.choice("across", ("other_side",), default="") if table.has("across") else "",
        basis=table.choice("basis", BASES, default=inherited["basis"]),
        source=table.text("source", default=inherited["source"]),
    )
    table.text("note", default="")
    table.finish()
    return link


def read_check(table: Table, system: str) -> Check:
    """Read a check, which answers one finding or examines one cause."""
    examines = table.text("examines", default="")
    answers = table.text("answers", default="")
    if bool(answers) == bool(examines):
        table.fault("answers", "expected either `answers` (a finding) or `examines` (a cause), one of the two")
    if not examines and (table.has("sensitivity") or table.has("false_alarm")):
        table.fault("sensitivity", "belongs to an examination only")
    conditions = table.words("conditions")
    check = Check(
        **_action(table, system),
        uses=frozenset(table.texts("uses", choices=USES)) | _implied_uses(conditions),
        place=_place(table),
        sides=table.choice("sides", SIDES, default="cylinders"),
        answers=answers,
        examines=examines,
        sensitivity=table.probability("sensitivity", default=None if examines else 0.0),
        false_alarm=table.probability("false_alarm", default=None if examines else 0.0),
        conditions=conditions,
        meaning=table.words("meaning"),
    )
    if examines and check.sensitivity <= check.false_alarm:
        table.fault("sensitivity", "expected more than false_alarm, or the examination tells nothing")
    table.finish()
    return check


def read_remedy(table: Table, system: str) -> Remedy:
    """Read a remedy."""
    puts_solvent = table.flag("puts_solvent")
    remedy = Remedy(
        **_action(table, system),
        uses=frozenset(table.texts("uses", choices=USES)) | ({SOLVENT} if puts_solvent else frozenset()),
        success=table.probability("success"),
        cannot_be_undone=table.flag("cannot_be_undone"),
        puts_solvent=puts_solvent,
        waits_in=table.text("waits_in", default="", longest=LONGEST_TITLE),
    )
    table.finish()
    return remedy


def read_source(table: Table) -> Source:
    """Read a source."""
    title = table.text("title")
    details = {name: str(table.raw[name]) for name in SOURCE_DETAILS if table.has(name)}
    for name in sorted(set(table.raw) - {"title", *SOURCE_DETAILS}):
        table.fault(name, f"unknown field; the fields here are title, {', '.join(SOURCE_DETAILS)}")
    return Source(table.id, table.file, title, details)


def _implied_uses(conditions: dict[str, str]) -> frozenset[str]:
    implied = {
        ("driven_by", "on_air"): "air",
        ("driven_by", "in_steam"): "steam",
        ("temperature", "hot"): "heat",
        ("temperature", "warm"): "heat",
    }
    return frozenset(implied[item] for item in conditions.items() if item in implied)


def _provenance(table: Table, system: str) -> dict[str, Any]:
    status = table.choice("status", STATUSES)
    replaced_by = table.texts("replaced_by")
    if (status == "withdrawn") != bool(replaced_by):
        table.fault("replaced_by", "a withdrawn entry names what replaces it, and only a withdrawn one")
    return {
        "id": table.id,
        "file": table.file,
        "system": system,
        "title": table.text("title", longest=LONGEST_TITLE),
        "status": status,
        "basis": table.choice("basis", BASES),
        "source": table.text("source"),
        "replaced_by": replaced_by,
        "note": table.text("note", default=""),
        "reviewed_by": table.text("reviewed_by", default=""),
        "reviewed_on": table.text("reviewed_on", default=""),
    }


def _action(table: Table, system: str) -> dict[str, Any]:
    action = {
        **_provenance(table, system),
        "how": table.text("how"),
        "tools": table.texts("tools"),
        "minutes": table.number("minutes", high=MOST_MINUTES),
        "waiting_days": table.number("waiting_days", high=MOST_DAYS, default=0.0),
        "needs_off": table.texts("needs_off"),
        "needs_fitted": table.texts("needs_fitted"),
        "needs": frozenset(table.texts("needs", choices=GATE_FACTS)),
        "excludes": frozenset(table.texts("excludes", choices=GATE_FACTS)),
        "risk_engine": table.risk("risk_engine"),
        "risk_person": table.risk("risk_person"),
        "authority": table.choice("authority", AUTHORITIES),
        "cautions": table.texts("cautions"),
        "making_safe": table.flag("making_safe"),
        "applies": _applies(table),
    }
    if max(action["risk_engine"], action["risk_person"]) >= 2 and not action["cautions"]:
        table.fault("cautions", "a step with a risk of 2 or 3 says how to stay safe")
    return action


def _place(table: Table) -> tuple[str, ...]:
    text = table.text("place")
    if text in (WHOLE_ENGINE, ""):
        return ()
    found = tuple(text.split("."))
    ordered = tuple(coordinate for coordinate in COORDINATES if coordinate in found)
    if found != ordered:
        table.fault("place", f"{shown(text)}: expected 'engine', or some of {'.'.join(COORDINATES)} in that order")
        return ()
    return found


def _feeds(table: Table) -> tuple[str, ...]:
    feeds = table.texts("feeds", choices=VALUES["feed"])
    if feeds and "feed" not in _place(table):
        table.fault("feeds", "belongs to an entry whose place is a feed")
    return feeds


def _applies(table: Table) -> Applies:
    found = table.values("applies")
    lawful = {}
    for field, named in found.items():
        choices = lawful_values(field)
        wrong = [value for value in named if value not in choices or isinstance(value, bool)]
        if field not in LABELS:
            table.fault(f"applies.{field}", f"no such field of the configuration; expected one of {', '.join(LABELS)}")
        elif wrong or not named:
            table.fault(f"applies.{field}", f"{wrong or 'nothing'}: expected some of {', '.join(map(str, choices))}")
        else:
            lawful[field] = named
    return lawful


def _through(table: Table) -> Through:
    items = []
    for item in table.raw_list("through"):
        names = [item] if isinstance(item, str) else item
        if isinstance(names, list) and names and all(isinstance(name, str) for name in names):
            items.append(tuple(names))
        else:
            table.fault("through", f"{shown(item)}: expected a part, or a list of parts any one of which carries it")
    return tuple(items)
