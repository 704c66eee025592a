"""Standing go-aheads of an engine: who may do what kind of step without asking each time."""

from typing import Any

from django.contrib import messages
from django.db.models import Q
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404
from django.utils import timezone
from django.views.decorators.http import require_http_methods

from restorations.engines.facts import history_of
from restorations.engines.models import Hand
from restorations.engines.views.visits import Visit, visit
from restorations.faults import services
from restorations.faults.access import require
from restorations.faults.go_ahead_forms import StandingForm, WithdrawForm, end_of
from restorations.faults.knowing import in_force
from restorations.faults.models import StandingGoAhead
from restorations.faults.services.sheets import knowledge_for
from restorations.faults.standing_kinds import kind_in_words, kinds_on
from restorations.members.doing import Doing
from restorations.members.models import Member
from restorations.members.requests import sent, try_once
from restorations.web.answers import answer, go_to

GIVE, NOT_YOURS = "give a standing go-ahead", "A standing go-ahead is given, and taken back, by a mentor."


@require_http_methods(["GET", "POST"])
def standing(request: HttpRequest, pk: int) -> HttpResponse:
    seen = visit(request, pk)
    form = _form(seen, sent(request), initial={"kind": request.GET.get("kind", "")})
    if request.method != "POST":
        return _shown(request, seen, form)
    require(seen.may(GIVE), NOT_YOURS)
    if not try_once(form, lambda: _give(seen, form)):
        return _shown(request, seen, form, status=422)
    messages.success(request, f"Given. {form.cleaned_data['member']} is told.")
    return go_to(request, request.path)


def _give(seen: Visit, form: StandingForm) -> StandingGoAhead:
    data = form.cleaned_data
    draft = services.StandingDraft(data["member"], data["kind"], data["conditions"], end_of(data["until"]))
    doing = Doing(seen.member, timezone.now())
    return services.give_standing(engine=seen.engine, draft=draft, doing=doing, mark=data["submission"])


def _form(seen: Visit, data: Any, **options: Any) -> StandingForm:
    return StandingForm(data, people=_who_works_on_it(seen), kinds=_kinds(seen), **options)


def _who_works_on_it(seen: Visit) -> Any:
    """Its hands and its owner, save whoever gives it."""
    hands = Hand.objects.current(seen.on).filter(engine=seen.engine).values("member")
    near = Q(pk__in=hands) | Q(pk=seen.engine.owner_member_id)
    return Member.objects.current().filter(near).exclude(pk=seen.member.pk)


def _kinds(seen: Visit) -> dict[str, list[str]]:
    history = history_of(seen.engine).as_mapping()
    return kinds_on(knowledge_for(in_force(seen.engine), seen.engine.configuration, history))


@require_http_methods(["GET", "POST"])
def revoke(request: HttpRequest, pk: int) -> HttpResponse:
    row = get_object_or_404(StandingGoAhead.objects.select_related("engine", "member", "given_by", "struck_by"), pk=pk)
    seen = visit(request, row.engine_id)
    require(seen.may(GIVE), NOT_YOURS)
    form = WithdrawForm(sent(request))
    if request.method == "POST" and try_once(form, lambda: _revoke(seen, row, form)):
        messages.success(request, "Taken back; it stays readable.")
        return go_to(request, row.get_absolute_url())
    status = (409 if row.is_struck else 422) if form.is_bound else 200
    return answer(request, "faults/revoke.html", {"form": form, "row": row}, status=status)


def _revoke(seen: Visit, row: StandingGoAhead, form: WithdrawForm) -> StandingGoAhead:
    doing = Doing(seen.member, timezone.now())
    data = form.cleaned_data
    return services.revoke_standing(row=row, reason=data["reason"], doing=doing, mark=data["submission"])


def _shown(request: HttpRequest, seen: Visit, form: StandingForm, *, status: int = 200) -> HttpResponse:
    now = timezone.now()
    rows = seen.engine.standing_go_aheads.select_related("member", "given_by", "struck_by")
    holding = set(rows.in_force(now).values_list("pk", flat=True))
    context = {
        "engine": seen.engine,
        "rows": [(row, row.pk in holding) for row in rows],
        "form": form if seen.may(GIVE) else None,
        "may_give": seen.may(GIVE),
        "kinds": [(kind_in_words(kind), steps) for kind, steps in _kinds(seen).items()],
    }
    return answer(request, "faults/standing.html", context, status=status)
