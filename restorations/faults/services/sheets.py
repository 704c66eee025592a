"""Opening a sheet, the state and history it rests on, and making its ranking anew."""

import json
from collections.abc import Callable, Iterator, Mapping
from dataclasses import asdict, dataclass, field, replace
from datetime import datetime
from functools import lru_cache
from typing import Any
from uuid import UUID

from django.db import transaction
from django.db.models import OuterRef, Subquery
from django.utils import timezone

from restorations.engines.facts import history_of
from restorations.engines.models import Engine, EngineConfiguration
from restorations.faults.facts import BenchFacts, SheetState, bare_facts, bench_facts, facts_from, first_state
from restorations.faults.knowing import in_force
from restorations.faults.leave import Leave, leave_on
from restorations.faults.models import ExpandedModel, FaultSheet, Snapshot, Step
from restorations.faults.ranking import Ranking, rank
from restorations.faults.services.lapses import note_lapses
from restorations.knowledge import Configuration, EngineFacts, EngineKnowledge, History, Knowledge, Prices, expand
from restorations.knowledge.expansion import reweighed
from restorations.knowledge.storage import weights_of, with_weights
from restorations.members.doing import Doing
from restorations.members.models import Changed, Club, Member
from restorations.members.models.records import Submission, record, submit_once

TRIES = 3


@dataclass(frozen=True, slots=True)
class Ground:
    """What a ranking of one sheet rests on, read before any transaction."""

    knowledge: Knowledge
    configuration: EngineConfiguration
    expanded: EngineKnowledge
    bench: BenchFacts
    steps: list[Step]

    def row(self, sheet: FaultSheet, ranking: Ranking) -> Snapshot:
        """The snapshot, unsaved."""
        return Snapshot(
            sheet=sheet,
            knowledge_checksum=self.knowledge.checksum,
            configuration_number=self.configuration.number,
            facts_checksum=self.bench.checksum,
            **asdict(ranking),
        )


def knowledge_for(
    knowledge: Knowledge, configuration: EngineConfiguration, history: Mapping[str, Any]
) -> EngineKnowledge:
    """The knowledge expanded for this engine and this sheet's history answers."""
    answers = json.dumps(dict(history), sort_keys=True)
    return _expanded(knowledge, configuration.as_configuration(), answers)


@lru_cache(maxsize=64)
def _expanded(knowledge: Knowledge, configuration: Configuration, history: str) -> EngineKnowledge:
    """Once for each state of the knowledge (known by its checksum), build of engine and history."""
    of_build = _of_build(_Build(knowledge.files or knowledge.checksum, configuration, knowledge))
    return reweighed(of_build, knowledge, configuration, History.from_mapping(json.loads(history)))


@dataclass(frozen=True, slots=True)
class _Build:
    """A build of engine under one state of the files, whatever base rates were learned since."""

    files: str
    configuration: Configuration
    knowledge: Knowledge = field(compare=False)


@lru_cache(maxsize=32)
def _of_build(build: _Build) -> EngineKnowledge:
    """Past and rates only weigh the causes: expanded once, and weighed for each sheet."""
    return expand(build.knowledge, build.configuration, History())


@lru_cache(maxsize=64)
def stored_knowledge(checksum: str) -> EngineKnowledge:
    """The expanded knowledge a snapshot was made with; pages read it as it was."""
    row = ExpandedModel.objects.select_related("base").defer("base__mapping").get(checksum=checksum)
    if row.base is not None:
        return with_weights(stored_knowledge(row.base.checksum), row.mapping)
    return EngineKnowledge.from_mapping(row.mapping)


def store_knowledge(expanded: EngineKnowledge) -> ExpandedModel:
    """Once for each checksum; whole for the first of a structure, for others their rates and probabilities alone."""
    rows = ExpandedModel.objects.defer("mapping")
    known = rows.filter(checksum=expanded.checksum).first()
    if known is not None:
        return known
    base = rows.filter(structure=expanded.structure, base__isnull=True).first()
    mapping = expanded.as_mapping() if base is None else weights_of(expanded)
    columns = {"structure": expanded.structure, "base": base, "mapping": mapping}
    return rows.get_or_create(checksum=expanded.checksum, defaults=columns)[0]


def knowledge_of(sheet: FaultSheet) -> EngineKnowledge:
    """What is known now of the engine of a sheet, by its configuration in force."""
    return knowledge_for(in_force(sheet.engine), sheet.engine.configuration, sheet.history)


def ground_of(sheet: FaultSheet, *, at: datetime, configuration: EngineConfiguration | None = None) -> Ground:
    """By the engine's configuration in force, unless another is given."""
    configuration = configuration or sheet.engine.configuration
    knowledge = in_force(sheet.engine)
    return Ground(
        knowledge=knowledge,
        configuration=configuration,
        expanded=knowledge_for(knowledge, configuration, sheet.history),
        bench=bench_facts(sheet.engine, on=timezone.localdate(at)),
        steps=list(sheet.steps.standing().in_order()),
    )


def leave_for_all(sheet: FaultSheet, ground: Ground, *, at: datetime) -> tuple[Leave, EngineFacts]:
    """What mentors and owner have said yes to, whoever does it, and the facts with it."""
    bare = bare_facts(sheet, ground.bench, ground.steps)
    leave = leave_on(sheet, ground.expanded, bare, at=at)
    return leave, leave.on(bare)


def ranking_of(ground: Ground, facts: EngineFacts) -> Ranking:
    return rank(ground.expanded, ground.steps, facts, prices(Club.current()))


def prices(club: Club) -> Prices:
    return Prices(test_minutes=float(club.function_test_minutes), per_day=float(club.minutes_per_day_waited))


def save_snapshot(sheet: FaultSheet, ground: Ground, ranking: Ranking) -> Snapshot:
    """Call inside a transaction."""
    snapshot = ground.row(sheet, ranking)
    snapshot.model = store_knowledge(ground.expanded)
    snapshot.save()
    return snapshot


def open_sheet(
    *, engine: Engine, complaint: str, history: dict[str, Any] | None, member: Member, at: datetime, mark: UUID
) -> FaultSheet:
    """Begin an investigation; the history answers are a copy of the engine's unless others are given."""
    answers = history if history is not None else history_of(engine).as_mapping()
    configuration = engine.configuration
    knowledge = in_force(engine)
    expanded = knowledge_for(knowledge, configuration, answers)
    sheet = FaultSheet(
        engine=engine, complaint=complaint, history=answers, configuration=configuration, opened_at=at,
        opened_by=member, state=first_state(expanded).plain(),
    )  # fmt: skip
    ground = Ground(knowledge, configuration, expanded, bench_facts(engine, on=timezone.localdate(at)), [])
    ranking = rank(expanded, [], _no_permissions(sheet, ground), prices(Club.current()))

    def make() -> FaultSheet:
        sheet.save()
        save_snapshot(sheet, ground, ranking)
        record(member, "opened a fault sheet", sheet, after={"complaint": complaint})
        return sheet

    row, _ = submit_once(member, mark, make)
    return row


def _no_permissions(sheet: FaultSheet, ground: Ground) -> EngineFacts:
    return facts_from(
        SheetState.of(sheet.state), ground.bench, turns=False, go_aheads=frozenset(), consents=frozenset()
    )


@dataclass(frozen=True, slots=True)
class Change:
    """A change of the sheet that calls for a new ranking: fields of its own, or which steps stand."""

    verb: str
    fields: dict[str, Any] = field(default_factory=dict)
    stands: Callable[[list[Step]], list[Step]] = list
    """The standing steps once the change is made."""
    write: Callable[[], None] | None = None
    """What else is written, in the same transaction."""


def is_repeat(member: Member, mark: UUID) -> bool:
    """Whether this form has been dealt with before."""
    return Submission.objects.filter(member=member, mark=mark).exists()


def change_sheet(sheet: FaultSheet, change: Change, *, member: Member, mark: UUID, at: datetime) -> FaultSheet:
    """Make a change and rank anew, whoever else is writing steps meanwhile; a repeat changes nothing."""
    if is_repeat(member, mark):
        return sheet

    def attempt() -> FaultSheet:
        fresh = FaultSheet.objects.select_related("engine").get(pk=sheet.pk)
        fresh.require_open()
        version, was = fresh.version, fresh.configuration_id
        before = {name: getattr(fresh, name) for name in change.fields}
        for name, value in change.fields.items():
            setattr(fresh, name, value)
        ground = ground_of(fresh, at=at)
        ground = replace(ground, steps=change.stands(ground.steps))
        leave, facts = leave_for_all(fresh, ground, at=at)
        ranking = ranking_of(ground, facts)

        def make() -> FaultSheet:
            fresh.save_from(version, **change.fields, configuration=ground.configuration)
            if change.write is not None:
                change.write()
            note_correction(fresh, ground, Doing(member, at), was=was)
            save_snapshot(fresh, ground, ranking)
            note_lapses(leave, at=at)
            record(member, change.verb, fresh, before=before, after=change.fields)
            return fresh

        row, _ = submit_once(member, mark, make)
        return row

    changed: FaultSheet = until_unchanged(attempt)
    return changed


def until_unchanged(attempt: Callable[[], Any]) -> Any:
    """Compute before the block, write inside it; when somebody was quicker compute again, three times."""
    for _ in range(TRIES - 1):
        try:
            return attempt()
        except Changed:
            continue
    return attempt()


def change_state(*, sheet: FaultSheet, state: SheetState, member: Member, at: datetime, mark: UUID) -> FaultSheet:
    change = Change("changed the state of the engine", {"state": state.plain()})
    return change_sheet(sheet, change, member=member, mark=mark, at=at)


def answer_history(
    *, sheet: FaultSheet, history: dict[str, Any], member: Member, at: datetime, mark: UUID
) -> FaultSheet:
    change = Change("answered the history", {"history": history})
    return change_sheet(sheet, change, member=member, mark=mark, at=at)


def rank_anew(*, sheet: FaultSheet, member: Member, at: datetime, mark: UUID) -> FaultSheet:
    """On the facts as they are now: the configuration, the knowledge, what is off."""
    return change_sheet(sheet, Change("ranked anew"), member=member, mark=mark, at=at)


def note_correction(sheet: FaultSheet, ground: Ground, doing: Doing, *, was: int) -> None:
    """Where the engine's configuration was corrected since, the sheet says so in a line of its own."""
    if ground.configuration.pk == was:
        return
    words = f"Configuration corrected: version {ground.configuration.number}. {ground.configuration.reason}"
    member = ground.configuration.made_by
    Step.objects.create(
        sheet=sheet, number=next_number(sheet), kind="configuration", happened_at=doing.at, done_by=member,
        recorded_by=member, accepted_at=doing.at, accepted_by=member, words=words[:400],
    )  # fmt: skip


def next_number(sheet: FaultSheet) -> int:
    last = sheet.steps.order_by("-number").values_list("number", flat=True).first()
    return (last or 0) + 1


def ranked_with_other_knowledge() -> Iterator[FaultSheet]:
    """Open sheets whose newest ranking rests on knowledge other than what is in force for their engine."""
    newest = Snapshot.objects.filter(sheet=OuterRef("pk")).order_by("-pk")
    sheets = FaultSheet.objects.still_open().select_related("engine").order_by("pk")
    used = dict(sheets.values_list("pk", Subquery(newest.values("knowledge_checksum")[:1])))
    return (sheet for sheet in sheets if used.get(sheet.pk) != in_force(sheet.engine).checksum)


def refresh_ranking(sheet: FaultSheet, *, at: datetime) -> Snapshot:
    """For the command that follows a change of knowledge: nobody's act, so only a ranking and no line.

    A corrected configuration waits for a member, who then has the line that says so.
    """

    def attempt() -> Snapshot:
        fresh = FaultSheet.objects.select_related("engine", "configuration").get(pk=sheet.pk)
        fresh.require_open()
        ground = ground_of(fresh, at=at, configuration=fresh.configuration)
        ranking = ranking_of(ground, leave_for_all(fresh, ground, at=at)[1])
        with transaction.atomic():
            fresh.save_from(fresh.version)
            return save_snapshot(fresh, ground, ranking)

    refreshed: Snapshot = until_unchanged(attempt)
    return refreshed
