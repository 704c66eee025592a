"""Attempts at freeing what is stuck: the strip of attempts, the plot, and what the rule says next."""

from typing import Any

from django.http import HttpRequest, HttpResponse
from django.views.decorators.http import require_http_methods

from restorations.engines.models import Engine
from restorations.members.doing import Doing
from restorations.members.requests import sent
from restorations.photos.models import Photo
from restorations.tasks import services
from restorations.tasks.forms.soaks import AttemptForm
from restorations.tasks.gain_plot import Gained, plot_gains
from restorations.tasks.models import FreeingAttempt, Soak
from restorations.tasks.parts import soak_places
from restorations.tasks.soaks import Gain, advice
from restorations.tasks.tables import ATTEMPTS
from restorations.tasks.views.common import doing_of, engine_for, photos_taken, rights
from restorations.web.answers import answer, go_to
from restorations.web.tables_out import taken_out

MOST_SHOWN = 60


@require_http_methods(["GET", "POST"])
def freeing(request: HttpRequest, pk: int) -> HttpResponse:
    """By place: what was tried and gained, and what to do next; one attempt more."""
    engine, places = engine_for(request, pk)
    words = soak_places(engine.configuration.as_configuration())
    form = AttemptForm(
        sent(request),
        request.FILES or None,
        configuration=engine.configuration.as_configuration(),
        initial=_last_time(engine),
    )
    if request.method == "POST":
        doing = doing_of(request, places)
        if form.is_valid() and _note(form, engine, doing):
            return go_to(request, request.path)
    attempts = FreeingAttempt.objects.not_struck().filter(engine=engine).select_related("tried_by")
    table = taken_out(request, ATTEMPTS, attempts)
    if table is not None:
        return table
    soaking = set(Soak.objects.under_way().filter(engine=engine).values_list("place", flat=True))
    strips = [_strip(place, words, rows, soaking) for place, rows in _by_place(engine).items()]
    context = {
        "engine": engine, "form": form, **rights(places), "strips": strips, "last_photo": _last_photo(strips),
    }  # fmt: skip
    return answer(request, "tasks/freeing.html", context, status=422 if form.is_bound else 200)


def _note(form: AttemptForm, engine: Engine, doing: Doing) -> bool:
    photos = photos_taken(form, engine, doing)
    if photos is None:
        return False
    mark = form.cleaned_data["submission"]
    services.note_attempt(engine=engine, attempt=form.attempt(), doing=doing, mark=mark, photos=photos)
    return True


def _last_time(engine: Engine) -> dict[str, Any]:
    """The next attempt is most often at the same place, by the same method."""
    last = FreeingAttempt.objects.not_struck().filter(engine=engine).last()
    return {"place": last.place, "method": last.method} if last else {}


def _by_place(engine: Engine) -> dict[str, list[FreeingAttempt]]:
    newest = (
        FreeingAttempt.objects.not_struck().filter(engine=engine).select_related("tried_by").prefetch_related("photos")
    )
    found: dict[str, list[FreeingAttempt]] = {}
    for row in reversed(newest.order_by("-tried_at", "-pk")[:MOST_SHOWN]):
        found.setdefault(row.place, []).append(row)
    return found


def _strip(place: str, words: dict[str, str], rows: list[FreeingAttempt], soaking: set[str]) -> dict[str, Any]:
    standing = [row for row in rows if row.stands]
    unit = _unit(standing)
    return {
        "where": words.get(place, place), "rows": rows, "seen": _seen(rows), "is_soaking": place in soaking,
        "advice": advice([_gain(row) for row in standing]),
        "plot": plot_gains([_gained(row, unit) for row in standing if _is_in(row, unit)], unit),
    }  # fmt: skip


def _seen(rows: list[FreeingAttempt]) -> list[dict[str, Any]]:
    """The photos in order, each with the one before it to lay under it."""
    photos = [photo for row in rows for photo in row.photos.all() if photo.struck_at is None]
    return [{"photo": photo, "before": before} for photo, before in zip(photos, [None, *photos], strict=False)]


def _last_photo(strips: list[dict[str, Any]]) -> Photo | None:
    """What the next one is to be taken from the same spot as."""
    photos: list[Photo] = [item["photo"] for strip in strips for item in strip["seen"]]
    return max(photos, key=lambda photo: photo.made_at, default=None)


def _gain(row: FreeingAttempt) -> Gain:
    both = (row.forward_mm or 0.0) + (row.back_mm or 0.0) + (row.forward_deg or 0.0) + (row.back_deg or 0.0)
    return Gain(row.method, both, row.full_turn)


def _unit(rows: list[FreeingAttempt]) -> str:
    """What the last gain was measured in: a nought says nothing."""
    gains = [row for row in rows if _gain(row).gained > 0]
    return "deg" if gains and gains[-1].forward_deg is not None else "mm"


def _is_in(row: FreeingAttempt, unit: str) -> bool:
    return getattr(row, f"forward_{unit}") is not None or _gain(row).gained == 0


def _gained(row: FreeingAttempt, unit: str) -> Gained:
    return Gained(getattr(row, f"forward_{unit}") or 0.0, getattr(row, f"back_{unit}") or 0.0)
