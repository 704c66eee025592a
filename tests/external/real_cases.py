"""Published repairs put to the ranking: where the confirmed cause stands from symptoms and history alone, and how many
advised checks it takes to bring it first when the case's own facts answer them.

As on the page, the ranking is of the listed causes that can show in something seen: background rates of what nothing
seen speaks of are not suspicion, and "something not on this list" stands apart from it and takes no place. A case
without a side counts at its best place; of several confirmed causes each is ranked among those not confirmed; a case
without a symptom, or that is no fault, is left out and named. An examination of a part is answered from what the owner
found; a look at a finding only where the account says how it was, else the next advised check is taken.
"""

import tomllib
from collections.abc import Iterable
from dataclasses import dataclass, field
from functools import cache
from pathlib import Path
from typing import Any

from restorations.calc.diagnosis import Inspected, Observed, posterior
from restorations.knowledge import (
    UNLISTED,
    Configuration,
    EngineFacts,
    EngineKnowledge,
    History,
    HistoryAnswers,
    expand,
    load,
)
from restorations.knowledge.ahead import look_ahead

FOLDER = Path(__file__).parent / "cases"
HALVES = ("motion", "boiler")
PERMISSION = {"go-ahead", "inspector", "consent"}
MOST_CHECKS = 12
WORLDS, SEED = 2000, 20260401  # as a fault sheet has them
BENCH = EngineFacts(turns_freely=True, certificate_in_date=True, tied_down=True, air_isolated=True, wheels="clear")


@dataclass(frozen=True)
class Case:
    id: str
    source: str
    told: str
    configuration: Configuration
    history: HistoryAnswers
    symptoms: dict[str, int]
    confirmed: tuple[tuple[str, ...], ...]
    owner: str
    evidence: str = ""
    facts: dict[str, int] = field(default_factory=dict)


@dataclass(frozen=True)
class Outcome:
    """Rank of each confirmed cause among those not confirmed, and advised checks until the first of them leads."""

    case: Case
    ranks: tuple[int, ...]
    checks: int | None
    before: tuple[str, ...]


def read_cases(half: str) -> list[Case]:
    return [_case(entry) for entry in _read(half)["case"]]


def read_left_out(half: str) -> dict[str, str]:
    """Why each account that was read is not asked of the ranking."""
    return {entry["id"]: entry["why"] for entry in _read(half)["left_out"]}


def _read(half: str) -> dict[str, Any]:
    with (FOLDER / f"{half}.toml").open("rb") as file:
        return tomllib.load(file)


def _case(entry: dict[str, Any]) -> Case:
    return Case(
        id=entry["id"],
        source=entry["source"],
        told=entry["told"],
        configuration=Configuration(**entry["configuration"]),
        history=HistoryAnswers(**entry["history"]),
        symptoms=entry["symptoms"],
        confirmed=tuple(tuple(text.split("|")) for text in entry["confirmed"]),
        owner=entry.get("owner", entry["id"]),
        evidence=entry.get("evidence", ""),
        facts=entry.get("facts", {}),
    )


def knowledge_of(case: Case) -> EngineKnowledge:
    return _expanded(case.configuration, case.history)


@cache
def _expanded(configuration: Configuration, history: HistoryAnswers) -> EngineKnowledge:
    """One owner's cases are mostly of one engine."""
    return expand(load(), configuration, History(general=history))


def places(ids: Iterable[str], wanted: str) -> list[str]:
    """The placed ids that a case means: just the one named, or every place of a bare id."""
    return [placed for placed in ids if placed == wanted or placed.partition("@")[0] == wanted]


def complaint(case: Case, engine: EngineKnowledge) -> list[Observed]:
    """Symptoms as observations; one without a side at the side of the confirmed cause, else at the first place."""
    told_side = {word for group in case.confirmed for text in group for word in text.partition("@")[2].split(".")}
    looks = []
    for wanted, level in case.symptoms.items():
        at = places(engine.findings, wanted)
        if not at:
            raise LookupError(f"{case.id}: this engine cannot show {wanted}")
        best = next((one for one in at if told_side & set(one.partition("@")[2].split("."))), at[0])
        looks.append(_look(engine, best, level))
    return looks


def _look(engine: EngineKnowledge, finding: str, level: int, **state: Any) -> Observed:
    return Observed(finding, level=level, inactive=engine.inactive(finding, **state))


def confirmed_places(case: Case, engine: EngineKnowledge) -> list[list[str]]:
    found = [[one for text in group for one in places(engine.causes, text)] for group in case.confirmed]
    for group, at in zip(case.confirmed, found, strict=True):
        if not at:
            raise LookupError(f"{case.id}: this engine cannot have {' or '.join(group)}")
    return found


def ranks(case: Case, engine: EngineKnowledge, events: list[Any]) -> tuple[int, ...]:
    return tuple(1 + len(rivals) for rivals in _rivals_before(case, engine, events))


def _rivals_before(case: Case, engine: EngineKnowledge, events: list[Any]) -> list[list[str]]:
    """For each confirmed cause, the causes not confirmed that stand before it, the likeliest first."""
    now = posterior(engine.model, events).now
    groups = confirmed_places(case, engine)
    every = {one for group in groups for one in group}
    seen = [event.finding for event in events if isinstance(event, Observed) and event.level]
    examined = {event.cause for event in events if isinstance(event, Inspected) and event.present}
    suspected = (engine.explaining(seen) | examined) - {UNLISTED}
    rivals = sorted(suspected - every, key=lambda cause: -now[cause])
    if not every & suspected:
        return [rivals for _ in groups]
    return [[cause for cause in rivals if now[cause] > max(now[one] for one in group)] for group in groups]


def ranks_at_opening(case: Case) -> tuple[int, ...]:
    engine = knowledge_of(case)
    return ranks(case, engine, list(complaint(case, engine)))


def judge(case: Case) -> Outcome:
    engine = knowledge_of(case)
    events: list[Any] = list(complaint(case, engine))
    before = _rivals_before(case, engine, events)
    places_held = tuple(1 + len(rivals) for rivals in before)
    return Outcome(case, places_held, _checks_until_first(case, engine, events), tuple(min(before, key=len)))


def _checks_until_first(case: Case, engine: EngineKnowledge, events: list[Any]) -> int | None:
    """Follow the advice with the case's own answers until a confirmed cause leads; None if it never does."""
    told = tuple(event.finding for event in events if event.level)
    asked: set[str] = set()
    for count in range(MOST_CHECKS + 1):
        if min(ranks(case, engine, events)) == 1:
            return count
        answered = _next_answer(case, engine, events, told, asked)
        if answered is None:
            return None
        events = [*events, answered]
    return None


def _next_answer(case: Case, engine: EngineKnowledge, events: list[Any], told: tuple[str, ...], asked: set[str]) -> Any:
    for check in advised_checks(engine, events, told):
        answer = None if check in asked or _is_shut(engine, check) else _answer(case, engine, check)
        if answer is not None:
            asked.add(check)
            return answer
    return None


def advised_checks(engine: EngineKnowledge, events: list[Any], told: tuple[str, ...]) -> list[str]:
    """The checks among the next steps, best first, weighed as a fault sheet weighs them."""
    known = posterior(engine.model, events)
    ahead = look_ahead(engine, known, BENCH, told, samples=WORLDS, n=1, seed=SEED)
    return [item.step.name for item in ahead.advice if item.step.name in engine.checks]


def _is_shut(engine: EngineKnowledge, check: str) -> bool:
    """Whether more than somebody's word keeps it from being made here."""
    return any(gate.kind not in PERMISSION and not gate.is_preparation for gate in engine.gates(check, BENCH))


def _answer(case: Case, engine: EngineKnowledge, check: str) -> Any:
    placed = engine.checks[check]
    if placed.entry.answers:
        told = case.facts.get(placed.target, case.facts.get(placed.target.partition("@")[0]))
        if told is None:
            return None
        return _look(engine, placed.target, told, off=placed.needs_off, conditions=dict(placed.entry.conditions))
    truth = {one for group in confirmed_places(case, engine) for one in group}
    return Inspected(
        placed.target, present=placed.target in truth, sensitivity=placed.entry.sensitivity,
        false_alarm=placed.entry.false_alarm,
    )  # fmt: skip
