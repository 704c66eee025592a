"""Tags on an engine: hung, taken off, printed."""

from django.core.exceptions import PermissionDenied, ValidationError
from django.core.paginator import Paginator
from django.db.models import QuerySet
from django.http import Http404, HttpRequest, HttpResponse
from django.urls import reverse
from django.utils import timezone
from django.views.decorators.http import require_GET, require_http_methods, require_POST

from restorations.engines.models import Engine
from restorations.members.permissions import allowed
from restorations.members.requests import sent
from restorations.tasks import services
from restorations.tasks.forms.tags import TagForm
from restorations.tasks.labels import TagWords, tag_pdf
from restorations.tasks.models import Tag
from restorations.tasks.tables import TAGS
from restorations.tasks.views.common import A_PAGE, doing_of, engine_for, rights, trouble_in
from restorations.tasks.views.labels import as_pdf
from restorations.web.answers import answer, go_to
from restorations.web.fields import OnceForm
from restorations.web.tables_out import taken_out


@require_http_methods(["GET", "POST"])
def tags(request: HttpRequest, pk: int) -> HttpResponse:
    """What hangs on the engine, what hung, and one more."""
    engine, places = engine_for(request, pk)
    form = TagForm(sent(request))
    if request.method == "POST":
        doing = doing_of(request, places)
        if form.is_valid():
            data = form.cleaned_data
            services.hang_tag(
                engine=engine, kind=data["kind"], reason=data["reason"], doing=doing, mark=data["submission"]
            )
            return go_to(request, request.path)
    return _show(request, engine, places, form)


def _show(
    request: HttpRequest, engine: Engine, places: frozenset[str], form: TagForm, trouble: str = ""
) -> HttpResponse:
    gone = Tag.objects.filter(engine=engine, struck_at__isnull=True, taken_off_at__isnull=False)
    table = taken_out(request, TAGS, _all_tags(engine))
    if table is not None:
        return table
    page = Paginator(gone.select_related("put_on_by", "taken_off_by"), A_PAGE).get_page(request.GET.get("page"))
    context = {
        "engine": engine, "form": form, "tags": services.tags_on(engine), "page": page, "trouble": trouble,
        **rights(places),
    }  # fmt: skip
    status = 422 if form.is_bound or trouble else 200
    return answer(request, "tasks/tags.html", context, status=status)


def _all_tags(engine: Engine) -> QuerySet[Tag]:
    rows: QuerySet[Tag] = Tag.objects.not_struck().filter(engine=engine)
    return rows.select_related("put_on_by", "taken_off_by")


def _tag_for(request: HttpRequest, pk: int) -> tuple[Tag, frozenset[str]]:
    tag = Tag.objects.select_related("engine", "put_on_by").filter(pk=pk).first()
    if tag is None:
        raise Http404("no such tag")
    _, places = engine_for(request, tag.engine_id)
    return tag, places


@require_POST
def take_tag_off(request: HttpRequest, pk: int) -> HttpResponse:
    """A helper hangs a tag at once, but takes none off: that opens what the tag closes."""
    tag, places = _tag_for(request, pk)
    if not allowed("log work", places):
        raise PermissionDenied("A tag is taken off by the hands of the engine, its owner or a mentor.")
    form = OnceForm(request.POST)
    trouble = form.first_error if not form.is_valid() else ""
    if not trouble:
        doing = doing_of(request, places)
        try:
            services.take_tag_off(tag=tag, doing=doing, mark=form.cleaned_data["submission"])
            return go_to(request, reverse("tasks:tags", args=[tag.engine_id]))
        except ValidationError as error:
            trouble = trouble_in(error)
    return _show(request, tag.engine, places, TagForm(), trouble)


@require_GET
def tag_sheet(request: HttpRequest, pk: int) -> HttpResponse:
    """The tag to print and hang on the hook, A6."""
    tag, _ = _tag_for(request, pk)
    put_on = timezone.localtime(tag.put_on_at)
    words = TagWords(
        says=str(tag), engine=str(tag.engine), reason=tag.reason, by=str(tag.put_on_by),
        on=f"{put_on.day} {put_on:%b %Y}",
        address=request.build_absolute_uri(reverse("tasks:tags", args=[tag.engine_id])),
    )  # fmt: skip
    return as_pdf(tag_pdf(words), f"tag-{tag.pk}.pdf")
