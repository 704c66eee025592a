"""One design for all its sister engines: known-good readings, traps, and how it goes together rightly."""

from datetime import date
from typing import Any

from restorations.engines.models import Design, Engine
from restorations.members.models import Member
from restorations.photos.models import Photo
from restorations.tasks.models import Reading

MOST = 60


def design_page(design: Design, member: Member, *, on: date) -> dict[str, Any]:
    """Only of engines this member may read: a private sister's readings and photos stay hers."""
    readable = Engine.objects.contents_visible_to(member, on=on)
    readings = Reading.objects.standing().filter(known_good_for=design, engine__in=readable)
    photos = Photo.objects.showing_assembly(design).filter(engine__in=readable)
    return {
        "design": design,
        "engines": list(Engine.objects.visible_to(member, on=on).filter(design=design).select_related("owner_member")),
        "readings": list(readings.select_related("engine", "done_by").order_by("key", "-happened_at")[:MOST]),
        "notes": design.design_notes.filter(struck_at__isnull=True).select_related("written_by"),
        "photos": list(photos.select_related("engine").order_by("caption", "pk")[:MOST]),
    }
