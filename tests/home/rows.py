"""One row of everything that can stand on an engine, with words to find it by."""

from datetime import timedelta
from typing import Any

from restorations.engines.models import Engine
from restorations.members.models import Member
from restorations.tasks.models import Box, Connection, DayBookEntry, FreeingAttempt, JobCard, Reading, Tag, Wanted
from tests.factories import NOON, make_stop
from tests.faults.builders import make_part, make_sheet, make_soak, make_step
from tests.photos.builders import make_photo


def _stands(by: Member, accepted: bool) -> dict[str, Any]:
    return {"accepted_at": NOON, "accepted_by": by} if accepted else {}


def make_entry(engine: Engine, by: Member, *, accepted: bool = True, **fields: Any) -> DayBookEntry:
    plain = {"text": "Repacked the left gland", "happened_at": NOON, "done_by": by, "recorded_by": by}
    return DayBookEntry.objects.create(engine=engine, **{**plain, **_stands(by, accepted), **fields})


def make_reading(engine: Engine, by: Member, *, accepted: bool = True, **fields: Any) -> Reading:
    plain = {
        "what": "gland bore", "typed": "8.0 mm", "dimension": "length", "mean_si": 0.008, "least_si": 0.008,
        "most_si": 0.008, "happened_at": NOON, "done_by": by, "recorded_by": by,
    }  # fmt: skip
    values = {**plain, **_stands(by, accepted), **fields}
    return Reading.objects.create(engine=engine, key=Reading.key_of(values["what"], values.get("where", "")), **values)


def make_card(engine: Engine, by: Member, **fields: Any) -> JobCard:
    plain = {"title": "Make a gland nut", "low_hours": 1, "likely_hours": 2, "high_hours": 4, "made_by": by}
    return JobCard.objects.create(engine=engine, **{**plain, "made_at": NOON, **fields})


def make_connection(engine: Engine, by: Member, *, accepted: bool = True, **fields: Any) -> Connection:
    number = engine.connections.count() + 1
    plain = {
        "number": number, "name": "gland oil pipe", "carries": "oil", "end_a": "lubricator", "end_b": "gland",
        "parted_at": NOON, "parted_by": by,
    }  # fmt: skip
    return Connection.objects.create(engine=engine, **{**plain, **_stands(by, accepted), **fields})


def make_tag(engine: Engine, by: Member, *, accepted: bool = True, **fields: Any) -> Tag:
    plain = {"kind": "do_not_turn", "reason": "the left gland is out", "put_on_at": NOON, "put_on_by": by}
    return Tag.objects.create(engine=engine, **{**plain, **_stands(by, accepted), **fields})


def make_attempt(engine: Engine, by: Member, *, accepted: bool = True, **fields: Any) -> FreeingAttempt:
    plain = {
        "place": "left", "method": "rocked it by hand", "push": "stiff", "forward_typed": "2 mm", "forward_mm": 2.0,
        "back_typed": "1 mm", "back_mm": 1.0, "tried_at": NOON, "tried_by": by,
    }  # fmt: skip
    return FreeingAttempt.objects.create(engine=engine, **{**plain, **_stands(by, accepted), **fields})


def make_wanted(engine: Engine, by: Member, **fields: Any) -> Wanted:
    return Wanted.objects.create(engine=engine, **{"what": "gland packing", "made_by": by, **fields})


def make_box(by: Member, **fields: Any) -> Box:
    return Box.objects.create(**{"code": "K7QX", "number": 5, "label": "gland things", "made_by": by, **fields})


def furnish(engine: Engine, by: Member, *, minutes: int = 0) -> None:
    """A row of each kind; `minutes` moves them apart so that several furnishings interleave."""
    at = NOON + timedelta(minutes=minutes)
    sheet = engine.fault_sheets.first() or make_sheet(engine, opened_by=by, complaint="Blows at the left gland")
    make_step(sheet, by, at=at, words="Gland leaks: steadily", finding="wheels_stiff", action="")
    make_entry(engine, by, happened_at=at)
    make_reading(engine, by, happened_at=at)
    make_card(engine, by, made_at=at)
    name = f"gland nut {minutes}"
    make_part(engine, by, component="", place="", name=name, off_at=at, ended_at=at, ended_by=by, ending="refitted")
    make_connection(engine, by, parted_at=at, joined_at=at, joined_by=by)
    make_soak(engine, by, begun_at=at, due_at=at + timedelta(days=3), ended_at=at + timedelta(days=1), ended_by=by)
    make_attempt(engine, by, tried_at=at)
    make_tag(engine, by, put_on_at=at, taken_off_at=at, taken_off_by=by)
    make_wanted(engine, by)
    make_stop(engine, words="the left gland blows", reported_by=by, reported_at=at)
    make_photo(engine, by, caption="the gland before it was touched")
    engine.past_work.create(
        text="New gland packing", happened_at=at, happened_precision="about", done_by_name="a former owner",
        recorded_by=by,
    )  # fmt: skip
    engine.certificates.create(
        kind="insurance", passed_on=at.date(), lapses_on=at.date() + timedelta(days=300), by_whom="the gland office",
        recorded_by=by, recorded_at=at,
    )  # fmt: skip
