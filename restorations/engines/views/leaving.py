"""Recording that an engine left the club, or is back."""

from collections.abc import Callable

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.views.decorators.http import require_http_methods

from restorations.engines.access import require
from restorations.engines.forms.leaving import BackForm, GoneForm
from restorations.engines.services import leaving as services
from restorations.engines.views.stoppages import doing_now
from restorations.engines.views.visits import Visit, visit
from restorations.members.requests import NOT_TRIED, try_saving
from restorations.web.answers import answer, go_to

REFUSED = "That an engine left the club is recorded by its owner or the secretary."


@require_http_methods(["GET", "HEAD", "POST"])
def left(request: HttpRequest, pk: int) -> HttpResponse:
    """One page: it left, or, once that is recorded, it is back."""
    seen = visit(request, pk, papers=True, gone=True)
    require(seen.may("record that an engine left"), REFUSED)
    posted = request.POST if request.method == "POST" else None
    initial = {"version": seen.engine.version, "gone_on": seen.on}
    form: GoneForm | BackForm
    if seen.engine.gone_on is None:
        form = GoneForm(posted, initial=initial, on=seen.on)
    else:
        form = BackForm(posted, initial=initial)
    tried = try_saving(form, _save(seen, form)) if posted is not None else NOT_TRIED
    if posted is not None and tried.saved:
        messages.success(request, "Recorded.")
        return go_to(request, seen.engine.get_absolute_url())
    context = {"engine": seen.engine, "form": form, "differences": tried.differences}
    return answer(request, "engines/left.html", context, status=tried.status)


def _save(seen: Visit, form: GoneForm | BackForm) -> Callable[[], object]:
    def save() -> object:
        data, doing = form.cleaned_data, doing_now(seen)
        asked = {"engine": seen.engine, "version": data["version"], "doing": doing, "mark": data["submission"]}
        if isinstance(form, GoneForm):
            return services.record_gone(on=data["gone_on"], words=data["gone_words"], **asked)
        return services.record_back(words=data["words"], **asked)

    return save
