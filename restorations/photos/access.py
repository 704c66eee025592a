"""Who may add, change, accept and strike out photos, marks and clips; where anybody stands is the engine's matter."""

from typing import Any

from django.core.exceptions import PermissionDenied
from django.http import HttpRequest
from django.shortcuts import get_object_or_404
from django.utils import timezone

from restorations.engines.access import places_of
from restorations.engines.views.visits import Visit
from restorations.members.permissions import allowed
from restorations.members.requests import signed_in
from restorations.photos.models import Clip, Photo

MAY_NOT_ADD = "Photos are added by the hands of the engine, its owner, mentors and members who help."
MAY_NOT_CHANGE = "Changed by whoever added it, the hands of the engine, its owner or a mentor; not once struck out."
MAY_NOT_STRIKE = "Struck out by whoever added it, or by a mentor."
MAY_NOT_ACCEPT = "A helper's photo is accepted by one of the hands of the engine, or its owner."


def photo_visit(request: HttpRequest, pk: int) -> tuple[Visit, Photo]:
    """The photo if it exists for this member, and where they stand towards its engine."""
    rows = Photo.objects.select_related("engine__design", "engine__owner_member", "made_by", "struck_by")
    return _visit_of(request, pk, rows)


def clip_visit(request: HttpRequest, pk: int) -> tuple[Visit, Clip]:
    return _visit_of(request, pk, Clip.objects.select_related("engine__owner_member"))


def _visit_of(request: HttpRequest, pk: int, rows: Any) -> tuple[Visit, Any]:
    member, on = signed_in(request), timezone.localdate()
    row = get_object_or_404(rows.visible_to(member, on=on), pk=pk)
    return Visit(member, row.engine, on, places_of(member, row.engine, on)), row


def stands_at_once(seen: Visit) -> bool:
    """Whether what they add counts at once; refuses whoever may not add at all."""
    if seen.may("log work"):
        return True
    if not seen.may("log work as a helper"):
        raise PermissionDenied(MAY_NOT_ADD)
    return False


def may_change(seen: Visit, row: Any) -> bool:
    if row.is_struck:
        return False
    return seen.may("log work") or (_is_own(seen, row) and seen.may("log work as a helper"))


def may_strike(seen: Visit, row: Any) -> bool:
    own = _is_own(seen, row) and seen.may("log work as a helper")
    return own or allowed("strike out another's entry", seen.places)


def _is_own(seen: Visit, row: Any) -> bool:
    return bool(row.made_by_id == seen.member.pk)
