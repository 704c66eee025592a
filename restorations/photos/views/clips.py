"""Sounds and videos of an engine."""

from typing import Any

from django.contrib import messages
from django.core.paginator import Paginator
from django.http import HttpRequest, HttpResponse
from django.utils import timezone
from django.views.decorators.http import require_http_methods, require_POST

from restorations.engines.access import require
from restorations.engines.forms import StrikeForm
from restorations.engines.views.visits import Visit, lines, strike_ids, try_once, visit
from restorations.members.doing import Doing
from restorations.photos import services
from restorations.photos.access import MAY_NOT_ACCEPT, MAY_NOT_STRIKE, clip_visit, may_strike, stands_at_once
from restorations.photos.forms import ClipForm
from restorations.photos.models import Clip
from restorations.web.answers import answer, go_to
from restorations.web.fields import OnceForm

A_PAGE = 25


@require_http_methods(["GET", "HEAD", "POST"])
def clips(request: HttpRequest, pk: int) -> HttpResponse:
    seen = visit(request, pk)
    if request.method != "POST":
        return _clips_shown(request, seen)
    doing = Doing(seen.member, timezone.now(), stands_at_once(seen))
    form = ClipForm(request.POST, request.FILES)

    def save() -> None:
        data = form.cleaned_data
        services.add_clip(
            engine=seen.engine, checked=data["clip"], caption=data["caption"], doing=doing, mark=data["submission"]
        )

    if not try_once(form, save):
        return _clips_shown(request, seen, status=422, form=form)
    messages.success(request, "Added." if doing.stands else "Added; it waits until one of the hands accepts it.")
    return go_to(request, request.path)


@require_POST
def accept_clip(request: HttpRequest, pk: int) -> HttpResponse:
    seen, clip = clip_visit(request, pk)
    require(seen.may("accept a helper's entry"), MAY_NOT_ACCEPT)
    if OnceForm(request.POST).is_valid():
        services.accept_clip(clip=clip, member=seen.member, at=timezone.now())
    return go_to(request, clip.get_absolute_url())


@require_POST
def strike_clip(request: HttpRequest, pk: int) -> HttpResponse:
    seen, clip = clip_visit(request, pk)
    require(may_strike(seen, clip), MAY_NOT_STRIKE)
    form = StrikeForm(request.POST, auto_id=strike_ids(clip.pk))

    def save() -> None:
        services.strike_clip(clip=clip, member=seen.member, reason=form.cleaned_data["reason"])

    if not try_once(form, save):
        return _clips_shown(request, seen, status=422, tried_strike=(clip.pk, form))
    messages.success(request, "Struck out; it stays in the list.")
    return go_to(request, clip.get_absolute_url())


def _clips_shown(request: HttpRequest, seen: Visit, *, status: int = 200, **tried: Any) -> HttpResponse:
    rows = Clip.objects.filter(engine=seen.engine).select_related("made_by", "struck_by")
    page = Paginator(rows, A_PAGE).get_page(request.GET.get("page"))
    context = {
        "engine": seen.engine,
        "page": page,
        "lines": lines(page, may_strike=lambda clip: may_strike(seen, clip), tried=tried.get("tried_strike")),
        "form": (tried.get("form") or ClipForm()) if seen.may("log work as a helper") else None,
        "may_accept": seen.may("accept a helper's entry"),
    }
    return answer(request, "photos/clips.html", context, fragment="photos/_clips.html", status=status)
