"""What stands on the bench: parts off, soaks, papers, and the state a sheet's looks are made in."""

import hashlib
import json
from collections.abc import Collection, Iterable, Sequence
from dataclasses import dataclass, field, replace
from datetime import date, datetime
from typing import Any

from django.db.models import Max, Q, QuerySet

from restorations.engines.facts import boilers_stopped
from restorations.engines.models import Certificate, Engine
from restorations.faults.leave import leave_on
from restorations.faults.models import FaultSheet, Step
from restorations.knowledge import EngineFacts, EngineKnowledge
from restorations.members.models import Member
from restorations.tasks.models import Connection, Soak, StrippedPart, Tag
from restorations.tasks.models.parts import ENDINGS, STAYS_OFF
from restorations.tasks.services import ids_not_on

WHEELS = "wheels_stiff"
# The endings of a part's time off after which it, or another in its place, is on the engine.
BACK_ON = frozenset(ENDINGS) - STAYS_OFF
# The knowledge prices raising steam and cooling down as fitting and taking off the fire.
NO_FIRE = frozenset({"fire"})


@dataclass(frozen=True, slots=True)
class BenchFacts:
    """What the apps below say of an engine, as far as the ranking rests on it."""

    off: frozenset[str] = frozenset()
    """Standing rows: evidence is read with these parts off."""
    off_unaccepted: frozenset[str] = frozenset()
    """A helper's rows: they do not count yet, but no step may rely on the part being there."""
    soaks: frozenset[tuple[str, bool]] = frozenset()
    """Where something soaks, and whether in something volatile."""
    steam_allowed: bool = False
    tags: frozenset[str] = frozenset()
    """Kinds of tag that hang on it, a helper's too: a warning never waits."""
    fitted_at: datetime | None = None
    """When a part last went back: what was seen to turn freely before that has to be seen again."""

    @property
    def perhaps_off(self) -> frozenset[str]:
        """Everything that somebody says is off."""
        return self.off | self.off_unaccepted

    @property
    def soaking(self) -> frozenset[str]:
        return frozenset(place for place, _ in self.soaks)

    @property
    def volatile_solvent(self) -> bool:
        return any(volatile for _, volatile in self.soaks)

    @property
    def checksum(self) -> str:
        """Known again by any process: a ranking made on other facts says so."""
        plain = {
            "off": sorted(self.off),
            "soaks": sorted(self.soaks),
            "steam": self.steam_allowed,
        }
        return hashlib.sha256(json.dumps(plain, sort_keys=True).encode()).hexdigest()

    def after(self, *, taken_off: Iterable[str], refitted: Iterable[str], at: datetime) -> "BenchFacts":
        """The same once these parts have come off and those gone back."""
        back = frozenset(refitted)
        off = (self.off | frozenset(taken_off)) - back
        return replace(self, off=off, fitted_at=at if back & self.perhaps_off else self.fitted_at)


def bench_facts(engine: Engine, *, on: date) -> BenchFacts:
    return bench_facts_of([engine.pk], on=on)[engine.pk]


def bench_facts_of(engines: Collection[int], *, on: date) -> dict[int, BenchFacts]:
    """Read the rows below, by the engines' numbers; as many queries for twenty engines as for one."""
    not_on, fitted = ids_not_on(engines), _last_fitted(engines)
    steam = Certificate.objects.filter(engine__in=engines).engines_in_steam(on) - boilers_stopped(engines, on)
    soaks = _by_engine(Soak.objects.under_way().filter(engine__in=engines), "place", "is_volatile")
    tags = _by_engine(Tag.objects.hanging().filter(engine__in=engines), "kind")
    return {
        engine: BenchFacts(
            off=not_on[engine][0],
            off_unaccepted=not_on[engine][1],
            soaks=frozenset((place, volatile) for place, volatile in soaks.get(engine, ())),
            steam_allowed=engine in steam,
            tags=frozenset(kind for (kind,) in tags.get(engine, ())),
            fitted_at=fitted.get(engine),
        )
        for engine in engines
    }


def _by_engine(rows: QuerySet[Any], *columns: str) -> dict[int, list[tuple[Any, ...]]]:
    found: dict[int, list[tuple[Any, ...]]] = {}
    for engine, *values in rows.values_list("engine", *columns):
        found.setdefault(engine, []).append(tuple(values))
    return found


def _last_fitted(engines: Collection[int]) -> dict[int, datetime]:
    """Parts that went back and pin joints made up again: what moves may bind since."""
    back = StrippedPart.objects.not_struck().filter(engine__in=engines, ending__in=BACK_ON).exclude(component="")
    pins = Connection.objects.not_struck().filter(engine__in=engines, carries="pin_joint", joined_at__isnull=False)
    found: dict[int, datetime] = {}
    for rows, moment in ((back, "ended_at"), (pins, "joined_at")):
        for engine, last in rows.order_by().values_list("engine").annotate(last=Max(moment)):
            found[engine] = max(found.get(engine, last), last)
    return found


def parts_off_at(engine: Engine, moment: datetime) -> frozenset[str]:
    """What was not on the engine then: a look that is written down late was made without it."""
    parts = StrippedPart.objects.standing().filter(engine=engine).exclude(component="")
    pipes = Connection.objects.standing().filter(engine=engine, parted_at__lte=moment).exclude(component="")
    apart = pipes.filter(Q(joined_at__isnull=True) | Q(joined_at__gt=moment))
    return frozenset(row.part_id for row in (*parts.off(at=moment), *parts.absent().filter(off_at__lte=moment), *apart))


@dataclass(frozen=True, slots=True)
class SheetState:
    """The state looks are made in: asked once and carried on."""

    conditions: dict[str, str] = field(default_factory=dict)
    slackened: frozenset[str] = frozenset()
    tied_down: bool = False
    air_isolated: bool = False
    boiler: str = "cold"

    @classmethod
    def of(cls, plain: dict[str, Any]) -> "SheetState":
        return cls(
            conditions=dict(plain.get("conditions", {})),
            slackened=frozenset(plain.get("slackened", [])),
            tied_down=bool(plain.get("tied_down", False)),
            air_isolated=bool(plain.get("air_isolated", False)),
            boiler=plain.get("boiler", "cold"),
        )

    def prepared(self, facts: Iterable[str], *, refitted: Iterable[str] = ()) -> "SheetState":
        """The same once whoever does the step has set the engine up so; what went back is slack no more."""
        made = set(facts)
        wheels = {fact.removeprefix("wheels_") for fact in made if fact.startswith("wheels_")}
        conditions = self.conditions | ({"wheels": wheels.pop()} if wheels else {})
        return replace(
            self, conditions=conditions, tied_down=self.tied_down or "tied_down" in made,
            air_isolated=self.air_isolated or "air_isolated" in made, slackened=self.slackened - frozenset(refitted),
        )  # fmt: skip

    def plain(self) -> dict[str, Any]:
        return {
            "conditions": self.conditions,
            "slackened": sorted(self.slackened),
            "tied_down": self.tied_down,
            "air_isolated": self.air_isolated,
            "boiler": self.boiler,
        }


def turns_freely(steps: Sequence[Step], bench: BenchFacts, slackened: frozenset[str]) -> bool:
    """Whether the last look at the wheels by hand was "free", with nothing put back or nipped up since then."""
    looks = [step for step in steps if step.finding == WHEELS and step.kind == "observation"]
    if not looks or looks[-1].level != 0:
        return False
    if bench.fitted_at is not None and bench.fitted_at > looks[-1].happened_at:
        return False
    return parted(looks[-1]) <= bench.off | slackened


def parted(look: Step) -> frozenset[str]:
    """What carried nothing when this was seen: parts off, slackened or hung up."""
    return frozenset(look.state.get("off", [])) | frozenset(look.state.get("slackened", []))


def bare_facts(sheet: FaultSheet, bench: BenchFacts, steps: Sequence[Step]) -> EngineFacts:
    """How the engine stands, without anybody's word; `steps` are the standing ones in order."""
    state = SheetState.of(sheet.state)
    turns = turns_freely(steps, bench, state.slackened)
    return facts_from(state, bench, turns=turns, go_aheads=frozenset(), consents=frozenset())


def engine_facts(
    sheet: FaultSheet, bench: BenchFacts, steps: Sequence[Step], *,
    expanded: EngineKnowledge, at: datetime, by: Member | None = None,
) -> EngineFacts:  # fmt: skip
    """Everything gates ask about, as it is now, for whoever would do the step."""
    bare = bare_facts(sheet, bench, steps)
    return leave_on(sheet, expanded, bare, at=at, by=by).on(bare)


def facts_from(
    state: SheetState, bench: BenchFacts, *, turns: bool, go_aheads: frozenset[str], consents: frozenset[str]
) -> EngineFacts:
    return EngineFacts(
        off=bench.off | state.slackened | (frozenset() if state.boiler == "in_steam" else NO_FIRE),
        conditions=state.conditions,
        turns_freely=turns,
        volatile_solvent=bench.volatile_solvent,
        soaking=bench.soaking,
        certificate_in_date=bench.steam_allowed,
        boiler=state.boiler,
        wheels=state.conditions.get("wheels", "on_rail"),
        tied_down=state.tied_down,
        air_isolated=state.air_isolated,
        go_aheads=go_aheads,
        consents=consents,
    )


def first_state(expanded: EngineKnowledge) -> SheetState:
    """Every condition as it is assumed when nobody says."""
    return SheetState(conditions={name: condition.assumed for name, condition in expanded.conditions.items()})
