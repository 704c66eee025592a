"""What an engine is made of: its questions, and the versions so far."""

from itertools import pairwise

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.urls import reverse
from django.views.decorators.http import require_http_methods, require_safe

from restorations.engines import services
from restorations.engines.forms import ConfigurationForm
from restorations.engines.forms.asking import SHOW
from restorations.engines.models import EngineConfiguration
from restorations.engines.models.configuration import QUESTIONS
from restorations.engines.showing import build_in_words
from restorations.engines.views.visits import Visit, visit
from restorations.members.requests import NOT_TRIED, Tried, try_saving
from restorations.web.answers import answer, go_to

FORM = "engines/_configuration_form.html"


@require_http_methods(["GET", "HEAD", "POST"])
def configuration(request: HttpRequest, pk: int) -> HttpResponse:
    seen = visit(request, pk)
    seen.require_change()
    current = seen.engine.configuration
    if request.method != "POST":
        return _shown(request, seen, ConfigurationForm(current=current))
    if SHOW in request.POST:
        return _shown(request, seen, ConfigurationForm(current=current, typed=request.POST))
    form = ConfigurationForm(request.POST, current=current)
    made: list[EngineConfiguration] = []
    tried = try_saving(form, lambda: made.append(_correct(form, seen)))
    if not tried.saved:
        return _shown(request, seen, form, tried)
    return _saved(request, seen, form, made[0])


def _correct(form: ConfigurationForm, seen: Visit) -> EngineConfiguration:
    return services.correct_configuration(
        engine=seen.engine,
        member=seen.member,
        mark=form.cleaned_data["submission"],
        number=form.cleaned_data["version"],
        answers=form.answers(),
        reason=form.cleaned_data["why"],
    )


def _saved(request: HttpRequest, seen: Visit, form: ConfigurationForm, made: EngineConfiguration) -> HttpResponse:
    if made.number == form.cleaned_data["version"]:
        messages.info(request, f"Nothing differs from version {made.number}, so no new version was made.")
        return go_to(request, seen.engine.get_absolute_url())
    if form.not_yet_asked:
        words = "; ".join(QUESTIONS[name].lower() for name in form.not_yet_asked)
        messages.success(request, f"Saved as version {made.number}. With these answers there is more to ask: {words}.")
        return go_to(request, reverse("engines:configuration", args=[seen.engine.pk]))
    messages.success(request, f"Saved as version {made.number}. Open fault sheets take it up when next ranked.")
    return go_to(request, seen.engine.get_absolute_url())


def _shown(request: HttpRequest, seen: Visit, form: ConfigurationForm, tried: Tried = NOT_TRIED) -> HttpResponse:
    context = {"form": form, "engine": seen.engine, "differences": tried.differences}
    return answer(request, "engines/configuration.html", context, fragment=FORM, status=tried.status)


@require_safe
def versions(request: HttpRequest, pk: int) -> HttpResponse:
    seen = visit(request, pk)
    newest_first = list(seen.engine.configurations.select_related("made_by"))
    steps = [(newer, newer.changes_from(older)) for newer, older in pairwise(newest_first)]
    context = {
        "engine": seen.engine,
        "steps": steps,
        "first": newest_first[-1],
        "build": build_in_words(newest_first[-1]),
    }
    return render(request, "engines/versions.html", context)
