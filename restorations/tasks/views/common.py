"""What the pages of the app share: the engine with its access check, who logs, names of parts."""

import re
from collections.abc import Mapping
from datetime import datetime
from typing import Any

from django.core.exceptions import PermissionDenied, ValidationError
from django.http import Http404, HttpRequest
from django.utils import timezone

from restorations.engines.access import places_of, require_here
from restorations.engines.models import Engine
from restorations.members.doing import Doing
from restorations.members.permissions import allowed
from restorations.members.requests import signed_in
from restorations.photos.models import Photo
from restorations.photos.services import take_in
from restorations.tasks.models import Box, Connection, StrippedPart

A_PAGE = 50
WHAT_OFF_MEANS = re.compile(r" \(off: [^)]*\)")
BOXES_OFFERED = 20


def engine_for(request: HttpRequest, pk: int) -> tuple[Engine, frozenset[str]]:
    """The engine, and where the member stands towards it; hidden is not there."""
    member, today = signed_in(request), timezone.localdate()
    engine = Engine.objects.contents_visible_to(member, on=today).filter(pk=pk).first()
    if engine is None:
        raise Http404("no such engine")
    require_here(engine, request.method)
    return engine, places_of(member, engine, today)


def doing_of(request: HttpRequest, places: frozenset[str], *, at: datetime | None = None) -> Doing:
    """Who does it, and whether it stands at once; refuses whoever may not log at all."""
    stands = allowed("log work", places)
    if not stands and not allowed("log work as a helper", places):
        raise PermissionDenied("Work on this engine is logged by its hands, its owner, mentors and members who help.")
    return Doing(signed_in(request), at or timezone.now(), stands)


def rights(places: frozenset[str]) -> dict[str, bool]:
    """What the buttons of a page hang on."""
    return {
        "may_log": allowed("log work as a helper", places),
        "logs_stand": allowed("log work", places),
        "may_accept": allowed("accept a helper's entry", places),
        "strikes_others": allowed("strike out another's entry", places),
    }


def named(row: StrippedPart | Connection, names: Mapping[str, str]) -> str:
    """The knowledge's name without what "off" means of it, else one's own, else that there is none yet."""
    known = WHAT_OFF_MEANS.sub("", names.get(row.part_id, ""))
    return known or row.name or row.part_id.replace("_", " ") or "to be named"


def boxes_to_offer() -> list[Box]:
    """Empty boxes for a list to choose from; the first of them is named beside the field."""
    return list(Box.objects.empty()[:BOXES_OFFERED])


def photos_taken(form: Any, engine: Engine, doing: Doing, caption: str = "") -> list[Photo] | None:
    """The form's pictures kept as files, their rows not yet saved; None where the disk would not, said in the form."""
    try:
        return take_in(form.cleaned_data["photos"] or (), engine, doing, caption=caption[:200])
    except ValidationError as error:
        form.add_error("photos", error)
        return None


def trouble_in(error: Any) -> str:
    return " ".join(error.messages)
