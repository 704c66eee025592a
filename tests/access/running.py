"""Routes of running days, test sessions, papers and calendars: who gets what."""

from typing import Any

from restorations.members.models.invitations import hashed
from restorations.traffic.models import Allocation, Attendance, CertificateScan, FeedAddress, Incident
from tests.access.table import Row, World
from tests.factories import SECRET
from tests.photos.builders import make_photo
from tests.traffic.running_builders import in_days, make_day, make_paper, make_session, mark

SECRETARY = {"secretary": "redirect", "*": "refused"}
ANY_MEMBER = {"*": "redirect"}
STATE_IS_SEEN = {"owner": "ok", "member": "ok", "secretary": "ok", "*": "hidden"}
BOOKS = {"secretary": "redirect", "inspector": "redirect", "*": "refused"}


def _day(world: World, days: int = 21) -> list[Any]:
    return [make_day(world.cast.secretary, days=days).pk]


def _yesterday(world: World) -> list[Any]:
    return _day(world, days=-1)


def _held(world: World, engine: Any, days: int = -1) -> list[Any]:
    cast = world.cast
    allocated = {"asked_by": cast.stranger, "allocated_by": cast.secretary, "allocated_at": "2026-01-01T00:00:00Z"}
    return [Allocation.objects.create(day=make_day(cast.secretary, days=days), engine=engine, **allocated).pk]


def _incident(world: World) -> list[Any]:
    cast, day = world.cast, make_day(world.cast.secretary, days=-1)
    Attendance.objects.create(day=day, member=cast.mate, came=True)
    row = Incident.objects.create(day=day, kind="near_miss", words="A", hurt="no", recorded_by=cast.stranger)
    return [row.pk]


def _scan(world: World) -> list[Any]:
    paper = make_paper(world.private_engine)
    scan = CertificateScan.objects.create(certificate=paper, photo=make_photo(world.private_engine, world.cast.owner))
    return [paper.pk, scan.pk]


def _feed(world: World) -> FeedAddress:
    return FeedAddress.objects.create(member=world.cast.member, feed="papers", secret_hash=hashed(SECRET))


DAYS: list[Row] = [
    Row(
        "traffic:running_days",
        get={"*": "ok"},
        data=lambda world: mark(on=in_days(40), title="Running day"),
        post=SECRETARY,
    ),
    Row("traffic:running_day", args=_day, get={"*": "ok"}),
    Row(
        "traffic:change_day",
        args=_day,
        get={"secretary": "ok", "*": "refused"},
        data=lambda world: mark(on=in_days(22), title="Running day", version=1),
        post=SECRETARY,
    ),
    Row("traffic:call_off", args=_day, data=lambda world: mark(reason="no coal"), post=SECRETARY),
    Row("traffic:coming", args=_day, data=lambda world: mark(coming="yes"), post=ANY_MEMBER),
    Row("traffic:came", args=_yesterday, data=lambda world: mark(), post=SECRETARY),
    Row("traffic:day_outcome", args=_yesterday, data=lambda world: mark(outcome="Dry", version=1), post=SECRETARY),
    Row("traffic:ask_for_engine", args=_day, data=lambda world: mark(engine=world.engine.pk), post=ANY_MEMBER),
    Row(
        "traffic:ask_for_engine",
        why="private",
        args=_day,
        data=lambda world: mark(engine=world.private_engine.pk),
        post={"owner": "redirect", "member": "redirect", "secretary": "redirect", "*": "invalid"},
    ),
    Row(
        "traffic:allocation",
        args=lambda world: _held(world, world.engine),
        get={"*": "ok"},
        data=lambda world: mark(ran="yes", laps="3"),
        post={
            **dict.fromkeys(("member", "mate", "owner", "mentor", "mentor2", "secretary"), "redirect"),
            "*": "refused",
        },
    ),
    Row("traffic:allocation", why="private", args=lambda world: _held(world, world.private_engine), get=STATE_IS_SEEN),
    Row(
        "traffic:withdraw",
        args=lambda world: _held(world, world.engine, 21),
        data=lambda world: mark(reason="a flat spring"),
        post={
            **dict.fromkeys(("member", "mate", "owner", "secretary", "stranger"), "redirect"),
            "*": "refused",
        },
    ),
    Row("traffic:incidents", get={"*": "ok"}),
    Row(
        "traffic:report_incident",
        args=_yesterday,
        get={"*": "ok"},
        data=lambda world: mark(kind="near_miss", words="A", hurt="no"),
        post=ANY_MEMBER,
    ),
    Row(
        "traffic:incident",
        args=_incident,
        get={
            **dict.fromkeys(("mentor", "mentor2", "secretary", "inspector", "stranger", "mate"), "ok"),
            "*": "hidden",
        },
        data=lambda world: mark(words="two of them"),
        post={
            **dict.fromkeys(("mentor", "mentor2", "secretary", "inspector", "stranger", "mate"), "redirect"),
            "*": "hidden",
        },
    ),
]

SESSIONS: list[Row] = [
    Row(
        "traffic:test_sessions",
        get={"*": "ok"},
        data=lambda world: mark(engine=world.engine.pk, test="steam_test"),
        post={
            **dict.fromkeys(("member", "mate", "owner", "mentor", "mentor2", "secretary"), "redirect"),
            "*": "refused",
        },
    ),
    Row("traffic:test_session", args=lambda world: [make_session(world.engine, world.cast.owner).pk], get={"*": "ok"}),
    Row(
        "traffic:test_session",
        why="private",
        args=lambda world: [make_session(world.private_engine, world.cast.owner).pk],
        get=STATE_IS_SEEN,
    ),
    Row(
        "traffic:book_test",
        args=lambda world: [make_session(world.engine, world.cast.owner).pk],
        data=lambda world: mark(on=in_days(9), inspector_name="A. Outsider", version=1),
        post=BOOKS,
    ),
    Row(
        "traffic:test_outcome",
        args=lambda world: [make_session(world.engine, world.cast.owner, days=-1).pk],
        data=lambda world: mark(outcome="missed", words="snow"),
        post=BOOKS,
    ),
]

PAPERS: list[Row] = [
    Row("traffic:papers", get={"*": "ok"}),
    Row("traffic:register", get={"*": "ok"}),
    Row(
        "traffic:paper",
        args=lambda world: [make_paper(world.engine).pk],
        get={"*": "ok"},
        data=lambda world: mark(),
        post={**dict.fromkeys(("owner", "secretary", "inspector"), "invalid"), "*": "refused"},
    ),
    Row(
        "traffic:paper",
        why="a boiler's",
        args=lambda world: [make_paper(world.engine, "steam_test").pk],
        data=lambda world: mark(),
        post={"inspector": "invalid", "*": "refused"},
    ),
    Row(
        "traffic:paper",
        why="private",
        args=lambda world: [make_paper(world.private_engine).pk],
        get=STATE_IS_SEEN,
    ),
    Row("traffic:scan", why="private", args=_scan, get=STATE_IS_SEEN),
]

FEEDS: list[Row] = [
    Row("traffic:feeds", get={"*": "ok"}, data=lambda world: mark(feed="papers"), post={"*": "ok"}),
    Row(
        "traffic:revoke_feed",
        why="somebody else's is not there",
        args=lambda world: [_feed(world).pk],
        post={"member": "redirect", "*": "hidden"},
    ),
    Row(
        "traffic:feed",
        why="the address is the key",
        args=lambda world: [_feed(world) and SECRET],
        get={"*": "ok", "anonymous": "ok"},
    ),
    Row("traffic:feed", why="guessed", args=lambda world: ["guessed"], get={"*": "hidden", "anonymous": "hidden"}),
]

ROWS: list[Row] = [*DAYS, *SESSIONS, *PAPERS, *FEEDS]
