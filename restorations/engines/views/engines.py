"""The list of engines, entering one, its identity and its owner."""

from django.contrib import messages
from django.core.paginator import Paginator
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.views.decorators.http import require_http_methods, require_safe

from restorations.engines import services
from restorations.engines.access import may, require, speaks_for_owner
from restorations.engines.forms import IdentityForm, NewEngineForm, OwnerForm, SearchForm
from restorations.engines.models import Engine
from restorations.engines.showing import kind_in_words, listed
from restorations.engines.state import states_of
from restorations.engines.tables import ENGINES
from restorations.engines.views.visits import Visit, visit
from restorations.members.permissions import may as may_at_all
from restorations.members.permissions import require as require_at_all
from restorations.members.requests import NOT_TRIED, signed_in, try_saving
from restorations.web.answers import answer
from restorations.web.tables_out import taken_out

PER_PAGE = 25


@require_safe
def engines(request: HttpRequest) -> HttpResponse:
    member, on = signed_in(request), timezone.localdate()
    form = SearchForm(request.GET)
    words = form.cleaned_data["q"] if form.is_valid() else ""
    gone = request.GET.get("gone") == "yes"
    here = Engine.objects.visible_to(member, on=on).filter(gone_on__isnull=not gone)
    rows = listed(here.matching(words))
    table = taken_out(request, ENGINES, rows)
    if table is not None:
        return table
    page = Paginator(rows, PER_PAGE).get_page(request.GET.get("page"))
    states = states_of(page.object_list, on)
    context = {
        "form": form,
        "page": page,
        "rows": [(engine, kind_in_words(engine), states[engine.pk]) for engine in page],
        "gone": gone,
        "words": words,
        "may_enter": may_at_all(member, "take in an engine"),
    }
    return answer(request, "engines/engines.html", context, fragment="engines/_engines_list.html")


@require_http_methods(["GET", "HEAD", "POST"])
def new(request: HttpRequest) -> HttpResponse:
    member, on = signed_in(request), timezone.localdate()
    require_at_all(member, "take in an engine")
    form = NewEngineForm(request.POST if request.method == "POST" else None, member=member)
    if not form.is_valid():
        return render(request, "engines/new.html", {"form": form}, status=422 if form.is_bound else 200)
    engine = services.enter_engine(
        member=member,
        mark=form.cleaned_data["submission"],
        identity=form.columns(),
        build=form.build(),
        works_on_it=form.cleaned_data["works_on_it"],
        on=on,
    )
    if not may(member, "change an engine", engine, on=on):
        messages.success(request, f"{engine} is entered. Its hands can now say how it is built.")
        return redirect(engine)
    messages.success(request, f"{engine} is entered. Now say how it is built, as far as you know; the rest stays open.")
    return redirect("engines:configuration", engine.pk)


@require_http_methods(["GET", "HEAD", "POST"])
def identity(request: HttpRequest, pk: int) -> HttpResponse:
    seen = visit(request, pk)
    seen.require_change()
    form = IdentityForm(request.POST if request.method == "POST" else None, initial=IdentityForm.said_of(seen.engine))
    return _change(request, form, seen, "engines/identity.html")


@require_http_methods(["GET", "HEAD", "POST"])
def owner(request: HttpRequest, pk: int) -> HttpResponse:
    seen = visit(request, pk)
    require(
        speaks_for_owner(seen.engine, seen.places),
        "Whose an engine is, is changed by the owner; for the club's engines by the secretary, "
        "for an owner from outside by a mentor.",
    )
    form = OwnerForm(request.POST if request.method == "POST" else None, initial=OwnerForm.said_of(seen.engine))
    return _change(request, form, seen, "engines/owner.html")


def _change(request: HttpRequest, form: IdentityForm | OwnerForm, seen: Visit, page: str) -> HttpResponse:
    def save() -> None:
        services.change_engine(
            engine=seen.engine,
            member=seen.member,
            mark=form.cleaned_data["submission"],
            version=form.cleaned_data["version"],
            identity=form.columns(),
        )

    tried = try_saving(form, save) if request.method == "POST" else NOT_TRIED
    if request.method == "POST" and tried.saved:
        messages.success(request, "Saved.")
        in_sight = Engine.objects.visible_to(seen.member, on=seen.on).filter(pk=seen.engine.pk).exists()
        return redirect(seen.engine) if in_sight else redirect("engines:engines")
    context = {"form": form, "engine": seen.engine, "differences": tried.differences}
    return render(request, page, context, status=tried.status)
