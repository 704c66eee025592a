"""Rows for tests: plain functions with fixed values; say only what the test is about."""

from datetime import UTC, date, datetime, timedelta
from itertools import count
from typing import Any

from django.utils import timezone

from restorations.engines.models import Engine, EngineConfiguration, Guest, Hand, Stoppage
from restorations.members.models import Invitation, Member, OneTimeSlip
from restorations.members.models.invitations import hashed

NOON = datetime(2026, 11, 20, 12, 0, tzinfo=UTC)
TODAY = NOON.date()
LONG_AGO = date(2020, 1, 1)
SECRET = "a-secret-address-of-this-test"
_numbers = count(1)


def make_member(**changes: Any) -> Member:
    number = next(_numbers)
    fields = {"sign_in_name": f"person{number}", "full_name": f"Person {number}", "password": "demo"}
    return Member.objects.create_member(**{**fields, **changes})


def make_engine(
    *, configuration: dict[str, Any] | None = None, hands: tuple[Member, ...] = (), **changes: Any
) -> Engine:
    """An engine of the club with its first configuration, everything "not known" unless said."""
    made_by = changes.pop("made_by", None) or Member.objects.order_by("pk").first() or make_member()
    owner = {} if {"owner_member", "owner_name"} & changes.keys() else {"owner_is_club": True}
    engine = Engine.objects.create(**{"name": "Wren", "made_by": made_by, **owner, **changes})
    EngineConfiguration.objects.create(engine=engine, number=1, made_by=made_by, **(configuration or {}))
    for member in hands:
        make_hand(engine, member)
    return engine


def make_hand(engine: Engine, member: Member, **changes: Any) -> Hand:
    return Hand.objects.create(**{"engine": engine, "member": member, "since": LONG_AGO, **changes})


def make_guest(engine: Engine, member: Member, **changes: Any) -> Guest:
    fields = {"why": "asked for advice", "since": LONG_AGO, "invited_by": engine.made_by}
    return Guest.objects.create(engine=engine, member=member, **{**fields, **changes})


def make_stop(engine: Engine, **changes: Any) -> Stoppage:
    """A defect that stands since yesterday, unless said otherwise."""
    fields = {"kind": "defect", "cause_class": "motion", "words": "the left rod knocks", "reported_by": engine.made_by}
    yesterday = timezone.localdate() - timedelta(days=1)
    return Stoppage.objects.create(engine=engine, **{"began_on": yesterday, **fields, **changes})


def make_invitation(made_by: Member, *, secret: str = SECRET, **changes: Any) -> Invitation:
    return Invitation.objects.create(**{"full_name": "Ada Newcome", **_secret_address(made_by, secret), **changes})


def make_slip(member: Member, made_by: Member, *, secret: str = SECRET, **changes: Any) -> OneTimeSlip:
    return OneTimeSlip.objects.create(**{"member": member, **_secret_address(made_by, secret), **changes})


def _secret_address(made_by: Member, secret: str) -> dict[str, Any]:
    now = timezone.now()
    return {"made_by": made_by, "secret_hash": hashed(secret), "made_at": now, "lapses_at": now + timedelta(days=3)}
