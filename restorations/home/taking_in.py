"""The take-in sheet with its photographs: the condition report."""

from dataclasses import dataclass
from datetime import date
from typing import Any

from restorations.engines.access import places_of
from restorations.engines.models import Engine, TakeIn
from restorations.engines.showing import take_in_pieces
from restorations.members.models import Member
from restorations.members.permissions import allowed
from restorations.photos.models import VIEWS, Photo


@dataclass(frozen=True, slots=True)
class StandardView:
    """One of the eight, with the photograph that shows it, if there is one."""

    key: str
    words: str
    photo: Photo | None


def taking_in_page(engine: Engine, member: Member, *, on: date) -> dict[str, Any]:
    sheet = TakeIn.objects.filter(engine=engine).select_related("engine__owner_member", "begun_by").first()
    places = places_of(member, engine, on)
    views = standard_views(engine, sheet)
    return {
        **take_in_pieces(engine, sheet),
        "views": views,
        "missing": [view for view in views if view.photo is None],
        "may_change": allowed("change an engine", places),
        "may_log": allowed("log work as a helper", places),
        "on": on,
    }


def standard_views(engine: Engine, sheet: TakeIn | None) -> list[StandardView]:
    """The last photograph of each, of those taken in before the sheet was signed: later ones show another state."""
    photos = Photo.objects.filter(engine=engine)
    if sheet is not None and sheet.frozen_at is not None:
        photos = photos.filter(made_at__lte=sheet.frozen_at)
    taken = photos.latest_per_view()
    return [StandardView(key, words, taken.get(key)) for key, words in VIEWS.items()]
