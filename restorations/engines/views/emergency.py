"""The emergency cards: read by anybody, signed in or not; worded by the inspector."""

from django.contrib import messages
from django.contrib.auth.decorators import login_not_required
from django.http import Http404, HttpRequest, HttpResponse
from django.urls import reverse
from django.utils import timezone
from django.views.decorators.http import require_http_methods, require_safe

from restorations.engines.forms.emergency import CardForm, NumberForm
from restorations.engines.models import EmergencyCard
from restorations.engines.services.emergency import card, cards, number_to_ring, set_number, word_card
from restorations.knowledge.emergencies import CARDS
from restorations.members.doing import Doing
from restorations.members.models import Member
from restorations.members.permissions import may, require
from restorations.members.requests import signed_in
from restorations.web.answers import answer, go_to


@login_not_required
@require_safe
def emergency(request: HttpRequest) -> HttpResponse:
    """Every card on one page, to read and to print; there is no secret on it."""
    context = {"cards": cards(), "number": number_to_ring(), "all": True, **_rights(request)}
    return answer(request, "engines/emergency.html", context)


@login_not_required
@require_safe
def emergency_card(request: HttpRequest, kind: str) -> HttpResponse:
    _require_kind(kind)
    context = {"cards": [card(kind)], "number": number_to_ring(), "all": False, "others": CARDS, **_rights(request)}
    return answer(request, "engines/emergency.html", context)


def _require_kind(kind: str) -> None:
    if kind not in CARDS:
        raise Http404("no such card")


def _rights(request: HttpRequest) -> dict[str, bool]:
    member = request.user if isinstance(request.user, Member) else None
    return {
        "may_word": member is not None and may(member, "word an emergency card"),
        "may_set_number": member is not None and may(member, "set the emergency number"),
    }


@require_http_methods(["GET", "HEAD", "POST"])
def word(request: HttpRequest, kind: str) -> HttpResponse:
    """The inspector's own words; what they were before stays readable below."""
    _require_kind(kind)
    member = signed_in(request)
    require(member, "word an emergency card")
    now = card(kind)
    initial = {name: "\n".join(getattr(now, name)) for name in ("steps", "never", "call")}
    form = CardForm(request.POST if request.method == "POST" else None, initial=initial)
    if request.method == "POST" and form.is_valid():
        doing = Doing(member, timezone.now())
        word_card(kind=kind, words=form.words(), doing=doing, mark=form.cleaned_data["submission"])
        messages.success(request, "The card is worded anew. Print it again where it hangs.")
        return go_to(request, reverse("engines:emergency_card", args=[kind]))
    context = {
        "form": form, "card": now,
        "earlier": EmergencyCard.objects.filter(kind=kind).select_related("worded_by").order_by("-pk"),
    }  # fmt: skip
    return answer(request, "engines/word_card.html", context, status=422 if form.is_bound else 200)


@require_http_methods(["GET", "HEAD", "POST"])
def number(request: HttpRequest) -> HttpResponse:
    member = signed_in(request)
    require(member, "set the emergency number")
    now = number_to_ring()
    initial = {"number": now.number, "where": now.where} if now else {}
    form = NumberForm(request.POST if request.method == "POST" else None, initial=initial)
    if request.method == "POST" and form.is_valid():
        data = form.cleaned_data
        set_number(
            number=data["number"], where=data["where"], doing=Doing(member, timezone.now()), mark=data["submission"]
        )
        messages.success(request, "Set. It stands on every card.")
        return go_to(request, reverse("engines:emergency"))
    return answer(request, "engines/emergency_number.html", {"form": form}, status=422 if form.is_bound else 200)
