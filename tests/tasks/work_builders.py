"""Jobs, cards, entries, readings and wants for tests: fixed values; say only what the test is about."""

import re
from datetime import date
from typing import Any
from uuid import uuid4

from restorations.engines.models import Engine
from restorations.members.doing import Doing
from restorations.members.models import Member
from restorations.tasks.measuring import TypedReading, read_repeats
from restorations.tasks.models import CardOrder, DayBookEntry, Holding, JobCard, Reading, Restoration, Wanted
from restorations.tasks.services.day_book import EntryDraft, write_entry
from restorations.tasks.services.readings import Measuring, write_reading
from tests.factories import NOON, TODAY

HOURS = {"low_hours": "1", "likely_hours": "2", "high_hours": "4"}


def once(**data: Any) -> dict[str, Any]:
    """The data of a form with a fresh mark."""
    return {"submission": str(uuid4()), **data}


def make_job(engine: Engine, by: Member, **changes: Any) -> Restoration:
    plain = {"kind": "restoration", "title": "Back to steam", "begun_on": TODAY, "made_by": by}
    return Restoration.objects.create(engine=engine, **{**plain, **changes})


def make_card(engine: Engine, by: Member, *, after: tuple[JobCard, ...] = (), **changes: Any) -> JobCard:
    plain = {"title": "Fit the rings", "low_hours": 1, "likely_hours": 2, "high_hours": 4, "made_by": by}
    people = changes.pop("people", ())
    card = JobCard.objects.create(engine=engine, **{**plain, **changes})
    card.people.set(people)
    for earlier in after:
        CardOrder.objects.create(earlier=earlier, later=card)
    return card


def make_entry(engine: Engine, by: Member, *, stands: bool = True, **draft: Any) -> DayBookEntry:
    """Through the service, as the page makes it."""
    said = EntryDraft(**{"text": "Oiled round", **draft})
    return write_entry(engine=engine, draft=said, doing=Doing(by, NOON, stands), mark=uuid4())


def make_reading(
    engine: Engine, by: Member, typed: str = "28.6 mm", *, what: str = "cylinder bore", where: str = "left",
    stands: bool = True, at: Any = NOON,
) -> Reading:  # fmt: skip
    return write_reading(
        engine=engine, typed=TypedReading(what, where, read_repeats(typed)), measuring=Measuring((at, "minute")),
        doing=Doing(by, NOON, stands), mark=uuid4(),
    )  # fmt: skip


def make_wanted(engine: Engine, by: Member, **changes: Any) -> Wanted:
    return Wanted.objects.create(engine=engine, **{"what": "Piston rings", "made_by": by, **changes})


def make_holding(engine: Engine, holder: Member, *, recorded_by: Member, **changes: Any) -> Holding:
    plain = {"kind": "key", "what": "Key of the shed", "since": date(2024, 3, 1), **changes}
    return Holding.objects.create(engine=engine, holder=holder, recorded_by=recorded_by, **plain)


def error_beside(page: str, name: str) -> str:
    """The words beside one box."""
    error = re.search(rf'id="id_{name}_error"[^>]*>(.*?)</ul>', page, re.S)
    return re.sub(r"<[^>]+>", "", error[1]).strip() if error else ""
