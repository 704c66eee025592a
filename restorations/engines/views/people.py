"""Who works on an engine, and who is invited to it."""

from typing import Any

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404
from django.urls import reverse
from django.views.decorators.http import require_POST, require_safe

from restorations.engines import services
from restorations.engines.access import require
from restorations.engines.forms import GuestForm, HandForm
from restorations.engines.models import Engine
from restorations.engines.showing import people_pieces
from restorations.engines.views.visits import Visit, try_once, visit
from restorations.web.answers import answer, go_to
from restorations.web.fields import OnceForm

HANDS_REFUSED = "Who works on an engine is decided by its owner, a mentor or the secretary."
GUESTS_REFUSED = "Guests are invited by the owner and the hands of the engine."


@require_safe
def people(request: HttpRequest, pk: int) -> HttpResponse:
    return _shown(request, visit(request, pk))


@require_POST
def add_hand(request: HttpRequest, pk: int) -> HttpResponse:
    seen = visit(request, pk)
    require(seen.may("change who works on an engine"), HANDS_REFUSED)
    form = HandForm(request.POST, engine=seen.engine, on=seen.on, auto_id="id_hand_%s")
    saved = try_once(
        form,
        lambda: services.add_hand(
            engine=seen.engine,
            member=seen.member,
            mark=form.cleaned_data["submission"],
            hand=form.cleaned_data["member"],
            on=seen.on,
        ),
    )
    if not saved:
        return _shown(request, seen, status=422, hand_form=form)
    return _done(request, seen, f"{form.cleaned_data['member']} works on {seen.engine} from today.")


@require_POST
def end_hand(request: HttpRequest, pk: int, entry: int) -> HttpResponse:
    seen = visit(request, pk)
    hand = get_object_or_404(seen.engine.hands.select_related("member"), pk=entry)
    require(seen.may("change who works on an engine") or hand.member_id == seen.member.pk, HANDS_REFUSED)
    form = OnceForm(request.POST)
    saved = try_once(form, lambda: services.end_hand(hand=hand, member=seen.member, on=seen.on))
    if not saved:
        return _shown(request, seen, status=422, told=form)
    return _done(request, seen, f"{hand.member} no longer works on {seen.engine}.")


@require_POST
def invite_guest(request: HttpRequest, pk: int) -> HttpResponse:
    seen = visit(request, pk)
    require(seen.may("invite a guest to an engine"), GUESTS_REFUSED)
    form = GuestForm(request.POST, on=seen.on, auto_id="id_guest_%s")
    saved = try_once(
        form,
        lambda: services.invite_guest(
            engine=seen.engine,
            member=seen.member,
            mark=form.cleaned_data["submission"],
            guest=form.cleaned_data["member"],
            why=form.cleaned_data["why"],
            spell=(seen.on, form.cleaned_data["last_day"]),
        ),
    )
    if not saved:
        return _shown(request, seen, status=422, guest_form=form)
    return _done(request, seen, f"{form.cleaned_data['member']} is invited.")


@require_POST
def end_guest(request: HttpRequest, pk: int, entry: int) -> HttpResponse:
    seen = visit(request, pk)
    guest = get_object_or_404(seen.engine.guests.select_related("member"), pk=entry)
    require(seen.may("invite a guest to an engine") or guest.member_id == seen.member.pk, GUESTS_REFUSED)
    form = OnceForm(request.POST)
    saved = try_once(form, lambda: services.end_guest(guest=guest, member=seen.member, on=seen.on))
    if not saved:
        return _shown(request, seen, status=422, told=form)
    return _done(request, seen, f"The invitation of {guest.member} has ended.")


def _done(request: HttpRequest, seen: Visit, words: str) -> HttpResponse:
    """Back to the list, or to all engines for whoever has just put this one out of their own sight."""
    messages.success(request, words)
    in_sight = Engine.objects.contents_visible_to(seen.member, on=seen.on).filter(pk=seen.engine.pk).exists()
    address = reverse("engines:people", args=[seen.engine.pk]) if in_sight else reverse("engines:engines")
    return go_to(request, address)


def _shown(request: HttpRequest, seen: Visit, *, status: int = 200, **tried: Any) -> HttpResponse:
    hand_form = tried.get("hand_form") or HandForm(engine=seen.engine, on=seen.on, auto_id="id_hand_%s")
    guest_form = tried.get("guest_form") or GuestForm(on=seen.on, auto_id="id_guest_%s")
    may_change = seen.may("change who works on an engine")
    may_invite = seen.may("invite a guest to an engine")
    context = {
        "engine": seen.engine,
        "on": seen.on,
        **people_pieces(seen.engine, on=seen.on),
        "may_change": may_change,
        "may_invite": may_invite,
        "hand_form": hand_form if may_change else None,
        "guest_form": guest_form if may_invite else None,
        "told": tried.get("told"),
    }
    return answer(request, "engines/people.html", context, fragment="engines/_people_desk.html", status=status)
