"""What a sheet's stored ranking would do next, read against today's gates. Nothing is inferred here."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime

from django.utils import timezone

from restorations.engines.models import Engine
from restorations.faults.facts import bare_facts, bench_facts
from restorations.faults.models import FaultSheet
from restorations.faults.page import SheetPage, read_page
from restorations.faults.proposals import Proposal, propose

SHEETS_READ = 3


@dataclass(frozen=True, slots=True)
class SheetReading:
    """An open sheet as its page reads, and the steps that may be done now, best first."""

    sheet: FaultSheet
    page: SheetPage
    free: Sequence[Proposal]

    @property
    def first(self) -> Proposal | None:
        return self.free[0] if self.free else None

    def checks(self, most: int) -> Sequence[Proposal]:
        return [proposal for proposal in self.free if not proposal.is_remedy][:most]


def read_open_sheets(engine: Engine, *, at: datetime) -> list[SheetReading]:
    """The newest open sheets of an engine; no more than a few, so that the page stays as quick."""
    rows = engine.fault_sheets.still_open().select_related("engine__design", "opened_by", "configuration")
    return [_read(sheet, at=at) for sheet in rows[:SHEETS_READ]]


def _read(sheet: FaultSheet, *, at: datetime) -> SheetReading:
    page = read_page(sheet, at=at)
    standing = [step for step in page.steps if step.stands]
    bench = bench_facts(sheet.engine, on=timezone.localdate(at))
    facts = page.leave.on(bare_facts(sheet, bench, standing))
    known = [row["action"] for row in page.snapshot.advice if _is_known(page, row["action"])]
    aside = {proposal.id for proposal in page.set_aside}
    proposals = [
        propose(page.expanded, action, facts, bench, page.go_aheads) for action in known if action not in aside
    ]
    return SheetReading(sheet, page, [proposal for proposal in proposals if proposal.may_be_done])


def _is_known(page: SheetPage, action: str) -> bool:
    return action in page.expanded.checks or action in page.expanded.remedies
