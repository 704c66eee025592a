"""What comes off, lies, hangs and soaks, for tests; say only what the test is about."""

from typing import Any
from uuid import uuid4

from django.utils import timezone

from restorations.engines.models import Engine, OwnerConsent
from restorations.members.doing import Doing
from restorations.members.models import Member
from restorations.tasks import services
from restorations.tasks.models import Box, Connection, FixingSet, FreeingAttempt, StrippedPart, Tag
from restorations.web.units import read_quantity
from tests.factories import NOON

SAFE_WATER = ("tank_valve_shut", "no_pressure", "drained")


def sent(**fields: Any) -> dict[str, Any]:
    """A form as a page sends it, with a mark of its own."""
    return {"submission": str(uuid4()), **fields}


def doing(by: Member, *, stands: bool = True, at: Any = NOON) -> Doing:
    return Doing(by, at, stands)


def strip(engine: Engine, by: Member, *, stands: bool = True, at: Any = NOON, **what: Any) -> StrippedPart:
    stripping = services.Stripping(**{"part_id": "connecting_rod@left", "box": "4", **what})
    return services.strip_part(engine=engine, stripping=stripping, doing=doing(by, stands=stands, at=at), mark=uuid4())


def end(part: StrippedPart, by: Member, *, stands: bool = True, at: Any = NOON, **how: Any) -> StrippedPart:
    ending = services.Ending(**{"ending": "refitted", **how})
    return services.end_time_off(part=part, how=ending, doing=doing(by, stands=stands, at=at), mark=uuid4())


def make_box(by: Member, **plan: Any) -> Box:
    return services.add_box(plan=services.BoxPlan(**plan), doing=doing(by), mark=uuid4())


def make_fixings(part: StrippedPart, by: Member) -> FixingSet:
    fixings = services.Fixings(how_many=4, thread="6 BA hexagon")
    return services.note_fixings(part=part, fixings=fixings, doing=doing(by), mark=uuid4())


def make_connection(engine: Engine, by: Member, *, stands: bool = True, **changes: Any) -> Connection:
    plain = {
        "carries": "water", "end_a": "pump", "end_b": "left clack", "name": "feed pipe", "flow": "a_to_b",
        "made_safe": SAFE_WATER,
    }  # fmt: skip
    parting = services.Parting(**{**plain, **changes})
    return services.part_connection(engine=engine, parting=parting, doing=doing(by, stands=stands), mark=uuid4())


def join(connection: Connection, by: Member, *, stands: bool = True, checked: bool = False) -> Connection:
    return services.join_connection(
        connection=connection, both_checked=checked, doing=doing(by, stands=stands), mark=uuid4()
    )


def make_tag(engine: Engine, by: Member, *, stands: bool = True, **changes: Any) -> Tag:
    fields = {"kind": "do_not_steam", "reason": "left gland is out", **changes}
    return services.hang_tag(engine=engine, doing=doing(by, stands=stands), mark=uuid4(), **fields)


def make_attempt(engine: Engine, by: Member, *, stands: bool = True, at: Any = NOON, **changes: Any) -> FreeingAttempt:
    plain = {"place": "left", "method": "rocked by hand", "push": "strong", "forward": "0 mm", "back": "0 mm"}
    fields: dict[str, Any] = {**plain, **changes}
    for way in ("forward", "back"):
        fields[way] = read_quantity(fields[way], "angle" if fields[way].endswith("deg") else "length")
    attempt = services.Attempt(**fields)
    return services.note_attempt(engine=engine, attempt=attempt, doing=doing(by, stands=stands, at=at), mark=uuid4())


def make_consent(engine: Engine, by: Member, **changes: Any) -> OwnerConsent:
    fields = {"what": "scrap the cracked rod", "given_by": "the owner", "on": timezone.localdate(), "how": "letter"}
    return OwnerConsent.objects.create(engine=engine, recorded_by=by, **{**fields, **changes})
