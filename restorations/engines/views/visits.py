"""What every page of one engine begins with: who asks, which engine they may see, and on what day."""

from dataclasses import dataclass
from datetime import date
from typing import Any

from django.http import HttpRequest
from django.shortcuts import get_object_or_404
from django.utils import timezone

from restorations.engines.access import places_of, require, require_here
from restorations.engines.forms import StrikeForm
from restorations.engines.models import Engine
from restorations.members.models import Member, Struck
from restorations.members.permissions import allowed
from restorations.members.requests import signed_in, try_once

__all__ = ["Line", "Visit", "lines", "strike_ids", "try_once", "visit"]


@dataclass(frozen=True, slots=True)
class Visit:
    """A member at an engine on a day of the club's calendar, and where they stand towards it."""

    member: Member
    engine: Engine
    on: date
    places: frozenset[str]

    def may(self, act: str) -> bool:
        return allowed(act, self.places)

    def require_change(self) -> None:
        require(
            self.may("change an engine"),
            "What is said of an engine is changed by its hands, its owner or a mentor. Tell one of them what you know.",
        )


def visit(request: HttpRequest, pk: int, *, papers: bool = False, gone: bool = False) -> Visit:
    """The engine if it exists for this member: its contents, or only its papers, which a secretary always sees.

    Nothing is sent to one that has left the club, save what says so (`gone`).
    """
    member, on = signed_in(request), timezone.localdate()
    seen = Engine.objects.visible_to if papers else Engine.objects.contents_visible_to
    engine = get_object_or_404(seen(member, on=on).select_related("design", "owner_member"), pk=pk)
    require_here(engine, "GET" if gone else request.method)
    return Visit(member, engine, on, places_of(member, engine, on))


@dataclass(frozen=True, slots=True)
class Line:
    """A row of a list, with the form to strike it out where the member may."""

    row: Any
    strike_form: StrikeForm | None


def lines(rows: Any, *, may_strike: Any, tried: tuple[int, StrikeForm] | None = None) -> list[Line]:
    """Each row with its form; `tried` is the one that was sent and has something to mend."""
    return [Line(row, _strike_form(row, tried) if may_strike(row) else None) for row in rows]


def _strike_form(row: Struck, tried: tuple[int, StrikeForm] | None) -> StrikeForm | None:
    if row.is_struck:
        return None
    return tried[1] if tried and tried[0] == row.pk else StrikeForm(auto_id=strike_ids(row.pk))


def strike_ids(pk: int) -> str:
    """Several such forms stand on one page, so their fields are told apart by the row."""
    return f"id_{pk}_%s"
