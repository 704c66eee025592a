"""Before and after: choosing the earlier photo, and looking from one to the other."""

from typing import Any

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.core.paginator import Paginator
from django.db.models import Case, IntegerField, Value, When
from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.views.decorators.http import require_http_methods, require_safe

from restorations.engines.access import require
from restorations.engines.views.visits import Visit
from restorations.members.requests import NOT_TRIED, try_saving
from restorations.photos import services
from restorations.photos.access import MAY_NOT_CHANGE, may_change, photo_visit
from restorations.photos.forms import PairForm
from restorations.photos.models import Photo
from restorations.photos.views.gallery import A_PAGE
from restorations.web.answers import go_to


@require_http_methods(["GET", "HEAD", "POST"])
def pair(request: HttpRequest, pk: int) -> HttpResponse:
    seen, photo = photo_visit(request, pk)
    require(may_change(seen, photo), MAY_NOT_CHANGE)
    form = PairForm(request.POST if request.method == "POST" else None, initial={"version": photo.version})
    tried = try_saving(form, lambda: _save(seen, photo, form)) if request.method == "POST" else NOT_TRIED
    if request.method == "POST" and tried.saved:
        messages.success(request, "Paired." if photo.before_id else "No longer a pair.")
        return go_to(request, photo.get_absolute_url())
    context = {
        "form": form, "photo": photo, "engine": seen.engine, "changed": tried.status == 409,
        "page": Paginator(_candidates(photo), A_PAGE).get_page(request.GET.get("page")),
    }  # fmt: skip
    return render(request, "photos/pair.html", context, status=tried.status)


def _save(seen: Visit, photo: Photo, form: PairForm) -> None:
    data: dict[str, Any] = form.cleaned_data
    wanted = data["before"]
    before = Photo.objects.not_struck().filter(engine=seen.engine, pk=wanted).first() if wanted else None
    if wanted and before is None:
        raise ValidationError("There is no such photo of this engine.")
    services.pair(photo=photo, before=before, member=seen.member, mark=data["submission"], version=data["version"])


def _candidates(photo: Photo) -> Any:
    """The engine's other photos; those of the same view first, then the newest."""
    same = Case(When(view=photo.view, then=Value(0)), default=Value(1), output_field=IntegerField())
    others = Photo.objects.not_struck().filter(engine=photo.engine).exclude(pk=photo.pk)
    return others.order_by(*([same] if photo.view else []), "-made_at", "-pk")


@require_safe
def compare(request: HttpRequest, pk: int) -> HttpResponse:
    seen, photo = photo_visit(request, pk)
    context = {"engine": seen.engine, "photo": photo, "before": photo.before, "may_change": may_change(seen, photo)}
    return render(request, "photos/compare.html", context)
