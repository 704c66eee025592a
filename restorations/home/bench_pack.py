"""The printed page for an evening without a screen: what was seen, the next checks to tick, what is off."""

from datetime import datetime
from typing import Any

from restorations.engines.models import Engine
from restorations.home.next_checks import SheetReading, read_open_sheets
from restorations.home.off_now import off_now

CHECKS = 6
SEEN = 12
STRIP_LINES = range(1, 9)


def bench_pack_page(engine: Engine, *, at: datetime) -> dict[str, Any]:
    sheets = read_open_sheets(engine, at=at)
    return {
        "engine": engine,
        "sheets": [_pack(reading) for reading in sheets],
        "off": off_now(engine),
        "strip_lines": STRIP_LINES,
        "at": at,
    }


def _pack(reading: SheetReading) -> dict[str, Any]:
    """One sheet on paper: the last lines that stand, in order, and the next checks."""
    seen = [step for step in reading.page.steps if step.stands][-SEEN:]
    return {"sheet": reading.sheet, "page": reading.page, "checks": reading.checks(CHECKS), "seen": seen}
