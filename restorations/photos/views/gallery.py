"""All photos of an engine, more of them, and those of stripping one by one."""

from typing import Any

from django.contrib import messages
from django.core.paginator import Paginator
from django.http import HttpRequest, HttpResponse
from django.urls import reverse
from django.utils import timezone
from django.views.decorators.http import require_http_methods, require_safe

from restorations.engines.views.visits import Visit, try_once, visit
from restorations.members.doing import Doing
from restorations.photos import services
from restorations.photos.access import stands_at_once
from restorations.photos.forms import SHOWN, ShownForm, UploadForm
from restorations.photos.models import VIEWS, Photo
from restorations.web.answers import answer, go_to, wants_fragment
from restorations.web.tables_out import Table, taken_out

A_PAGE = 24
PHOTOS = Table("photos", (
    ("Number", lambda photo: photo.pk),
    ("What it shows", lambda photo: photo.caption),
    ("View", Photo.get_view_display),
    ("Made at", lambda photo: photo.made_at),
    ("By", lambda photo: photo.made_by),
    ("Place in stripping", lambda photo: photo.strip_order),
    ("Waits to be accepted", lambda photo: photo.accepted_at is None),
    ("Struck out because", lambda photo: photo.struck_reason),
))  # fmt: skip


@require_http_methods(["GET", "HEAD", "POST"])
def photos(request: HttpRequest, pk: int) -> HttpResponse:
    seen = visit(request, pk)
    if request.method != "POST":
        return _photos_shown(request, seen, UploadForm(initial={"view": request.GET.get("as", "")}))
    stands = stands_at_once(seen)
    form = UploadForm(request.POST, request.FILES)
    if not try_once(form, lambda: _add(seen, form, stands=stands)):
        return _photos_shown(request, seen, form)
    if not wants_fragment(request):  # the script sends one photo at a time, and counts them itself
        messages.success(request, "Added." if stands else "Added; it waits until one of the hands accepts it.")
    return go_to(request, request.path)


def _add(seen: Visit, form: UploadForm, *, stands: bool) -> None:
    data, doing = form.cleaned_data, Doing(seen.member, timezone.now(), stands)
    taken_in = services.take_in(data["photos"], seen.engine, doing, data["caption"], data["view"])
    services.add_photos(photos=taken_in, doing=doing, mark=data["submission"], stripping=data["stripping"])


def _photos_shown(request: HttpRequest, seen: Visit, form: UploadForm) -> HttpResponse:
    shown = ShownForm(request.GET)
    show = shown.cleaned_data["show"] if shown.is_valid() else ""
    table = taken_out(request, PHOTOS, _chosen(seen, show).select_related("made_by"))
    if table is not None:
        return table
    context = {
        "engine": seen.engine,
        "form": form if seen.may("log work as a helper") else None,
        "shown": shown,
        "show": SHOWN[show] if show else "",
        "page": Paginator(_chosen(seen, show), A_PAGE).get_page(request.GET.get("page")),
        "has_stripping": Photo.objects.stripping().filter(engine=seen.engine).exists(),
    }
    status = 422 if form.is_bound else 200
    return answer(request, "photos/photos.html", context, fragment="photos/_photos.html", status=status)


def _chosen(seen: Visit, show: str) -> Any:
    rows = Photo.objects.filter(engine=seen.engine)
    if show == "struck":
        return rows.filter(struck_at__isnull=False)
    if show == "waiting":
        return rows.waiting()
    if show == "stripping":
        return rows.stripping()
    return rows.not_struck().filter(view=show) if show in VIEWS else rows.not_struck()


@require_safe
def stripping(request: HttpRequest, pk: int) -> HttpResponse:
    """One photo of the order of stripping, from the last on: refitting steps backwards."""
    seen = visit(request, pk)
    order = list(Photo.objects.stripping().filter(engine=seen.engine).values_list("pk", flat=True))
    place_of = {str(photo): place for place, photo in enumerate(order)}
    at = place_of.get(request.GET.get("at", ""), len(order) - 1)
    context: dict[str, Any] = {"engine": seen.engine, "length": len(order)}
    if order:
        photo = Photo.objects.select_related("made_by").get(pk=order[at])
        context |= {"photo": photo, "marks": photo.marks.all().not_struck(), "number": at + 1}
        context["off_before"] = _step(seen, order, at - 1)
        context["off_after"] = _step(seen, order, at + 1)
    return answer(request, "photos/stripping.html", context)


def _step(seen: Visit, order: list[int], at: int) -> str:
    address = reverse("photos:stripping", args=[seen.engine.pk])
    return f"{address}?at={order[at]}" if 0 <= at < len(order) else ""
