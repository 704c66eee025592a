import uuid

from django.utils import timezone

from restorations.members.models import CompetentPerson
from tests.access.table import Row, World
from tests.cast import PASSWORD
from tests.factories import SECRET, make_invitation, make_slip

ADMINISTRATOR = {"administrator": "ok", "*": "refused"}
ADMINISTRATOR_SENDS_NOTHING = {"administrator": "invalid", "*": "refused"}
THOSE_WHO_INVITE = {"administrator": "ok", "secretary": "ok", "*": "refused"}


def _joining(world: World) -> list[str]:
    make_invitation(world.cast.secretary)
    return [SECRET]


def _slip(world: World) -> list[str]:
    make_slip(world.cast.mate, world.cast.administrator)
    return [SECRET]


def _mate(world: World) -> list[int]:
    return [world.cast.mate.pk]


def _once(world: World) -> dict[str, str]:
    return {"submission": str(uuid.uuid4())}


def _competent(world: World) -> list[int]:
    """Of a club with one mentor: nobody could be named, or ended, in one with two."""
    cast, today = world.cast, timezone.localdate()
    row = CompetentPerson.objects.create(
        member=cast.mate, from_on=today, until_on=today, why="a fitter", named_by=cast.administrator
    )
    return [row.pk]


ROWS = [
    Row("members:sign_in", get={"*": "redirect", "anonymous": "ok"}, post={"*": "invalid", "anonymous": "invalid"}),
    Row(
        "members:sign_in",
        why="right password",
        data=lambda world: {"name": "mate", "password": PASSWORD},
        post={"*": "redirect", "anonymous": "redirect"},
    ),
    Row("members:sign_out", post={"*": "redirect"}),
    Row("members:join", _joining, get={"*": "ok", "anonymous": "ok"}, post={"*": "invalid", "anonymous": "invalid"}),
    Row(
        "members:join",
        lambda world: ["no-such-secret"],
        why="invented link",
        get={"*": "hidden", "anonymous": "hidden"},
        post={"*": "hidden", "anonymous": "hidden"},
    ),
    Row("members:slip", _slip, get={"*": "ok", "anonymous": "ok"}, post={"*": "invalid", "anonymous": "invalid"}),
    Row(
        "members:slip",
        lambda world: ["no-such-secret"],
        why="invented link",
        get={"*": "hidden", "anonymous": "hidden"},
        post={"*": "hidden", "anonymous": "hidden"},
    ),
    Row("members:people", get={"*": "ok"}),
    Row("members:person", _mate, get={"*": "ok"}),
    Row("members:person", lambda world: [987654321], why="nobody", get={"*": "hidden"}),
    Row("members:offices", _mate, get=ADMINISTRATOR, post=ADMINISTRATOR_SENDS_NOTHING),
    Row("members:left", _mate, get=ADMINISTRATOR, post=ADMINISTRATOR_SENDS_NOTHING),
    Row("members:print_slip", _mate, get=ADMINISTRATOR, post=ADMINISTRATOR_SENDS_NOTHING),
    Row("members:print_slip", _mate, why="sent", data=_once, post=ADMINISTRATOR),
    Row(
        "members:invite",
        get=THOSE_WHO_INVITE,
        post={"administrator": "invalid", "secretary": "invalid", "*": "refused"},
    ),
    Row(
        "members:withdraw_invitation",
        lambda world: [make_invitation(world.cast.secretary).pk],
        post={"administrator": "redirect", "secretary": "redirect", "*": "refused"},
    ),
    Row("members:own", get={"*": "ok"}, post={"*": "invalid"}),
    Row("members:own_password", get={"*": "ok"}, post={"*": "invalid"}),
    Row(
        "members:short_code",
        get={"mentor": "ok", "mentor2": "ok", "inspector": "ok", "*": "refused"},
        post={"mentor": "invalid", "mentor2": "invalid", "inspector": "invalid", "*": "refused"},
    ),
    Row(
        "members:take_short_code_away",
        post={"mentor": "redirect", "mentor2": "redirect", "inspector": "redirect", "*": "refused"},
    ),
    Row("members:competent_person", get={"*": "ok"}, post=ADMINISTRATOR_SENDS_NOTHING),
    Row(
        "members:end_competent_person",
        _competent,
        data=lambda world: {**_once(world), "reason": "moved away"},
        post={"administrator": "redirect", "*": "refused"},
    ),
    Row("members:club", get=ADMINISTRATOR, post=ADMINISTRATOR_SENDS_NOTHING),
]
