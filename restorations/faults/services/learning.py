"""Making the learned rates anew from the closed sheets.

Rebuilt in whatever order, from nothing or from what is kept, it gives the same numbers: sums are rounded once, and kept
evidence is used only with the very rates it was worked out with.
"""

import hashlib
import json
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import Any

from django.db import transaction
from django.db.models import Prefetch

from restorations.calc.diagnosis.learning import LearnedRate, SheetEvidence, evidence_of_sheets, learned_rates
from restorations.faults.club_knowledge import club_knowledge
from restorations.faults.learning import CauseGone, as_closed_sheet, as_stored, rate_names, rates_of
from restorations.faults.models import Conclusion, FaultSheet, LearnedRates, StoredEvidence
from restorations.faults.services.sheets import TRIES, knowledge_for
from restorations.knowledge import Knowledge

CLUB, SISTERS = "club", "sisters"


@dataclass(frozen=True, slots=True)
class Rebuilt:
    """How many sheets count, and why others do not, by number of the sheet."""

    counted: int
    left_out: Mapping[int, str]


def rebuild_learning(*, at: datetime) -> Rebuilt:
    """Work out outside any transaction, store inside a short one; if a sheet was closed or opened meanwhile, again.

    Whoever closes or opens one rebuilds after it, so that somebody who is overtaken time and again may stop.
    """
    for _ in range(TRIES):
        sheets = _closed_sheets()
        ground = _Ground(club_knowledge(), sheets)
        rows = ground.learned()
        with transaction.atomic():
            if _names(sheets) == _names(_closed_sheets()):
                _store(rows, ground.knowledge, at)
                break
    return Rebuilt(len(ground.evidence), ground.left_out)


def _closed_sheets() -> list[FaultSheet]:
    in_force = Conclusion.objects.in_force().prefetch_related("causes")
    rows = FaultSheet.objects.closed().filter(conclusions__in=Conclusion.objects.in_force()).order_by("pk")
    return list(
        rows.select_related("engine", "configuration").prefetch_related(
            Prefetch("conclusions", queryset=in_force, to_attr="closed_with")
        )
    )


def _names(sheets: Iterable[FaultSheet]) -> list[tuple[int, int, int]]:
    return [(sheet.pk, sheet.version, _conclusion(sheet).pk) for sheet in sheets]


def _conclusion(sheet: FaultSheet) -> Conclusion:
    conclusion: Conclusion = sheet.closed_with[0]  # type: ignore[attr-defined]
    return conclusion


@dataclass(frozen=True, slots=True)
class _Row:
    design_id: int | None
    sheets: int
    learned: dict[str, Any]


class _Ground:
    """The closed sheets, and what each says with the rates that the learning starts from."""

    def __init__(self, knowledge: Knowledge, sheets: Sequence[FaultSheet]) -> None:
        self.knowledge, self.sheets = knowledge, sheets
        self.files = rates_of(knowledge)
        self.left_out: dict[int, str] = {}
        self.evidence = self._evidence(CLUB, knowledge, sheets)

    def learned(self) -> list[_Row]:
        """The club's row, and one for each design that closed sheets speak of."""
        club = learned_rates(self.files, self.evidence.values())
        designs = sorted({sheet.engine.design_id for sheet in self.sheets if sheet.engine.design_id})
        return [_Row(None, len(self.evidence), as_stored(club, self.files)), *map(self._of_design, designs)]

    def _of_design(self, design_id: int) -> _Row:
        """The same again, from the club's rates made without them: their own sheets would count twice else."""
        sisters = [sheet for sheet in self.sheets if sheet.engine.design_id == design_id]
        own = {sheet.pk for sheet in sisters}
        others = learned_rates(self.files, [row for pk, row in self.evidence.items() if pk not in own])
        start = {name: rate.rate for name, rate in others.items()}
        evidence = self._evidence(SISTERS, _with(self.knowledge, others), sisters)
        return _Row(design_id, len(evidence), as_stored(learned_rates(start, evidence.values()), self.files))

    def _evidence(self, of: str, knowledge: Knowledge, sheets: Sequence[FaultSheet]) -> dict[int, SheetEvidence]:
        """By sheet, in the order of their numbers; what was kept is used where it rests on the same."""
        kept = {row.sheet_id: row for row in StoredEvidence.objects.filter(of=of, sheet__in=sheets)}
        found: dict[int, SheetEvidence] = {}
        for sheet in sheets:
            rests_on = _rests_on(sheet, knowledge)
            row = kept.get(sheet.pk)
            if row is None or row.rests_on != rests_on:
                columns = {"rests_on": rests_on, **self._said(sheet, knowledge)}
                row, _ = StoredEvidence.objects.update_or_create(sheet=sheet, of=of, defaults=columns)
            if row.left_out:
                self.left_out[sheet.pk] = row.left_out
            else:
                found[sheet.pk] = SheetEvidence(row.at_start, row.complaint_alone)
        return found

    def _said(self, sheet: FaultSheet, knowledge: Knowledge) -> dict[str, Any]:
        """The columns that keep what a sheet says; a sheet that cannot be used says why."""
        expanded = knowledge_for(knowledge, sheet.configuration, sheet.history)
        steps = list(sheet.steps.standing().in_order())
        nothing: dict[str, Any] = {"at_start": {}, "complaint_alone": {}}
        try:
            closed = as_closed_sheet(_conclusion(sheet), steps, expanded, self.knowledge.causes)
        except CauseGone as error:
            return {**nothing, "left_out": str(error)}
        gathered = evidence_of_sheets({"sheet": closed})
        if gathered.left_out:
            return {**nothing, "left_out": gathered.left_out["sheet"]}
        summed = gathered.by_sheet["sheet"].by_rate(rate_names(sheet, expanded))
        return {"at_start": summed.at_start, "complaint_alone": summed.complaint_alone, "left_out": ""}


def _with(knowledge: Knowledge, rates: Mapping[str, LearnedRate]) -> Knowledge:
    changed: dict[str, dict[str, float]] = {}
    for name, rate in rates.items():
        cause, _, of_class = name.partition("/")
        if rate.sheets:
            changed.setdefault(cause, {})[of_class] = rate.rate
    return knowledge.with_rates(changed)


def _rests_on(sheet: FaultSheet, knowledge: Knowledge) -> str:
    return _checksum([knowledge.checksum, sheet.version, _conclusion(sheet).pk])


def _store(rows: Sequence[_Row], knowledge: Knowledge, at: datetime) -> None:
    """A row that did not change keeps its moment; designs that no closed sheet speaks of any more are emptied."""
    kept = {row.of: row for row in LearnedRates.objects.all()}
    empty = [_Row(row.design_id, 0, {}) for row in kept.values()]
    wanted = {_of(row): row for row in (*empty, *rows)}
    for of, row in wanted.items():
        checksum = _checksum(row.learned) if row.learned else ""
        now = kept.get(of)
        if now is None or (now.checksum, now.from_checksum, now.sheets) != (checksum, knowledge.checksum, row.sheets):
            columns = {
                "design_id": row.design_id, "computed_at": at, "from_checksum": knowledge.checksum,
                "checksum": checksum, "learned": row.learned, "sheets": row.sheets,
            }  # fmt: skip
            LearnedRates.objects.update_or_create(of=of, defaults=columns)


def _of(row: _Row) -> str:
    return CLUB if row.design_id is None else str(row.design_id)


def _checksum(plain: Any) -> str:
    return hashlib.sha256(json.dumps(plain, sort_keys=True).encode()).hexdigest()
