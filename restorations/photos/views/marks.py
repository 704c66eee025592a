"""Balloons on a photo."""

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, render
from django.utils import timezone
from django.views.decorators.http import require_http_methods, require_POST

from restorations.engines.access import require
from restorations.engines.forms import StrikeForm
from restorations.engines.views.visits import strike_ids, try_once
from restorations.members.doing import Doing
from restorations.members.requests import NOT_TRIED, try_saving
from restorations.photos import services
from restorations.photos.access import (
    MAY_NOT_CHANGE,
    MAY_NOT_STRIKE,
    may_change,
    may_strike,
    photo_visit,
    stands_at_once,
)
from restorations.photos.forms import ChangeMarkForm, MarkForm
from restorations.photos.models import PhotoMark
from restorations.photos.views.photo import show_photo
from restorations.web.answers import go_to

STRUCK_PHOTO = "The photo is struck out; nothing more is marked on it."


@require_POST
def mark(request: HttpRequest, pk: int) -> HttpResponse:
    seen, photo = photo_visit(request, pk)
    doing = Doing(seen.member, timezone.now(), stands_at_once(seen))
    require(not photo.is_struck, STRUCK_PHOTO)
    form = MarkForm(request.POST)

    def save() -> None:
        services.add_mark(photo=photo, plan=form.plan(), doing=doing, mark=form.cleaned_data["submission"])

    if not try_once(form, save):
        return show_photo(request, seen, photo, status=422, mark_form=form)
    return go_to(request, photo.get_absolute_url())


@require_http_methods(["GET", "HEAD", "POST"])
def change_mark(request: HttpRequest, pk: int, entry: int) -> HttpResponse:
    seen, photo = photo_visit(request, pk)
    row = get_object_or_404(photo.marks.select_related("photo"), pk=entry)
    require(may_change(seen, row) and not photo.is_struck, MAY_NOT_CHANGE)
    form = ChangeMarkForm(request.POST if request.method == "POST" else None, initial=_said_of(row))

    def save() -> None:
        data = form.cleaned_data
        services.change_mark(
            row=row, plan=form.plan(), member=seen.member, mark=data["submission"], version=data["version"]
        )

    tried = try_saving(form, save) if request.method == "POST" else NOT_TRIED
    if request.method == "POST" and tried.saved:
        messages.success(request, "Saved.")
        return go_to(request, photo.get_absolute_url())
    context = {
        "form": form, "photo": photo, "mark": row, "engine": seen.engine, "differences": tried.differences,
        "marks": photo.marks.all().not_struck().exclude(pk=row.pk),
    }  # fmt: skip
    return render(request, "photos/change_mark.html", context, status=tried.status)


def _said_of(row: PhotoMark) -> dict[str, object]:
    names = ("words", "across", "down", "balloon_across", "balloon_down", "version")
    return {name: getattr(row, name) for name in names}


@require_POST
def strike_mark(request: HttpRequest, pk: int, entry: int) -> HttpResponse:
    seen, photo = photo_visit(request, pk)
    row = get_object_or_404(photo.marks.select_related("photo"), pk=entry)
    require(may_strike(seen, row), MAY_NOT_STRIKE)
    form = StrikeForm(request.POST, auto_id=strike_ids(row.pk))

    def save() -> None:
        services.strike_mark(row=row, member=seen.member, reason=form.cleaned_data["reason"])

    if not try_once(form, save):
        return show_photo(request, seen, photo, status=422, tried_strike=(row.pk, form))
    messages.success(request, "Struck out; it stays readable in the list.")
    return go_to(request, photo.get_absolute_url())
