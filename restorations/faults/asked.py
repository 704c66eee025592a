"""A request for a go-ahead as whoever answers it reads it: the sheet so far, how it is done, what else stands open."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from datetime import datetime
from typing import Any

from django.db.models import Max, Prefetch
from django.utils import timezone

from restorations.engines.models import OwnerConsent
from restorations.faults.facts import BenchFacts, bare_facts, bench_facts_of
from restorations.faults.models import FaultSheet, GoAhead, Question, Snapshot, Step
from restorations.faults.proposals import Proposal, propose
from restorations.faults.services.sheets import stored_knowledge
from restorations.faults.standing_kinds import kind_of
from restorations.faults.suspicion import Suspect, suspects_of
from restorations.faults.wording import RISK_TO_PEOPLE, RISK_TO_THE_ENGINE
from restorations.photos.models import Photo

SUSPECTS = 3
LINES = 6
PICTURES = 4
GRAVE = 2


@dataclass(frozen=True, slots=True)
class Asked:
    """One request with everything a decision needs."""

    row: GoAhead
    proposal: Proposal | None
    """Nothing where the engine was corrected and has no such step any more."""
    suspects: Sequence[Suspect]
    steps: Sequence[Step]
    photos: Sequence[Photo]
    questions: Sequence[Question]
    still_open: Sequence[str]

    @property
    def sheet(self) -> FaultSheet:
        return self.row.sheet

    @property
    def last_steps(self) -> Sequence[Step]:
        return self.steps[-LINES:]

    @property
    def seen(self) -> int:
        """The newest line: a go-ahead is not given on a sheet that has gone on since it was read."""
        return max((step.number for step in self.steps), default=0)

    @property
    def risks(self) -> list[tuple[str, str]]:
        """Shape and words: what it can do to people and to the engine, and whether it can be undone."""
        found = []
        if self.row.risk_person:
            shape = "stop" if self.row.risk_person >= GRAVE else "work"
            found.append((shape, f"somebody {RISK_TO_PEOPLE[self.row.risk_person]}"))
        if self.row.risk_engine:
            shape = "stop" if self.row.risk_engine >= GRAVE else "work"
            found.append((shape, f"the engine {RISK_TO_THE_ENGINE[self.row.risk_engine]}"))
        if self.proposal and getattr(self.proposal.placed.entry, "cannot_be_undone", False):
            found.append(("ask", "cannot be undone"))
        return found or [("good", "no harm to expect; a second pair of eyes")]

    @property
    def standing_kind(self) -> str:
        return kind_of(self.proposal.placed.entry) if self.proposal else ""


def read_asked(rows: Sequence[GoAhead], *, at: datetime) -> list[Asked]:
    """As many queries for ten requests as for one."""
    sheets = {row.sheet_id: row.sheet for row in rows}
    engines = {sheet.engine_id for sheet in sheets.values()}
    bench = bench_facts_of(sorted(engines), on=timezone.localdate(at))
    snapshots = {snapshot.sheet_id: snapshot for snapshot in _newest_snapshots(sheets)}
    steps = _grouped(_steps(sheets), "sheet_id")
    questions = _grouped(_questions(rows), "go_ahead_id")
    consents = _consents(engines)
    return [
        _asked(
            row, snapshots[row.sheet_id], steps.get(row.sheet_id, []), questions.get(row.pk, []),
            bench[row.sheet.engine_id], consents.get(row.sheet.engine_id, frozenset()),
        )
        for row in rows
    ]  # fmt: skip


def _newest_snapshots(sheets: Iterable[int]) -> Iterable[Snapshot]:
    newest = Snapshot.objects.filter(sheet__in=sheets).order_by().values("sheet").annotate(last=Max("pk"))
    return Snapshot.objects.filter(pk__in=newest.values("last")).select_related("model").defer("model__mapping")


def _steps(sheets: Iterable[int]) -> Iterable[Step]:
    photos = Prefetch("photos", queryset=Photo.objects.not_struck().order_by("pk"))
    rows = Step.objects.not_struck().filter(sheet__in=sheets).select_related("done_by")
    return rows.prefetch_related(photos).in_order()


def _questions(rows: Sequence[GoAhead]) -> Iterable[Question]:
    return Question.objects.filter(go_ahead__in=rows).select_related("asked_by", "answered_by", "go_ahead")


def _consents(engines: Iterable[int]) -> dict[int, frozenset[str]]:
    given = OwnerConsent.objects.not_struck().filter(engine__in=engines).exclude(action="")
    found: dict[int, set[str]] = {}
    for engine, action in given.values_list("engine", "action"):
        found.setdefault(engine, set()).add(action)
    return {engine: frozenset(actions) for engine, actions in found.items()}


def _grouped(rows: Iterable[Any], key: str) -> dict[int, list[Any]]:
    found: dict[int, list[Any]] = {}
    for row in rows:
        found.setdefault(getattr(row, key), []).append(row)
    return found


def _asked(
    row: GoAhead, snapshot: Snapshot, steps: list[Step], questions: list[Question], bench: BenchFacts,
    consents: frozenset[str],
) -> Asked:  # fmt: skip
    expanded = stored_knowledge(snapshot.model.checksum)
    stand = [step for step in steps if step.stands]
    proposal = None
    if row.action in expanded.checks or row.action in expanded.remedies:
        # Its own gate is what is being asked for; what is left is what stands open besides.
        bare = bare_facts(row.sheet, bench, stand)
        facts = replace(bare, go_aheads=frozenset({row.action}), consents=consents)
        proposal = propose(expanded, row.action, facts, bench)
    return Asked(
        row=row,
        proposal=proposal,
        suspects=suspects_of(snapshot, expanded, stand)[:SUSPECTS],
        steps=steps,
        photos=[photo for step in steps for photo in step.photos.all()][-PICTURES:],
        questions=questions,
        still_open=_still_open(proposal) if proposal else (),
    )


def _still_open(proposal: Proposal) -> list[str]:
    """Gates that another's word, time or the state of the engine must open first, and parts to be moved."""
    off = [f"To come off first: {name}" for _, name, _ in proposal.take_off]
    back = [f"To go back first: {name}" for _, name, _ in proposal.put_back]
    return [*(gate.words for gate in proposal.gates), *off, *back]
