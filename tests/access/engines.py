from datetime import date
from typing import Any

from restorations.engines.models import Design, DesignNote, TakeIn
from tests.access.table import Row, World
from tests.factories import LONG_AGO, NOON, make_guest, make_hand

EVERY_MEMBER = {"*": "ok"}
CHANGERS = {"member": "ok", "mate": "ok", "owner": "ok", "mentor": "ok", "mentor2": "ok", "*": "refused"}
CHANGERS_SEND_NOTHING = {role: "invalid" if answer == "ok" else answer for role, answer in CHANGERS.items()}
OWNER = {"owner": "ok", "*": "refused"}
OWNER_SENDS_NOTHING = {"owner": "invalid", "*": "refused"}
WHO_STAFFS = {"owner": "invalid", "mentor": "invalid", "mentor2": "invalid", "secretary": "invalid", "*": "refused"}
WHO_INVITES = {"owner": "invalid", "member": "invalid", "mate": "invalid", "*": "refused"}
WHO_RECORDS = {"owner": "invalid", "secretary": "invalid", "inspector": "invalid", "*": "refused"}
WHO_STRIKES_WORK = {"member": "invalid", "mentor": "invalid", "mentor2": "invalid", "*": "refused"}
PRIVATE_CONTENTS = {"owner": "ok", "member": "ok", "*": "hidden"}
PRIVATE_PAPERS = {"owner": "ok", "member": "ok", "secretary": "ok", "*": "hidden"}


def _engine(world: World) -> list[int]:
    return [world.engine.pk]


def _private(world: World) -> list[int]:
    return [world.private_engine.pk]


def _past_work(world: World) -> list[int]:
    row = world.engine.past_work.create(
        text="painted", happened_at=NOON, done_by_name="previous owner", recorded_by=world.cast.member
    )
    return [world.engine.pk, row.pk]


def _hand(world: World) -> list[int]:
    return [world.engine.pk, make_hand(world.engine, world.cast.stranger).pk]


def _guest(world: World) -> list[int]:
    return [world.engine.pk, make_guest(world.engine, world.cast.mentor).pk]


def _insurance(world: World) -> list[int]:
    return _paper(world, "insurance")


def _hydraulic_test(world: World) -> list[int]:
    return _paper(world, "hydraulic_test")


def _paper(world: World, kind: str) -> list[int]:
    row = world.engine.certificates.create(
        kind=kind, passed_on=LONG_AGO, lapses_on=date(2040, 1, 1), by_whom="the office", recorded_by=world.cast.owner
    )
    return [world.engine.pk, row.pk]


def _consent(world: World) -> list[int]:
    row = world.engine.consents.create(
        what="bore it out", given_by="the owner", on=LONG_AGO, how="letter", recorded_by=world.cast.owner
    )
    return [world.engine.pk, row.pk]


def _asked_on(engine: Any, world: World) -> list[int]:
    row = engine.consent_requests.create(action="restore_bore@middle", what="bore it out", asked_by=world.cast.member)
    return [engine.pk, row.pk]


def _consent_asked(world: World) -> list[int]:
    return _asked_on(world.engine, world)


def _consent_asked_privately(world: World) -> list[int]:
    return _asked_on(world.private_engine, world)


def _page(route: str, contents: dict[str, str], nothing: dict[str, str]) -> list[Row]:
    """A page of one engine with its form: on the club's engine, and on a private one."""
    hidden = {
        role: answer if answer == "hidden" else contents.get(role) or contents["*"]
        for role, answer in PRIVATE_CONTENTS.items()
    }
    return [Row(route, _engine, get=contents, post=nothing), Row(route, _private, why="private", get=hidden)]


def _taken_in(world: World) -> list[int]:
    TakeIn.objects.create(engine=world.engine, begun_by=world.cast.member)
    return [world.engine.pk]


def _taken_in_private(world: World) -> list[int]:
    TakeIn.objects.create(engine=world.private_engine, begun_by=world.cast.member)
    return [world.private_engine.pk]


def _later_finding(world: World) -> list[int]:
    (engine,) = _taken_in(world)
    row = world.engine.take_in.later_findings.create(text="cracked", found_on=LONG_AGO, noted_by=world.cast.member)
    return [engine, row.pk]


def _oil_point(world: World) -> list[int]:
    row = world.engine.oil_points.create(point="axlebox", oil="motion oil", made_by=world.cast.member)
    return [world.engine.pk, row.pk]


def _fastening(world: World) -> list[int]:
    row = world.engine.fastenings.create(where="front cover", thread="6 BA", made_by=world.cast.member)
    return [world.engine.pk, row.pk]


def _design(world: World) -> list[int]:
    design = Design.objects.create(name="Brindle")
    type(world.engine).objects.filter(pk=world.engine.pk).update(design=design)
    return [design.pk]


def _design_note(world: World) -> list[int]:
    (design,) = _design(world)
    row = DesignNote.objects.create(design_id=design, kind="trap", text="fits both ways", written_by=world.cast.member)
    return [design, row.pk]


ROWS: list[Row] = [
    Row("engines:engines", get=EVERY_MEMBER),
    Row("engines:new", get=EVERY_MEMBER, post={"*": "invalid"}),
    *_page("engines:identity", CHANGERS, CHANGERS_SEND_NOTHING),
    *_page("engines:owner", OWNER, OWNER_SENDS_NOTHING),
    *_page("engines:configuration", CHANGERS, CHANGERS_SEND_NOTHING),
    *_page("engines:versions", EVERY_MEMBER, {}),
    *_page("engines:history", CHANGERS, CHANGERS_SEND_NOTHING),
    *_page("engines:past_work", EVERY_MEMBER, CHANGERS_SEND_NOTHING),
    Row("engines:strike_past_work", _past_work, post=WHO_STRIKES_WORK),
    *_page("engines:people", EVERY_MEMBER, {}),
    Row("engines:add_hand", _engine, post=WHO_STAFFS),
    Row("engines:end_hand", _hand, post={**WHO_STAFFS, "stranger": "invalid"}),
    Row("engines:invite_guest", _engine, post=WHO_INVITES),
    Row("engines:end_guest", _guest, post={**WHO_INVITES, "mentor": "invalid"}),
    Row("engines:papers", _engine, get=EVERY_MEMBER, post=WHO_RECORDS),
    Row("engines:papers", _private, why="private", get=PRIVATE_PAPERS),
    Row("engines:strike_certificate", _insurance, post=WHO_RECORDS),
    Row("engines:strike_certificate", _hydraulic_test, why="boiler", post={"inspector": "invalid", "*": "refused"}),
    Row("engines:consents", _engine, get=EVERY_MEMBER, post=OWNER_SENDS_NOTHING),
    Row("engines:consents", _private, why="private", get=PRIVATE_PAPERS),
    Row("engines:strike_consent", _consent, post=OWNER_SENDS_NOTHING),
    Row("engines:consent_asked", _consent_asked, get=EVERY_MEMBER, post=OWNER_SENDS_NOTHING),
    Row("engines:consent_asked", _consent_asked_privately, why="private", get=PRIVATE_PAPERS),
]


def _boiler_paper(world: World) -> dict[str, Any]:
    return {"kind": "hydraulic_test"}


ROWS += [
    *_page("engines:write_take_in", CHANGERS, CHANGERS_SEND_NOTHING),
    Row("engines:sign_take_in", _taken_in, get=CHANGERS, post=CHANGERS_SEND_NOTHING),
    Row("engines:sign_take_in", _taken_in_private, why="private", get=PRIVATE_CONTENTS),
    Row("engines:later_findings", _taken_in, get=EVERY_MEMBER, post=CHANGERS_SEND_NOTHING),
    Row("engines:later_findings", _taken_in_private, why="private", get=PRIVATE_CONTENTS),
    Row("engines:strike_later_finding", _later_finding, post=WHO_STRIKES_WORK),
    *_page("engines:oil_chart", EVERY_MEMBER, CHANGERS_SEND_NOTHING),
    Row("engines:change_oil_chart", _oil_point, get=CHANGERS, post=CHANGERS_SEND_NOTHING),
    Row("engines:strike_oil_chart", _oil_point, post=CHANGERS_SEND_NOTHING),
    *_page("engines:fastenings", EVERY_MEMBER, CHANGERS_SEND_NOTHING),
    Row("engines:change_fastenings", _fastening, get=CHANGERS, post=CHANGERS_SEND_NOTHING),
    Row("engines:strike_fastenings", _fastening, post=CHANGERS_SEND_NOTHING),
    Row("engines:design_notes", _design, get=EVERY_MEMBER, post=CHANGERS_SEND_NOTHING),
    Row("engines:strike_design_note", _design_note, post=WHO_STRIKES_WORK),
]
ROWS.append(
    Row(
        "engines:papers", _engine, why="boiler paper", data=_boiler_paper, post={"inspector": "invalid", "*": "refused"}
    )
)
