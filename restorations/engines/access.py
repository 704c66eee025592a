"""Where a member stands towards an engine, and what that lets them do; the table of acts is in members.permissions."""

from datetime import date

from django.conf import settings
from django.core.exceptions import PermissionDenied
from django.utils.module_loading import import_string

from restorations.engines.models import Design, Engine, Guest, Hand
from restorations.engines.models.papers import BOILER_PAPERS, CERTIFICATE_KINDS
from restorations.members.models import Member, is_competent
from restorations.members.permissions import allowed, office_places

READING = frozenset({"GET", "HEAD"})


def is_hand(member: Member, engine: Engine, on: date) -> bool:
    return Hand.objects.current(on).filter(engine=engine, member=member).exists()


def is_guest(member: Member, engine: Engine, on: date) -> bool:
    return Guest.objects.current(on).filter(engine=engine, member=member).exists()


def owns(member: Member, engine: Engine) -> bool:
    return engine.owner_member_id == member.pk


def places_of(member: Member, engine: Engine, on: date) -> frozenset[str]:
    """Hands, owner, guest, member and the offices, as far as they hold for this engine.

    On a private engine a member who is none of the first three stands nowhere, save the secretary (state and papers).
    """
    offices = office_places(member)
    if not offices:
        return frozenset()
    if is_competent(member, on):
        offices |= {"competent"}
    near = _near_places(member, engine, on)
    if not engine.is_private:
        return offices | near
    return (offices - {"administrator"}) | near if near else offices & {"secretary"}


def _near_places(member: Member, engine: Engine, on: date) -> frozenset[str]:
    stands = {
        "hands": is_hand(member, engine, on),
        "owner": owns(member, engine),
        "guest": is_guest(member, engine, on),
    }
    return frozenset(place for place, so in stands.items() if so)


def may(member: Member, act: str, engine: Engine, *, on: date, own: bool = False) -> bool:
    """Whether this member may do the act on this engine that day; `own` is never allowed."""
    return allowed(act, places_of(member, engine, on), own=own)


def is_own_boiler(member: Member, engine: Engine, on: date) -> bool:
    """Nobody passes a boiler that they own, work on, or have work standing on."""
    if owns(member, engine) or is_hand(member, engine, on):
        return True
    return bool(import_string(settings.WORKED_ON_BOILER)(member, engine))


def speaks_for_owner(engine: Engine, places: frozenset[str]) -> bool:
    """The owner; the secretary for the club's engines; for an outsider, a mentor who writes down what was said."""
    if engine.owner_member_id:
        return allowed("consent as the owner", places)
    return allowed("consent for the club" if engine.owner_is_club else "record an outsider's consent", places)


def kinds_to_record(member: Member, engine: Engine, on: date) -> list[str]:
    """Boiler papers are the inspector's, of another's boiler; other papers are also the owner's and secretary's."""
    places = places_of(member, engine, on)
    passes = allowed("record a certificate", places) and not is_own_boiler(member, engine, on)
    files = allowed("record another paper", places)
    return [kind for kind in CERTIFICATE_KINDS if (passes if kind in BOILER_PAPERS else files)]


def require_here(engine: Engine, method: str | None) -> None:
    """What has left the club is read, and nothing more is recorded on it."""
    require(method in READING or engine.gone_on is None, engine.gone_in_words)


def require(holds: bool, otherwise: str) -> None:
    """Refuse with the reason in words."""
    if not holds:
        raise PermissionDenied(otherwise)


def may_note_design(member: Member, design: Design, *, on: date) -> bool:
    """Mentors, and whoever works on or owns an engine of that design."""
    if allowed("change an engine", office_places(member)):
        return True
    worked_on = Engine.objects.with_hands(member, on=on).filter(design=design)
    return worked_on.exists() or design.engines.filter(owner_member=member).exists()
