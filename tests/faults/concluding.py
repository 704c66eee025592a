"""Sheets that can be closed, and closed ones, for tests."""

from datetime import datetime
from typing import Any
from uuid import uuid4

from restorations.faults import services
from restorations.faults.closing import ConclusionDraft
from restorations.faults.confirming import Confirmed
from restorations.faults.models import Conclusion, FaultSheet, Step
from restorations.members.doing import Doing
from restorations.members.models import Member
from tests.cast import Cast
from tests.factories import NOON
from tests.faults.builders import bench_sheet, make_step

GUMMED, RUSTED = "bearings_gummed", "journal_rusted@axle1"
FLUSH, POLISH = "flush_and_oil_motion", "polish_journal@axle1"


def doing(by: Member, at: datetime = NOON) -> Doing:
    return Doing(by, at)


def reported(sheet: FaultSheet, by: Member, level: int = 1) -> Step:
    return make_step(sheet, by, level=level, reported=level > 0)


def put_right(sheet: FaultSheet, by: Member, action: str, cause: str) -> Step:
    words = f"{action}: done"
    return make_step(
        sheet, by, kind="remedy", finding="", level=None, action=action, causes=[cause], success=0.9, words=words
    )


def looked_at(sheet: FaultSheet, by: Member, cause: str, *, present: bool = True) -> Step:
    rates = {"sensitivity": 0.95, "false_alarm": 0.02}
    return make_step(
        sheet, by, kind="inspection", finding="", level=None, cause=cause, present=present, words="Looked", **rates
    )


def treated_sheet(cast: Cast) -> FaultSheet:
    """Stiff, flushed and oiled by the member, not looked at since. Rows as they stand, with no rankings behind them."""
    sheet = bench_sheet(cast)
    reported(sheet, cast.member)
    put_right(sheet, cast.member, FLUSH, GUMMED)
    return sheet


def cured_sheet(cast: Cast) -> FaultSheet:
    """And then it is free."""
    sheet = treated_sheet(cast)
    reported(sheet, cast.member, 0)
    return sheet


def found(*causes: Confirmed, **more: Any) -> ConclusionDraft:
    return ConclusionDraft("found", causes or (Confirmed(GUMMED, "cured"),), **more)


NOT_FOUND = ConclusionDraft("not_found", regardless="Sold as it stands.")


def close(
    sheet: FaultSheet, by: Member, draft: ConclusionDraft | None = None, *, at: datetime = NOON, **more: Any
) -> Conclusion:
    more.setdefault("mark", uuid4())
    return services.close_sheet(sheet=sheet, draft=draft or found(), doing=doing(by, at), **more)


def propose(sheet: FaultSheet, by: Member, draft: ConclusionDraft | None = None, **more: Any) -> Conclusion:
    more.setdefault("mark", uuid4())
    return services.propose_conclusion(sheet=sheet, draft=draft or found(), doing=doing(by), **more)


def sign(conclusion: Conclusion, by: Member, **more: Any) -> Any:
    more.setdefault("mark", uuid4())
    return services.sign_off(conclusion=conclusion, words="Turned it myself.", doing=doing(by), **more)


def reopen(conclusion: Conclusion, by: Member, **more: Any) -> Conclusion:
    more.setdefault("mark", uuid4())
    return services.reopen_sheet(conclusion=conclusion, reason="It came back.", doing=doing(by), **more)


def closed_sheet(cast: Cast) -> FaultSheet:
    sheet = cured_sheet(cast)
    close(sheet, cast.mentor)
    sheet.refresh_from_db()
    return sheet
