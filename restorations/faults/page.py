"""What the fault sheet's page shows, put together from rows and the stored ranking. Nothing is inferred here."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from datetime import datetime
from functools import partial
from typing import Any

from django.utils import timezone

from restorations.calc.diagnosis import FunctionTest
from restorations.faults.concluded import Concluded, concluded
from restorations.faults.confirming import dangers_left, is_gone, reports_of
from restorations.faults.facts import WHEELS, SheetState, bare_facts, bench_facts
from restorations.faults.finding_search import FindingChoice, search
from restorations.faults.knowing import in_force
from restorations.faults.leave import Leave, leave_on
from restorations.faults.models import FaultSheet, GoAhead, Snapshot, Step
from restorations.faults.proposals import Proposal, propose
from restorations.faults.services.sheets import stored_knowledge
from restorations.faults.suspicion import Suspect, suspects_of
from restorations.faults.wording import (
    STATE_WORDS,
    as_fraction,
    minutes_in_words,
    off_in_words,
    part_name,
    probability,
)
from restorations.knowledge import UNLISTED, EngineKnowledge, Knowledge
from restorations.knowledge.engine import PlacedFinding
from restorations.members.models import Member
from restorations.tasks.models import Soak
from restorations.tasks.parts import soak_places

SUGGESTED = 6
BY_HAND = "by_hand"
GATED_SHOWN = 3
DONE_UNDER = ("go_ahead__answered_by", "go_ahead__on_phone_of", "standing_go_ahead__given_by")
FUNCTION_TEST = FunctionTest(minutes=0).name


@dataclass(frozen=True, slots=True)
class SoakLine:
    """Something soaking, with the remedy of this sheet that began it, if one did."""

    soak: Soak
    where: str
    begun: Proposal | None
    is_due: bool


@dataclass(frozen=True, slots=True)
class SheetPage:
    sheet: FaultSheet
    expanded: EngineKnowledge
    snapshot: Snapshot
    steps: Sequence[Step]
    suspects: tuple[Suspect, ...]
    stage: str
    """complaint | look_again | advice | gone | nothing"""
    proposal: Proposal | None
    gated: tuple[Proposal, ...]
    set_aside: tuple[Proposal, ...]
    look_again: PlacedFinding | None
    suggestions: tuple[FindingChoice, ...]
    """What the complaint's own words may mean, offered until the first check is answered."""
    soaks: tuple[SoakLine, ...]
    dangers: tuple[PlacedFinding, ...]
    go_aheads: tuple[GoAhead, ...]
    leave: Leave
    is_stale: bool
    state_words: tuple[str, ...]
    off_words: tuple[str, ...]
    remaining: str
    concluded: Concluded
    unlisted: str
    """How likely it is that the trouble is on no list: said apart, for it explains nothing."""

    @property
    def soaking(self) -> frozenset[str]:
        """The remedies that stand among the soaks already."""
        return frozenset(line.begun.id for line in self.soaks if line.begun)


def read_page(sheet: FaultSheet, *, at: datetime, by: Member | None = None) -> SheetPage:
    """Read everything the page needs for whoever would do the steps; no more queries for a long sheet than a short."""
    snapshot = sheet.latest_snapshot
    if snapshot is None:
        raise LookupError(f"{sheet} has no ranking")
    expanded = stored_knowledge(snapshot.model.checksum)
    steps = list(
        sheet.steps.select_related("done_by", "recorded_by", "struck_by", "looked_by", *DONE_UNDER)
        .prefetch_related("photos")
        .in_order()
    )
    standing = [step for step in steps if step.stands]
    knowledge = in_force(sheet.engine)
    bench = bench_facts(sheet.engine, on=timezone.localdate(at))
    bare = bare_facts(sheet, bench, standing)
    leave = leave_on(sheet, expanded, bare, at=at, by=by)
    go_aheads = tuple(sheet.go_aheads.select_related("asked_by", "answered_by", "on_phone_of", "struck_by"))
    offer = partial(propose, expanded, facts=leave.on(bare), bench=bench, go_aheads=go_aheads)
    actions = _actions(expanded, snapshot, standing)
    advice = _Advice(snapshot, [offer(action) for action in actions], _set_aside(standing))
    now = _next(expanded, standing, advice, offer)
    return SheetPage(
        sheet=sheet,
        expanded=expanded,
        snapshot=snapshot,
        steps=steps,
        suspects=suspects_of(snapshot, expanded, standing),
        stage=now.stage,
        proposal=now.proposal,
        gated=tuple({item.id: item for item in (*advice.gated, *now.gated)}.values()),
        set_aside=advice.set_aside,
        look_again=now.look_again,
        suggestions=_suggestions(expanded, sheet, standing),
        soaks=_soaks(sheet, advice.set_aside, at),
        dangers=tuple(dangers_left(standing, expanded)),
        go_aheads=go_aheads,
        leave=leave,
        is_stale=_is_stale(snapshot, knowledge, bench.checksum, sheet),
        state_words=state_in_words(SheetState.of(sheet.state)),
        off_words=off_in_words(part_name(expanded, part) for part in sorted(bench.off)),
        remaining=_remaining(snapshot),
        concluded=concluded(sheet, knowledge),
        unlisted=as_fraction(probability(snapshot.log_odds[UNLISTED])) if UNLISTED in snapshot.log_odds else "",
    )


def _suggestions(expanded: EngineKnowledge, sheet: FaultSheet, steps: Sequence[Step]) -> tuple[FindingChoice, ...]:
    if any(step.action or step.kind == "remedy" for step in steps):
        return ()
    seen = {step.finding.partition("@")[0] for step in steps}
    found = [choice for choice in search(expanded, sheet.complaint) if choice.entry.id not in seen]
    return tuple(found[:SUGGESTED])


def _soaks(sheet: FaultSheet, set_aside: Sequence[Proposal], at: datetime) -> tuple[SoakLine, ...]:
    places = soak_places(sheet.configuration.as_configuration())
    begun = {(str(item.placed.place), item.placed.entry.title[:80]): item for item in set_aside if item.waiting}
    rows = Soak.objects.under_way().filter(engine=sheet.engine).order_by("due_at")
    return tuple(
        SoakLine(row, places.get(row.place, row.place), begun.get((row.place, row.fluid)), row.due_at <= at)
        for row in rows
    )


class _Advice:
    """The stored advice read against today's gates: what may be done now, what would be better but waits."""

    def __init__(self, snapshot: Snapshot, proposals: Sequence[Proposal], aside: frozenset[str]) -> None:
        self.is_time_to_test = bool(snapshot.advice) and snapshot.advice[0]["action"] == FUNCTION_TEST
        live = [item for item in proposals if item.id not in aside]
        free = next((i for i, item in enumerate(live) if item.may_be_done), None)
        self.first_free = live[free] if free is not None else None
        before = live if free is None else live[:free]
        self.gated = tuple(item for item in before if item.permission)[:GATED_SHOWN]
        self.set_aside = tuple(item for item in proposals if item.id in aside)


def _actions(expanded: EngineKnowledge, snapshot: Snapshot, steps: Sequence[Step]) -> list[str]:
    """What was advised, best first, then what was begun or set aside and is advised no more."""
    named = [*(row["action"] for row in snapshot.advice), *sorted(_set_aside(steps))]
    return [action for action in dict.fromkeys(named) if action in expanded.checks or action in expanded.remedies]


def _set_aside(steps: Sequence[Step]) -> frozenset[str]:
    """Actions whose last word was "could not do", "not sure" or "begun": not offered again as the next thing."""
    last = {step.action: step.kind for step in steps if step.action}
    return frozenset(action for action, kind in last.items() if kind in {"could_not_do", "not_sure", "begun"})


@dataclass(frozen=True, slots=True)
class _Next:
    """What the page asks for now, and what it would ask for if a mentor allowed it."""

    stage: str
    look_again: PlacedFinding | None = None
    proposal: Proposal | None = None
    gated: tuple[Proposal, ...] = ()


def _next(expanded: EngineKnowledge, steps: Sequence[Step], advice: _Advice, offer: Callable[[str], Proposal]) -> _Next:
    reports = reports_of(steps, expanded)
    if not reports:
        return _Next("complaint")
    last_remedy = max((i for i, step in enumerate(steps) if step.kind == "remedy"), default=-1)
    latest = {step.finding: (i, step) for i, step in enumerate(steps) if step.kind == "observation"}
    left = [finding for finding, report in reports.items() if not is_gone(latest[finding][1], report)]
    due = [finding for finding in left if last_remedy > latest[finding][0] and latest[finding][1].level]
    if not left:
        return _Next("gone")
    looks = [_look_again(expanded, finding, offer) for finding in due or left[: advice.is_time_to_test]]
    gated = tuple(proposal for look in looks for proposal in look.gated)
    plain = _Next("advice" if advice.first_free else "nothing", proposal=advice.first_free, gated=gated)
    return next((look for look in looks if look.stage), plain)


def _look_again(expanded: EngineKnowledge, finding: str, offer: Callable[[str], Proposal]) -> _Next:
    """By hand it is simply looked at; air and steam only through a check, behind its gates."""
    placed = expanded.findings[finding]
    if placed.entry.requires.get("driven_by", BY_HAND) == BY_HAND:
        return _Next("look_again", placed)
    checks = [offer(check.id) for check in expanded.checks.values() if check.target == finding]
    ready = next((check for check in checks if check.may_be_done), None)
    if ready is not None:
        return _Next("advice", proposal=ready)
    if any(gate.fact == "turns_freely_by_hand" for check in checks for gate in check.gates):
        return _Next("look_again", expanded.findings.get(WHEELS, placed))
    return _Next("", gated=tuple(check for check in checks if check.permission))


def _is_stale(snapshot: Snapshot, knowledge: Knowledge, facts_checksum: str, sheet: FaultSheet) -> bool:
    rests_on = (snapshot.knowledge_checksum, snapshot.facts_checksum, snapshot.configuration_number)
    return rests_on != (knowledge.checksum, facts_checksum, sheet.engine.configuration.number)


def state_in_words(state: SheetState) -> tuple[str, ...]:
    """The state line: each condition in its own words."""
    words = [
        form.format(state.conditions[name].replace("_", " "))
        for name, form in STATE_WORDS.items()
        if name in state.conditions
    ]
    if state.tied_down:
        words.append("tied down")
    if state.air_isolated:
        words.append("boiler parted from the air")
    if state.boiler != "cold":
        words.append({"hydraulic": "under hydraulic test", "in_steam": "in steam"}[state.boiler])
    return tuple(words)


def _remaining(snapshot: Snapshot) -> str:
    """What the plan finishes comes first among the minutes; what it hands over takes longer than anybody can say."""
    minutes: list[Any] = snapshot.remaining_minutes
    handed_over = snapshot.handed_over_share
    if not minutes or handed_over is None:
        return ""
    if handed_over >= 0.5:
        return "Too early to say how much work is left."
    middle, late = (minutes_in_words(minutes[int(len(minutes) * share)]) for share in (0.5, 0.8))
    more = "more cannot be said yet" if handed_over >= 0.2 else f"8 in 10 within {late}"
    return f"Work left: an even chance within {middle}, {more}."
