"""Everything on one engine's page, from the apps below."""

from datetime import date
from typing import Any

from restorations.engines.access import places_of
from restorations.engines.models import Engine
from restorations.engines.showing import engine_pieces
from restorations.home.off_now import off_now
from restorations.members.models import Member
from restorations.members.permissions import allowed
from restorations.tasks.models import Holding, StrippedPart
from restorations.tasks.queries import work_pieces
from restorations.traffic.forecasts import latest_forecasts
from restorations.traffic.models import EngineStands

SHEETS_SHOWN = 10
LINES_SHOWN = 8


def engine_page(engine: Engine, member: Member, *, on: date) -> dict[str, Any]:
    places = places_of(member, engine, on)
    sees_contents = Engine.objects.contents_visible_to(member, on=on).filter(pk=engine.pk).exists()
    context = {**engine_pieces(engine, member, on=on), "sees_contents": sees_contents}
    context["forecast"] = latest_forecasts([engine]).get(engine.pk)
    context["stands"] = EngineStands.objects.now().filter(engine=engine).select_related("road").first()
    context["may_move"] = engine.gone_on is None and allowed("move an engine", places)
    context["held"] = Holding.objects.current().filter(engine=engine, kind="engine").select_related("holder").first()
    if sees_contents:
        context |= {**_contents(engine), **work_pieces(engine, member, places, on=on)}
        context["may_open"] = allowed("log work", places)
    return context


def _contents(engine: Engine) -> dict[str, Any]:
    sheets = engine.fault_sheets.select_related("opened_by").order_by("closed_at", "-opened_at")
    return {
        "sheets": list(sheets[:SHEETS_SHOWN]),
        "off": off_now(engine, most=LINES_SHOWN),
        "parts_off": StrippedPart.objects.off().filter(engine=engine).count(),
    }
