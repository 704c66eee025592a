"""What is off an engine: taking off, describing, going back in reverse order."""

from typing import Any

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.core.paginator import Paginator
from django.http import Http404, HttpRequest, HttpResponse
from django.urls import reverse
from django.utils import timezone
from django.views.decorators.http import require_http_methods, require_POST

from restorations.engines.models import Engine
from restorations.members.doing import Doing
from restorations.members.models import Act
from restorations.members.requests import NOT_TRIED, Tried, sent, signed_in, try_saving
from restorations.tasks import services
from restorations.tasks.forms.parts import (
    DescribeForm,
    EndPartForm,
    FixingsForm,
    NeverOffForm,
    PartPhotosForm,
    TakeOffForm,
)
from restorations.tasks.models import ENDINGS, Connection, StrippedPart
from restorations.tasks.parts import part_names
from restorations.tasks.refitting import missing_from
from restorations.tasks.tables import PARTS
from restorations.tasks.views.common import (
    A_PAGE,
    boxes_to_offer,
    doing_of,
    engine_for,
    named,
    photos_taken,
    rights,
    trouble_in,
)
from restorations.web.answers import answer, go_to
from restorations.web.fields import OnceForm
from restorations.web.tables_out import taken_out


def _rows(engine: Engine) -> Any:
    rows = StrippedPart.objects.filter(engine=engine, struck_at__isnull=True)
    return rows.select_related("off_by", "ended_by", "in_box").prefetch_related("photos")


@require_http_methods(["GET", "POST"])
def off(request: HttpRequest, pk: int) -> HttpResponse:
    """What is off and where it lies; a part more."""
    engine, places = engine_for(request, pk)
    boxes = boxes_to_offer()
    form = TakeOffForm(
        sent(request), request.FILES or None, configuration=engine.configuration.as_configuration(),
        offered=str(boxes[0]) if boxes else "",
    )  # fmt: skip
    if request.method == "POST":
        doing = doing_of(request, places)
        part = _strip(form, engine, doing) if form.is_valid() else None
        if part is not None:
            _say_if_it_was_off_already(request, part, doing)
            return go_to(request, request.path)
    table = taken_out(request, PARTS, _rows(engine).in_order())
    if table is not None:
        return table
    names = part_names(engine.configuration.as_configuration())
    now_off = [{"part": part, "name": named(part, names)} for part in _rows(engine).off().in_order()]
    page = Paginator(_rows(engine).filter(ended_at__isnull=False), A_PAGE).get_page(request.GET.get("page"))
    context = {
        "engine": engine, "form": form, "page": page, "boxes": boxes, **rights(places),
        "unnamed": [row for row in now_off if not (row["part"].component or row["part"].name)],
        "now_off": [row for row in now_off if row["part"].component or row["part"].name],
        "parted": [{"row": row, "name": named(row, names)} for row in _parted(engine)],
        "back": [{"part": part, "name": named(part, names)} for part in page],
    }  # fmt: skip
    return answer(request, "tasks/off.html", context, status=422 if form.is_bound else 200)


def _strip(form: TakeOffForm, engine: Engine, doing: Doing) -> StrippedPart | None:
    photos = photos_taken(form, engine, doing, caption=form.caption)
    if photos is None:
        return None
    mark = form.cleaned_data["submission"]
    return services.strip_part(engine=engine, stripping=form.stripping(), doing=doing, mark=mark, photos=photos)


def _say_if_it_was_off_already(request: HttpRequest, part: StrippedPart, doing: Doing) -> None:
    """Two who strip the same part make one line; the second is told which."""
    if part.off_by_id != doing.member.pk:
        where = f", in {part.lies_in}" if part.lies_in else ""
        messages.info(request, f"It was off already: number {part.number}, written down by {part.off_by}{where}.")


def _parted(engine: Engine) -> Any:
    return Connection.objects.parted().filter(engine=engine).select_related("parted_by").order_by("number")


def part_for(request: HttpRequest, pk: int) -> tuple[StrippedPart, frozenset[str]]:
    rows = StrippedPart.objects.select_related("engine", "in_box", "off_by", "ended_by", "consent", "accepted_by")
    row = rows.filter(pk=pk).first()
    if row is None:
        raise Http404("no such part")
    _, places = engine_for(request, row.engine_id)
    return row, places


@require_http_methods(["GET", "POST"])
def part(request: HttpRequest, pk: int) -> HttpResponse:
    """One part: what is known of it, and a form for the rest."""
    row, places = part_for(request, pk)
    form = DescribeForm(sent(request), configuration=row.engine.configuration.as_configuration(), row=row)
    if request.method != "POST":
        return _show_part(request, row, places)
    doing = doing_of(request, places)

    def save() -> None:
        data = form.cleaned_data
        services.describe_part(
            part=row, fields=form.columns(), box=data["box"], version=data["version"], doing=doing,
            mark=data["submission"],
        )  # fmt: skip

    tried = try_saving(form, save)
    if tried.saved:
        return go_to(request, row.get_absolute_url())
    return _show_part(request, row, places, sent=("describe", form), tried=tried)


def _show_part(
    request: HttpRequest, row: StrippedPart, places: frozenset[str], *, sent: tuple[str, OnceForm] | None = None,
    tried: Tried = NOT_TRIED, trouble: str = "",
) -> HttpResponse:  # fmt: skip
    """`sent`: which of its forms was sent and has something to mend; it keeps what was typed."""
    configuration = row.engine.configuration.as_configuration()
    shown = {
        "describe": DescribeForm(configuration=configuration, row=row),
        "end": EndPartForm(engine=row.engine, auto_id="end_%s"),
        "fixings": FixingsForm(auto_id="fixings_%s"),
        "photos": PartPhotosForm(auto_id="photos_%s"),
    } | dict([sent] if sent else [])
    context = {
        "part": row, "engine": row.engine, "name": named(row, part_names(configuration)), **rights(places),
        "describe": shown["describe"], "end_form": shown["end"], "fixings_form": shown["fixings"],
        "photos_form": shown["photos"], "opened": sent[0] if sent else "", "boxes": boxes_to_offer(),
        "fixings": row.fixings.not_struck().select_related("noted_by"), "photos": row.photos.all(),
        "differences": tried.differences, "trouble": trouble,
        "acts": Act.objects.about(row).select_related("member")[:A_PAGE],
    }  # fmt: skip
    status = tried.status if not tried.saved else 422 if sent or trouble else 200
    return answer(request, "tasks/part.html", context, status=status)


@require_POST
def end_part(request: HttpRequest, pk: int) -> HttpResponse:
    row, places = part_for(request, pk)
    doing = doing_of(request, places)
    form = EndPartForm(request.POST, engine=row.engine, auto_id="end_%s")
    if form.is_valid():
        try:
            services.end_time_off(part=row, how=form.how(), doing=doing, mark=form.cleaned_data["submission"])
            return go_to(request, _way_back(request, row))
        except ValidationError as error:
            if not hasattr(error, "error_dict"):
                return _show_part(request, row, places, trouble=trouble_in(error))
            form.add_error(None, error)
    return _show_part(request, row, places, sent=("end", form))


def _way_back(request: HttpRequest, row: StrippedPart) -> str:
    """To the list it was tapped on."""
    return reverse("tasks:refit" if request.POST.get("from") == "refit" else "tasks:off", args=[row.engine_id])


@require_POST
def fixings(request: HttpRequest, pk: int) -> HttpResponse:
    row, places = part_for(request, pk)
    doing = doing_of(request, places)
    form = FixingsForm(request.POST, auto_id="fixings_%s")
    if not form.is_valid():
        return _show_part(request, row, places, sent=("fixings", form))
    services.note_fixings(part=row, fixings=form.fixings(), doing=doing, mark=form.cleaned_data["submission"])
    return go_to(request, f"{row.get_absolute_url()}#fixings")


@require_POST
def part_photos(request: HttpRequest, pk: int) -> HttpResponse:
    row, places = part_for(request, pk)
    doing = doing_of(request, places)
    form = PartPhotosForm(request.POST, request.FILES, auto_id="photos_%s")
    photos = photos_taken(form, row.engine, doing) if form.is_valid() else None
    if photos is None:
        return _show_part(request, row, places, sent=("photos", form))
    services.add_part_photos(part=row, photos=photos, doing=doing, mark=form.cleaned_data["submission"])
    return go_to(request, row.get_absolute_url())


@require_http_methods(["GET", "POST"])
def refit(request: HttpRequest, pk: int) -> HttpResponse:
    """What goes back, last off first, with what is missing; and a part that was never written down as off."""
    engine, places = engine_for(request, pk)
    configuration = engine.configuration.as_configuration()
    form = NeverOffForm(sent(request), configuration=configuration)
    if request.method == "POST":
        doing = doing_of(request, places)
        if form.is_valid() and _record_never_off(form, engine, doing):
            return go_to(request, request.path)
    names = part_names(configuration)
    rows = _rows(engine).off().prefetch_related("fixings").order_by("-number")
    context = {
        "engine": engine, "form": form, "today": timezone.now(), "member": signed_in(request), **rights(places),
        "rows": [{"part": part, "name": named(part, names), "missing": missing_from(part)} for part in rows],
        "parted": [{"row": row, "name": named(row, names)} for row in _parted(engine).order_by("-number")],
        "unchecked": [
            {"row": row, "name": named(row, names)} for row in Connection.objects.unchecked().filter(engine=engine)
        ],
        "quick": [(value, words) for value, words in ENDINGS.items() if value in ("refitted", "renewed")],
    }  # fmt: skip
    return answer(request, "tasks/refit.html", context, status=422 if form.is_bound else 200)


def _record_never_off(form: NeverOffForm, engine: Engine, doing: Doing) -> bool:
    try:
        services.refit_never_off(
            engine=engine, stripping=form.stripping(), ending=services.Ending(form.cleaned_data["ending"]), doing=doing,
            mark=form.cleaned_data["submission"],
        )  # fmt: skip
    except ValidationError as error:
        form.add_error(None, error)
        return False
    return True
