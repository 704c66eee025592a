"""What the fault sheet's page shows, put together from rows and the stored ranking. Nothing is inferred here."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from datetime import datetime
from functools import partial
from math import e, log10
from typing import Any

from django.utils import timezone

from restorations.calc.diagnosis import FunctionTest
from restorations.faults.drafts import Answer, answers_for
from restorations.faults.facts import WHEELS, BenchFacts, SheetState, bench_facts, engine_facts, parted
from restorations.faults.finding_search import FindingChoice, search
from restorations.faults.gates import gates_now, parts_to_move
from restorations.faults.models import FaultSheet, GoAhead, Snapshot, Step
from restorations.faults.ranking import suspected_causes
from restorations.faults.services.sheets import stored_knowledge
from restorations.faults.wording import (
    STATE_WORDS,
    as_fraction,
    days_in_words,
    likeliness,
    minutes_in_words,
    odds_moved,
    off_in_words,
    part_apart,
    probability,
)
from restorations.knowledge import UNLISTED, EngineFacts, EngineKnowledge, Prices, load
from restorations.knowledge.engine import PlacedCheck, PlacedFinding, PlacedRemedy
from restorations.knowledge.gates import Gate
from restorations.tasks.models import Soak
from restorations.tasks.parts import soak_places

SUSPECTS_SHOWN = 5
SUGGESTED = 6
BY_HAND = "by_hand"
LEAST_SHOWN = 0.01
WEEK_OF_EVENINGS = 0.9 * Prices().hand_over_minutes
GATED_SHOWN = 3
FUNCTION_TEST = FunctionTest(minutes=0).name
DECIBANS_PER_NAT = 10 * log10(e)


@dataclass(frozen=True, slots=True)
class Move:
    """What one step did to one suspicion."""

    words: str
    decibans: float
    odds: str


@dataclass(frozen=True, slots=True)
class Suspect:
    number: int
    id: str
    name: str
    at: str
    place: str
    explain: str
    p: float
    because: str
    moves: tuple[Move, ...]
    is_dangerous: bool

    @property
    def word(self) -> str:
        return likeliness(self.p)

    @property
    def fraction(self) -> str:
        return as_fraction(self.p)


@dataclass(frozen=True, slots=True)
class Proposal:
    """One check or remedy as it would be done now."""

    id: str
    placed: PlacedCheck | PlacedRemedy
    gates: tuple[Gate, ...]
    answers: tuple[Answer, ...]
    take_off: tuple[tuple[str, str, str], ...]
    """Part, its name, and what "off" means for it where that is not plainly taken off."""
    put_back: tuple[tuple[str, str, str], ...]
    waits_for_answer: bool = False
    looked_for: str = ""
    """The cause that "found" would mean, where the check is a look for one."""

    @property
    def how(self) -> str:
        return self.placed.said(self.placed.entry.how)

    @property
    def cautions(self) -> tuple[str, ...]:
        return tuple(self.placed.said(caution) for caution in self.placed.entry.cautions)

    @property
    def is_remedy(self) -> bool:
        return isinstance(self.placed, PlacedRemedy)

    @property
    def minutes(self) -> str:
        return minutes_in_words(self.placed.entry.minutes)

    @property
    def waiting(self) -> str:
        days = self.placed.entry.waiting_days
        return days_in_words(days) if days else ""

    @property
    def permission(self) -> Gate | None:
        """The gate that a mentor's (or inspector's) word opens, where that is what is missing."""
        return next((gate for gate in self.gates if gate.kind in {"go-ahead", "inspector"} and not gate.fact), None)

    @property
    def first(self) -> tuple[Gate, ...]:
        """Gates that neither a mentor's word nor setting the engine up opens."""
        return tuple(gate for gate in self.gates if gate is not self.permission and not gate.is_preparation)

    @property
    def needs_consent(self) -> bool:
        return any(gate.kind == "consent" for gate in self.gates)

    @property
    def preparations(self) -> tuple[Gate, ...]:
        """What whoever does it sets up first, and ticks."""
        return tuple(gate for gate in self.gates if gate.is_preparation)

    @property
    def may_be_done(self) -> bool:
        return all(gate.is_preparation for gate in self.gates)


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
    is_stale: bool
    state_words: tuple[str, ...]
    off_words: tuple[str, ...]
    remaining: str
    unlisted: str
    """How likely it is that the trouble is on no list: said apart, for it explains nothing."""

    @property
    def soaking(self) -> frozenset[str]:
        """The remedies that stand among the soaks already."""
        return frozenset(line.begun.id for line in self.soaks if line.begun)


def read_page(sheet: FaultSheet, *, at: datetime) -> SheetPage:
    """Read everything the page needs; the number of queries does not grow with the sheet."""
    snapshot = sheet.latest_snapshot
    if snapshot is None:
        raise LookupError(f"{sheet} has no ranking")
    expanded = stored_knowledge(snapshot.model.checksum)
    steps = list(
        sheet.steps.select_related("done_by", "recorded_by", "struck_by", "go_ahead__answered_by")
        .prefetch_related("photos")
        .in_order()
    )
    standing = [step for step in steps if step.stands]
    bench = bench_facts(sheet.engine, on=timezone.localdate(at))
    facts = engine_facts(sheet, bench, standing, at=at)
    go_aheads = tuple(sheet.go_aheads.select_related("asked_by", "answered_by"))
    offer = partial(propose, expanded, facts=facts, bench=bench, go_aheads=go_aheads)
    actions = _actions(expanded, snapshot, standing)
    advice = _Advice(snapshot, [offer(action) for action in actions], _set_aside(standing))
    now = _next(expanded, standing, advice, offer)
    return SheetPage(
        sheet=sheet,
        expanded=expanded,
        snapshot=snapshot,
        steps=steps,
        suspects=_suspects(snapshot, expanded, standing),
        stage=now.stage,
        proposal=now.proposal,
        gated=tuple({item.id: item for item in (*advice.gated, *now.gated)}.values()),
        set_aside=advice.set_aside,
        look_again=now.look_again,
        suggestions=_suggestions(expanded, sheet, standing),
        soaks=_soaks(sheet, advice.set_aside, at),
        dangers=_dangers(expanded, standing),
        go_aheads=go_aheads,
        is_stale=_is_stale(snapshot, bench.checksum, sheet),
        state_words=state_in_words(SheetState.of(sheet.state)),
        off_words=off_in_words(_part_name(expanded, part) for part in sorted(bench.off)),
        remaining=_remaining(snapshot),
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


def propose(
    expanded: EngineKnowledge, action: str, facts: EngineFacts, bench: BenchFacts, go_aheads: Sequence[GoAhead] = ()
) -> Proposal:
    """One action as it stands now: gates by today's facts, parts to move, answers."""
    placed = expanded.checks.get(action) or expanded.remedies[action]
    take, fit = parts_to_move(expanded, action, facts.off, bench.off_unaccepted)
    return Proposal(
        id=action,
        placed=placed,
        gates=gates_now(expanded, action, facts, bench),
        answers=answers_for(expanded, action),
        take_off=tuple((part, *part_apart(_part_name(expanded, part))) for part in take),
        put_back=tuple((part, *part_apart(_part_name(expanded, part))) for part in fit),
        waits_for_answer=any(row.action == action and row.answer == "" for row in go_aheads),
        looked_for=_looked_for(expanded, placed),
    )


def _looked_for(expanded: EngineKnowledge, placed: PlacedCheck | PlacedRemedy) -> str:
    """The cause that a check answered "found" or "not found" looks for."""
    if isinstance(placed, PlacedRemedy) or placed.entry.answers:
        return ""
    return expanded.causes[placed.target].name


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
    reports = {step.finding: step for step in reversed(steps) if step.reported and step.finding in expanded.findings}
    if not reports:
        return _Next("complaint")
    last_remedy = max((i for i, step in enumerate(steps) if step.kind == "remedy"), default=-1)
    latest = {step.finding: (i, step) for i, step in enumerate(steps) if step.kind == "observation"}
    left = [finding for finding, report in reports.items() if not _is_gone(latest[finding][1], report)]
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


def _is_gone(look: Step, report: Step) -> bool:
    """With everything on the engine that was on it when it was reported: free with the rods off is no cure."""
    return look.level == 0 and parted(look) <= parted(report)


def _suspects(snapshot: Snapshot, expanded: EngineKnowledge, steps: Sequence[Step]) -> tuple[Suspect, ...]:
    words = {step.number: step.words for step in steps}
    suspected = suspected_causes(steps, expanded)
    ranked = sorted(snapshot.log_odds.items(), key=lambda pair: -pair[1])
    shown = [
        (cause, p)
        for cause, p in ((c, probability(odds)) for c, odds in ranked)
        if cause in suspected and p >= LEAST_SHOWN
    ]
    shown = shown[:SUSPECTS_SHOWN]
    return tuple(
        _suspect(number, cause, p, snapshot, expanded, words) for number, (cause, p) in enumerate(shown, start=1)
    )


def _suspect(
    number: int, cause: str, p: float, snapshot: Snapshot, expanded: EngineKnowledge, words: dict[int, str]
) -> Suspect:
    placed = expanded.causes[cause]
    moves = _moves(snapshot, cause, placed.probability, words)
    return Suspect(
        number=number,
        id=cause,
        name=placed.name,
        at=placed.entry.at,
        place="" if str(placed.place) == "engine" else str(placed.place),
        explain=placed.entry.explain,
        p=p,
        because=_because(moves),
        moves=moves,
        is_dangerous=placed.entry.dangerous,
    )


def _moves(snapshot: Snapshot, cause: str, prior: float, words: dict[int, str]) -> tuple[Move, ...]:
    decibans = 10 * log10(prior / (1 - prior))
    found = []
    for number, weight in zip(snapshot.events, snapshot.weights.get(cause, []), strict=False):
        if abs(weight) >= 0.05:
            found.append(Move(words.get(number, "a step"), weight, odds_moved(decibans, weight)))
        decibans += weight
    return tuple(found)


def _because(moves: tuple[Move, ...]) -> str:
    """The step that moved it most, as a sentence; a thing seen moves odds, it does not "support"."""
    if not moves:
        return "Nothing seen has moved it: as common as on any engine with this past."
    strongest = max(moves, key=lambda move: abs(move.decibans))
    went = "raised" if strongest.decibans > 0 else "lowered"
    return f"{strongest.words}. That {went} it {strongest.odds}."


def _dangers(expanded: EngineKnowledge, steps: Sequence[Step]) -> tuple[PlacedFinding, ...]:
    latest = {step.finding: step.level for step in steps if step.kind == "observation"}
    seen = [finding for finding, level in latest.items() if level and finding in expanded.findings]
    return tuple(expanded.findings[finding] for finding in seen if expanded.findings[finding].entry.dangerous)


def _is_stale(snapshot: Snapshot, facts_checksum: str, sheet: FaultSheet) -> bool:
    rests_on = (snapshot.knowledge_checksum, snapshot.facts_checksum, snapshot.configuration_number)
    return rests_on != (load().checksum, facts_checksum, sheet.engine.configuration.number)


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


def _part_name(expanded: EngineKnowledge, part: str) -> str:
    return expanded.parts[part].name if part in expanded.parts else part.replace("_", " ").replace("@", ", ")


def _remaining(snapshot: Snapshot) -> str:
    minutes: list[Any] = snapshot.remaining_minutes
    if not minutes:
        return ""
    middle, late = minutes[len(minutes) // 2], minutes[int(len(minutes) * 0.8)]
    if middle >= WEEK_OF_EVENINGS:
        return "Too early to say how much work is left."
    return f"Work left: an even chance within {minutes_in_words(middle)}, 8 in 10 within {minutes_in_words(late)}."
