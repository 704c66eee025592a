"""One photo: what is said of it, accepting it, striking it out."""

from typing import Any

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.utils import timezone
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from restorations.engines.access import require
from restorations.engines.forms import StrikeForm
from restorations.engines.views.visits import Visit, lines, try_once
from restorations.members.models import Act
from restorations.members.requests import NOT_TRIED, try_saving
from restorations.photos import services
from restorations.photos.access import (
    MAY_NOT_ACCEPT,
    MAY_NOT_CHANGE,
    MAY_NOT_STRIKE,
    may_change,
    may_strike,
    photo_visit,
)
from restorations.photos.forms import MarkForm, PhotoForm
from restorations.photos.models import Photo
from restorations.web.answers import answer, go_to
from restorations.web.fields import OnceForm

ACTS_SHOWN = 20


@require_safe
def photo(request: HttpRequest, pk: int) -> HttpResponse:
    return show_photo(request, *photo_visit(request, pk))


def show_photo(request: HttpRequest, seen: Visit, photo: Photo, *, status: int = 200, **tried: Any) -> HttpResponse:
    """The page; `tried` holds a form that was sent and has something to mend (mark_form, strike_form, tried_strike)."""
    marks = list(photo.marks.select_related("made_by", "struck_by"))
    may_mark = seen.may("log work as a helper") and not photo.is_struck
    strikes = may_strike(seen, photo) and not photo.is_struck
    context = {
        "engine": seen.engine,
        "photo": photo,
        "marks": [mark for mark in marks if not mark.is_struck],
        "lines": lines(marks, may_strike=lambda mark: may_strike(seen, mark), tried=tried.get("tried_strike")),
        "mark_form": (tried.get("mark_form") or MarkForm()) if may_mark else None,
        "strike_form": tried.get("strike_form") or (StrikeForm(auto_id="id_photo_%s") if strikes else None),
        "may_change": may_change(seen, photo),
        "may_accept": seen.may("accept a helper's entry") and _waits(photo, marks),
        "later": photo.after.all().not_struck(),
        "acts": Act.objects.about(photo).select_related("member")[:ACTS_SHOWN],
    }
    return answer(request, "photos/photo.html", context, fragment="photos/_photo.html", status=status)


def _waits(photo: Photo, marks: list[Any]) -> bool:
    return any(row.accepted_at is None and not row.is_struck for row in (photo, *marks))


@require_http_methods(["GET", "HEAD", "POST"])
def change(request: HttpRequest, pk: int) -> HttpResponse:
    seen, photo = photo_visit(request, pk)
    require(may_change(seen, photo), MAY_NOT_CHANGE)
    form = PhotoForm(
        request.POST if request.method == "POST" else None,
        photo=photo,
        speaks_for_design=photo.engine.design_id is not None and seen.may("log work"),
    )

    def save() -> None:
        data = form.cleaned_data
        services.change_photo(
            photo=photo, member=seen.member, mark=data["submission"], version=data["version"], columns=form.columns()
        )

    tried = try_saving(form, save) if request.method == "POST" else NOT_TRIED
    if request.method == "POST" and tried.saved:
        messages.success(request, "Saved.")
        return go_to(request, photo.get_absolute_url())
    context = {"form": form, "photo": photo, "engine": seen.engine, "differences": tried.differences}
    return render(request, "photos/change.html", context, status=tried.status)


@require_POST
def accept(request: HttpRequest, pk: int) -> HttpResponse:
    seen, photo = photo_visit(request, pk)
    require(seen.may("accept a helper's entry"), MAY_NOT_ACCEPT)
    if OnceForm(request.POST).is_valid():
        services.accept_photo(photo=photo, member=seen.member, at=timezone.now())
    return go_to(request, photo.get_absolute_url())


@require_POST
def strike(request: HttpRequest, pk: int) -> HttpResponse:
    seen, photo = photo_visit(request, pk)
    require(may_strike(seen, photo), MAY_NOT_STRIKE)
    form = StrikeForm(request.POST, auto_id="id_photo_%s")

    def save() -> None:
        services.strike_photo(photo=photo, member=seen.member, reason=form.cleaned_data["reason"])

    if not try_once(form, save):
        return show_photo(request, seen, photo, status=422, strike_form=form)
    messages.success(request, "Struck out; it stays readable here and shows nowhere else.")
    return go_to(request, photo.get_absolute_url())
