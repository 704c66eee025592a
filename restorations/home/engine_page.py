"""Everything on one engine's page, from the apps below."""

from datetime import date
from typing import Any

from restorations.engines.access import places_of
from restorations.engines.models import Engine
from restorations.engines.showing import engine_pieces
from restorations.members.models import Member
from restorations.members.permissions import allowed
from restorations.tasks.models import Soak, StrippedPart
from restorations.tasks.parts import part_names, soak_places

SHEETS_SHOWN = 10


def engine_page(engine: Engine, member: Member, *, on: date) -> dict[str, Any]:
    places = places_of(member, engine, on)
    sees_contents = Engine.objects.contents_visible_to(member, on=on).filter(pk=engine.pk).exists()
    context = {**engine_pieces(engine, member, on=on), "sees_contents": sees_contents}
    if sees_contents:
        context |= _contents(engine)
        context["may_open"] = allowed("log work", places)
    return context


def _contents(engine: Engine) -> dict[str, Any]:
    configuration = engine.configuration
    names = part_names(configuration.as_configuration())
    where = soak_places(configuration.as_configuration())
    off = StrippedPart.objects.off().filter(engine=engine).select_related("off_by")
    soaks = Soak.objects.under_way().filter(engine=engine)
    sheets = engine.fault_sheets.select_related("opened_by").order_by("closed_at", "-opened_at")
    return {
        "sheets": list(sheets[:SHEETS_SHOWN]),
        "off": [{"part": part, "name": names.get(part.part_id, part.part_id or "to be named")} for part in off],
        "soaks": [{"soak": soak, "where": where.get(soak.place, soak.place)} for soak in soaks],
    }
