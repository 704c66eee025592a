"""How one step is done, its answers, and what it takes to be allowed it."""

from typing import Any

from django.http import Http404, HttpRequest, HttpResponse
from django.utils import timezone
from django.views.decorators.http import require_GET

from restorations.engines.models import ConsentRequest
from restorations.faults.access import Standing
from restorations.faults.facts import bare_facts, bench_facts
from restorations.faults.go_ahead_forms import AskForm, ElbowForm, QuestionForm
from restorations.faults.leave import leave_on
from restorations.faults.models import FaultSheet
from restorations.faults.proposals import propose
from restorations.faults.reviewers import who_stands_by
from restorations.faults.views.common import sheet_for
from restorations.faults.views.looking import knowledge_of
from restorations.web.answers import answer


@require_GET
def action(request: HttpRequest, pk: int, action: str) -> HttpResponse:
    """How a step is done safely, what it would tell, and its answers."""
    sheet, standing = sheet_for(request, pk)
    return show_action(request, sheet, standing, action)


def _consent(sheet: FaultSheet, action: str) -> ConsentRequest | None:
    """What the owner was last asked about this step."""
    return ConsentRequest.objects.filter(engine=sheet.engine_id, action=action).order_by("pk").last()


def show_action(
    request: HttpRequest, sheet: FaultSheet, standing: Standing, action: str, *, status: int = 200, **tried: Any
) -> HttpResponse:
    """`tried` are forms of this page that did not go through, by their names in the template."""
    expanded, now = knowledge_of(sheet), timezone.now()
    placed = expanded.checks.get(action) or expanded.remedies.get(action)
    if placed is None:
        raise Http404("no such step on this engine")
    steps = list(sheet.steps.standing().in_order())
    bench = bench_facts(sheet.engine, on=standing.on)
    bare = bare_facts(sheet, bench, steps)
    leave = leave_on(sheet, expanded, bare, at=now, by=standing.member)
    go_aheads = list(sheet.go_aheads.filter(action=action).select_related("answered_by"))
    proposal = propose(expanded, action, leave.on(bare), bench, go_aheads)
    mentors = who_stands_by(sheet.engine, placed.entry, standing.member, on=standing.on)
    last = go_aheads[-1] if go_aheads else None
    context = {
        "sheet": sheet, "standing": standing, "proposal": proposal, "last": last,
        "consent_asked": _consent(sheet, action),
        "lapsed": leave.lapsed.get(last.pk, "") if last else "",
        "ask_form": AskForm(initial={"action": action, "reason": last.reason if last else ""}),
        "elbow_form": ElbowForm(mentors=mentors, initial={"action": action}) if mentors else None,
        "question_form": QuestionForm(initial={"action": action}), **tried,
    }  # fmt: skip
    return answer(request, "faults/action.html", context, status=status)
