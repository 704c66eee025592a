"""Finding what was seen, and reading how a step is done: pages that only show."""

from django.http import Http404, HttpRequest, HttpResponse
from django.views.decorators.http import require_GET

from restorations.faults.finding_search import (
    LONGEST_SEARCH,
    REGION_AT,
    REGION_WORDS,
    SYSTEMS,
    action_search,
    choices_of,
    grouped,
    on_side,
    search,
)
from restorations.faults.forms import FindingForm
from restorations.faults.models import FaultSheet
from restorations.faults.services.sheets import stored_knowledge
from restorations.faults.views.common import region_links, sheet_for
from restorations.knowledge import EngineKnowledge
from restorations.web.answers import answer


def knowledge_of(sheet: FaultSheet) -> EngineKnowledge:
    """As the latest ranking used it."""
    snapshot = sheet.latest_snapshot
    if snapshot is None:
        raise Http404("no ranking")
    return stored_knowledge(snapshot.model.checksum)


@require_GET
def findings(request: HttpRequest, pk: int) -> HttpResponse:
    """By words, by a tap on the outline, or by plain questions."""
    sheet, standing = sheet_for(request, pk)
    expanded = knowledge_of(sheet)
    text, region = request.GET.get("q", "")[:LONGEST_SEARCH], request.GET.get("region", "")
    side = "right" if request.GET.get("side") == "right" else "left"
    found = search(expanded, text, at=REGION_AT.get(region, ()))
    if region in REGION_AT:
        found = on_side(found, side)
    asked = bool(text.strip() or region in REGION_AT)
    context = {
        "sheet": sheet, "standing": standing, "text": text, "asked": asked, "found": len(found),
        "groups": grouped(found if asked else choices_of(expanded)), "region_links": region_links(sheet, side),
        "side": side, "where": _region_in_words(region, side, expanded),
    }  # fmt: skip
    return answer(request, "faults/findings.html", context, fragment="faults/_finding_list.html")


def _region_in_words(region: str, side: str, expanded: EngineKnowledge) -> str:
    if region not in REGION_AT:
        return ""
    there = [placed for placed in expanded.findings.values() if placed.entry.at in REGION_AT[region]]
    sided = any(placed.place.side == side for placed in there)
    words = REGION_WORDS.get(region, region)
    return f"{words}, {side} side" if sided else words


@require_GET
def finding(request: HttpRequest, pk: int, finding: str) -> HttpResponse:
    """Where it is, then how much of it: two taps."""
    sheet, standing = sheet_for(request, pk)
    expanded = knowledge_of(sheet)
    choice = next((row for row in choices_of(expanded) if row.entry.id == finding.partition("@")[0]), None)
    if choice is None:
        raise Http404("no such finding on this engine")
    placed = expanded.findings.get(finding) or (choice.places[0] if len(choice.places) == 1 else None)
    context = {"sheet": sheet, "standing": standing, "choice": choice, "placed": placed, "form": FindingForm()}
    return answer(request, "faults/finding.html", context)


@require_GET
def actions(request: HttpRequest, pk: int) -> HttpResponse:
    """For whoever did something else than was advised: by words, or by system; never all at once."""
    sheet, standing = sheet_for(request, pk)
    expanded = knowledge_of(sheet)
    text, system = request.GET.get("q", "").strip()[:LONGEST_SEARCH], request.GET.get("system", "")
    found = action_search(expanded, text, system=system)
    context = {
        "sheet": sheet, "standing": standing, "text": text, "asked": bool(text or system in SYSTEMS),
        "groups": found.grouped(), "found": len(found.checks) + len(found.remedies), "systems": SYSTEMS.items(),
        "system": SYSTEMS.get(system, ""),
    }  # fmt: skip
    return answer(request, "faults/actions.html", context, fragment="faults/_action_list.html")
