"""What the pages say of an engine, put into words: the context of this app's fragments."""

from dataclasses import dataclass
from datetime import date
from typing import Any

from django.db.models import OuterRef, QuerySet, Subquery

from restorations.engines.access import places_of, speaks_for_owner
from restorations.engines.facts import boilers_stopped, certificates_allow_steam
from restorations.engines.models import Certificate, Engine, EngineConfiguration, TakeIn
from restorations.engines.models.configuration import QUESTIONS
from restorations.engines.models.history import SYSTEMS
from restorations.engines.models.take_in import HAZARDS, LOOKED, MARKS, SIGNS
from restorations.engines.questions import GROUPS, settled_by
from restorations.engines.state import state_of
from restorations.knowledge.configuration import CHOICES, NOT_KNOWN
from restorations.members.models import Member
from restorations.members.permissions import allowed

WARNED_DAYS = 90


@dataclass(frozen=True, slots=True)
class Told:
    """One question with its answer in words."""

    question: str
    words: str


@dataclass(frozen=True, slots=True)
class Build:
    """A configuration in words: what is known by heading, and the questions still open."""

    known: list[tuple[str, list[Told]]]
    open_questions: list[str]


@dataclass(frozen=True, slots=True)
class Past:
    """What is known of the past of the whole engine, or of one system."""

    system: str
    title: str
    words: list[str]


@dataclass(frozen=True, slots=True)
class Standing:
    """How a paper stands on a day: the word, and the shape beside it."""

    paper: Certificate
    words: str
    shape: str


def engine_pieces(engine: Engine, member: Member, *, on: date) -> dict[str, Any]:
    """Context of _state, _identity, _people, _configuration, _history, _past_work and _papers, for their page."""
    places = places_of(member, engine, on)
    configuration = engine.configuration
    return {
        "engine": engine,
        "state": state_of(engine, on),
        "may_stop": allowed("stop an engine", places),
        "may_change_engine": allowed("change an engine", places),
        "speaks_for_owner": speaks_for_owner(engine, places),
        "configuration": configuration,
        "build": build_in_words(configuration),
        "past": past_in_words(engine),
        "past_work": engine.past_work.select_related("done_by"),
        **people_pieces(engine, on=on),
        **paper_pieces(engine, on=on),
    }


def listed(engines: QuerySet[Engine]) -> QuerySet[Any]:
    """With what a line of the list needs: kind and gauge of the configuration in force."""
    latest = EngineConfiguration.objects.filter(engine=OuterRef("pk")).order_by("-number")
    return engines.select_related("design", "owner_member").annotate(
        kind=Subquery(latest.values("kind")[:1]), gauge=Subquery(latest.values("gauge_typed")[:1])
    )


def kind_in_words(engine: Any) -> str:
    """What a line of the list says under the name."""
    kind = CHOICES["kind"].get(engine.kind, "") if engine.kind != NOT_KNOWN else "kind not known"
    return f"{kind}, {engine.gauge} gauge" if engine.gauge else kind


def people_pieces(engine: Engine, *, on: date) -> dict[str, Any]:
    return {
        "hands": engine.hands.current(on).select_related("member"),
        "guests": engine.guests.current(on).select_related("member"),
    }


def paper_pieces(engine: Engine, *, on: date) -> dict[str, Any]:
    """The paper of each kind that lapses last, the consents that stand, and whether steam is allowed."""
    latest: dict[str, Certificate] = {}
    for certificate in engine.certificates.all().not_struck().order_by("lapses_on", "pk"):
        latest[certificate.kind] = certificate
    return {
        "papers": [standing(paper, on=on) for paper in latest.values()],
        "consents": engine.consents.all().not_struck(),
        "steam_allowed": certificates_allow_steam(engine, on),
        "boiler_stopped": bool(boilers_stopped([engine.pk], on)),
    }


def standing(paper: Certificate, *, on: date) -> Standing:
    """In date, about to lapse, lapsed, or struck out."""
    days = (paper.lapses_on - on).days
    if paper.is_struck:
        return Standing(paper, "struck out", "rest")
    if days < 0:
        return Standing(paper, "lapsed", "stop")
    if days <= WARNED_DAYS:
        return Standing(paper, "lapses today" if not days else f"{days} day{'' if days == 1 else 's'} left", "work")
    return Standing(paper, "in date", "good")


def build_in_words(configuration: EngineConfiguration) -> Build:
    """Only what the engine was asked: what follows from another answer is not repeated."""
    settled = settled_by(configuration.answers())
    known: list[tuple[str, list[Told]]] = []
    still_open: list[str] = []
    for heading, names in GROUPS.items():
        told = {name: configuration.in_words(name) for name in names if name not in settled}
        still_open += [QUESTIONS[name] for name, words in told.items() if not words]
        answered = [Told(QUESTIONS[name], words) for name, words in told.items() if words]
        if answered:
            known.append((heading, answered))
    return Build(known, still_open)


def past_in_words(engine: Engine) -> list[Past]:
    """The whole engine first, then each system where it differs."""
    latest = engine.histories.all().latest_per_system()
    return [Past(system, SYSTEMS[system], row.in_words()) for system, row in latest.items()]


@dataclass(frozen=True, slots=True)
class Hazard:
    """One hazard as found: the word, the shape beside it, and where."""

    title: str
    words: str
    shape: str
    note: str


_HAZARD_SHAPES = {"found": "stop", "not_found": "good", "not_looked": "unknown"}
_TAKE_IN_FACTS = {
    "Who brought it": "brought_by", "Came on": "came_on", "What was agreed about its use": "agreed_use",
    "Keys, handles and tools": "keys", "Number stamped on the boiler": "stamped_number",
    "Boiler number in the papers": "papers_number", "Weight": "weight_typed", "Lifting": "lifting",
}  # fmt: skip
_COMPLETENESS = {"Missing": "missing", "Broken": "broken", "Altered": "altered", "Loose parts": "loose_parts"}


def take_in_pieces(engine: Engine, sheet: TakeIn | None) -> dict[str, Any]:
    """Context of _take_in: the sheet in words, who has signed it, and what was found later."""
    if sheet is None:
        return {"engine": engine, "take_in": None}
    signed = sheet.holding_signatures()
    return {
        "engine": engine,
        "take_in": sheet,
        "owner_words": sheet.owner_then or engine.owner,
        "facts": [(title, getattr(sheet, name)) for title, name in _TAKE_IN_FACTS.items()],
        "hazards": hazards_in_words(sheet),
        "completeness": [(title, getattr(sheet, name)) for title, name in _COMPLETENESS.items()],
        "mark_words": [MARKS[mark] for mark in sheet.marks if mark in MARKS],
        "signatures": [(words, signed.get(sign)) for sign, words in SIGNS.items()],
        "later_findings": sheet.later_findings.select_related("noted_by", "struck_by"),
    }


def hazards_in_words(sheet: TakeIn) -> list[Hazard]:
    """What was found first, then what nobody has looked for yet."""
    order = ("found", "not_looked", "not_found")
    keys = sorted(HAZARDS, key=lambda key: order.index(getattr(sheet, key)))
    return [
        Hazard(HAZARDS[key], LOOKED[state], _HAZARD_SHAPES[state], getattr(sheet, f"{key}_note"))
        for key in keys
        for state in [getattr(sheet, key)]
    ]
