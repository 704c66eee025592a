"""What may be done on a sheet by somebody's word: go-aheads that hold, standing ones, the owner's consents.

A go-ahead lapses at its end; when a fact that its step's gates use has turned since it was given (what was needed and
was so is so no more, or what must not be has come about); or when something dangerous was seen on the engine since.
That a preparation was made meanwhile, the engine tied down or the rods taken off as the step wants it, is no lapse.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import datetime
from typing import Any

from django.db.models import Q

from restorations.engines.models import Engine
from restorations.faults.danger import danger_in
from restorations.faults.models import FaultSheet, GoAhead, StandingGoAhead, Step
from restorations.faults.standing_kinds import actions_of
from restorations.faults.wording import part_apart, part_name
from restorations.knowledge import EngineFacts, EngineKnowledge
from restorations.knowledge.engine import PlacedCheck, PlacedRemedy
from restorations.knowledge.gate_facts import excluded, needed
from restorations.members.models import Member

# Fact -> what to say when it has come about, and when it is so no more.
TURNED: dict[str, tuple[str, str]] = {
    "turns_freely_by_hand": ("it turns freely by hand", "it no longer turns freely by hand"),
    "boiler_cold": ("the boiler is cold", "the boiler is no longer cold"),
    "under_hydraulic_test": ("the boiler is under its hydraulic test", "the hydraulic test is over"),
    "in_steam": ("the engine is in steam", "the engine is no longer in steam"),
    "certificate_in_date": ("the boiler is under certificate", "no certificate of the boiler is in date any more"),
    "air_isolated": ("the steam pipe is parted", "the boiler is no longer parted from the air"),
    "wheels_clear": ("the wheels are clear", "the wheels are no longer clear of the rails"),
    "wheels_chocked": ("the wheels are chocked", "the wheels are no longer chocked"),
    "tied_down": ("the engine is tied down", "the engine is no longer tied down"),
    "wheels_on_rail": ("the engine stands on the rails", "the engine no longer stands on the rails"),
    "volatile_solvent": ("a volatile solvent is on the engine", "the solvent is off the engine"),
    "soaking": ("it is left to soak", "the soak has ended"),
    "under_pressure": ("something is under pressure", "nothing is under pressure any more"),
}
NO_SUCH_STEP = "the engine was corrected and has no such step any more"

Placed = PlacedCheck | PlacedRemedy


@dataclass(frozen=True, slots=True)
class Leave:
    """What holds for somebody at a moment, and what was given and has lapsed, with the reason."""

    go_aheads: tuple[GoAhead, ...]
    standing: tuple[StandingGoAhead, ...]
    lapsed: Mapping[int, str]
    """By the go-ahead's number: why it holds no more although nobody took it back."""
    actions: frozenset[str]
    consents: frozenset[str]

    def on(self, bare: EngineFacts) -> EngineFacts:
        return replace(bare, go_aheads=self.actions, consents=self.consents)


def facts_given_on(placed: Placed, bare: EngineFacts) -> dict[str, list[str]]:
    """What was so when a go-ahead was given, to be stored with it."""
    return {"holding": sorted(bare.holding(placed.place)), "off": sorted(bare.off)}


def turned_since(
    expanded: EngineKnowledge, placed: Placed, given: Mapping[str, Sequence[str]], bare: EngineFacts
) -> tuple[str, ...]:
    """What turned against the step since then, in words; only facts and parts that the step itself names."""
    if not given:
        return ()
    entry, was, now = placed.entry, frozenset(given["holding"]), bare.holding(placed.place)
    wants = needed(entry.needs, entry.uses, entry.authority)
    bars = excluded(entry.excludes, entry.uses)
    facts = [TURNED[fact][1] for fact in TURNED if fact in wants & was - now]
    facts += [TURNED[fact][0] for fact in TURNED if fact in (bars & now) - was]
    real = {part.id for part in expanded.parts.values() if not part.entry.is_state}
    off_then = frozenset(given["off"])
    came_off = (placed.needs_fitted & real & bare.off) - off_then
    went_back = (placed.needs_off & real & off_then) - bare.off
    parts = [f"off now: {_called(expanded, part)}" for part in sorted(came_off)]
    parts += [f"back on now: {_called(expanded, part)}" for part in sorted(went_back)]
    return (*facts, *parts)


def _called(expanded: EngineKnowledge, part: str) -> str:
    name = part_apart(part_name(expanded, part))[0]
    return name[:1].lower() + name[1:]


def why_lapsed(
    row: GoAhead, expanded: EngineKnowledge, bare: EngineFacts, dangers: Sequence[Step], *, at: datetime
) -> str:
    """Why a go-ahead that was given holds no more; empty while it holds, and where nobody gave it."""
    if row.answer != "given" or row.is_struck or row.answered_at is None:
        return ""
    if row.lapsed_at is not None and row.lapsed_at <= at:
        return row.lapsed_why
    if row.until is not None and row.until <= at:
        return "its time was up"
    danger = next((step for step in dangers if step.recorded_at > row.answered_at), None)
    if danger is not None:
        return f"something dangerous was seen since: {danger.words}"
    placed = expanded.checks.get(row.action) or expanded.remedies.get(row.action)
    return "; ".join(turned_since(expanded, placed, row.facts, bare)) if placed else NO_SUCH_STEP


def dangers_on(engine: Engine, expanded: EngineKnowledge, *, at: datetime) -> list[Step]:
    """What dangerous thing was seen on any sheet of the engine, a helper's too: a danger never waits."""
    told = Q(kind="observation", level__gt=0) | Q(kind="inspection", present=True)
    rows = Step.objects.not_struck().filter(told, sheet__engine=engine, recorded_at__lte=at).order_by("recorded_at")
    return [step for step in rows if danger_in(step, expanded) is not None]


def leave_on(
    sheet: FaultSheet, expanded: EngineKnowledge, bare: EngineFacts, *, at: datetime, by: Member | None = None
) -> Leave:
    """`bare` are the facts without anybody's word; `by` is who would do the step, for whom standing go-aheads hold.

    Nobody goes by what they gave themselves.
    """
    given = list(sheet.go_aheads.filter(answer="given").select_related("answered_by"))
    standing = _standing_for(by, sheet.engine, at)
    dangers = dangers_on(sheet.engine, expanded, at=at) if given or standing else []
    lapsed = {row.pk: why_lapsed(row, expanded, bare, dangers, at=at) for row in given}
    holding = tuple(row for row in given if _holds(row, by, at) and not lapsed[row.pk])
    standing = tuple(row for row in standing if not any(step.recorded_at > row.given_at for step in dangers))
    covered = actions_of(expanded, frozenset(row.kind for row in standing))
    consents: Any = sheet.engine.consents.not_struck().exclude(action="")
    return Leave(
        go_aheads=holding,
        standing=standing,
        lapsed={pk: why for pk, why in lapsed.items() if why},
        actions=frozenset(row.action for row in holding) | covered,
        consents=frozenset(consents.values_list("action", flat=True)),
    )


def _standing_for(member: Member | None, engine: Engine, at: datetime) -> tuple[StandingGoAhead, ...]:
    if member is None:
        return ()
    rows = StandingGoAhead.objects.in_force(at).filter(member=member, engine=engine)
    return tuple(rows.select_related("given_by"))


def _holds(row: GoAhead, by: Member | None, at: datetime) -> bool:
    given = not row.is_struck and row.answered_at is not None and row.answered_at <= at
    return given and (by is None or row.answered_by_id != by.pk)
