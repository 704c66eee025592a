"""An engine leaves the club, or comes back: it leaves the lists and stays readable."""

from datetime import date
from uuid import UUID

from restorations.engines.models import Engine
from restorations.members.doing import Doing
from restorations.members.models.records import record, submit_once


def record_gone(*, engine: Engine, version: int, on: date, words: str, doing: Doing, mark: UUID) -> Engine:
    """Sold, gone back to its owner, broken up: from that day it is on no list; raises Changed where somebody saved."""

    def make() -> Engine:
        engine.save_from(version, gone_on=on, gone_words=words)
        record(doing.member, "recorded that the engine left", engine, after={"on": on, "how": words})
        return engine

    return submit_once(doing.member, mark, make)[0]


def record_back(*, engine: Engine, version: int, words: str, doing: Doing, mark: UUID) -> Engine:
    """It came back, or never left: what was recorded of its leaving stays in the list of changes."""

    def make() -> Engine:
        before = {"on": engine.gone_on, "how": engine.gone_words}
        engine.save_from(version, gone_on=None, gone_words="")
        record(doing.member, "recorded that the engine is back", engine, before=before, after={"why": words})
        return engine

    return submit_once(doing.member, mark, make)[0]
