"""The committee's report: as a page, as a PDF and as a table, from one count."""

from dataclasses import dataclass
from datetime import date
from pathlib import Path

from django.http import HttpRequest, HttpResponse
from django.utils import timezone
from django.views.decorators.http import require_safe

from restorations.members.models import Club
from restorations.members.permissions import require
from restorations.members.requests import signed_in
from restorations.traffic.forms.report import PeriodForm, from_first_to_last
from restorations.traffic.report.printing import printed
from restorations.traffic.report.report import report_of
from restorations.traffic.report.tables import HEADER, rows
from restorations.web.answers import answer
from restorations.web.tables_out import csv_response
from restorations.web.typesetting import typeset

TEMPLATE = Path(__file__).parent.parent / "typesetting" / "report.typ"


@dataclass(frozen=True, slots=True)
class Quick:
    """A period that is asked for often."""

    words: str
    query: str


@require_safe
def report(request: HttpRequest) -> HttpResponse:
    """This year so far, unless another period is asked for."""
    member, today = signed_in(request), timezone.localdate()
    require(member, "see the office")
    asked = {name: request.GET[name] for name in ("first", "last") if name in request.GET}
    start = {"first": date(today.year, 1, 1), "last": today}
    form = PeriodForm({**{name: day.isoformat() for name, day in start.items()}, **asked})
    if not form.is_valid():
        context = {"form": form, "quick": _quick(today)}
        return answer(request, "traffic/report.html", context, status=422)
    found = report_of(form.period, today=today)
    name = f"report {found.period.start} {found.period.last}"
    if request.GET.get("as") == "csv":
        return csv_response(name, HEADER, rows(found))
    if request.GET.get("as") == "pdf":
        document = typeset(TEMPLATE, printed(found, club=str(Club.current()), by=str(member), today=today))
        headers = {"Content-Disposition": f'inline; filename="{name.replace(" ", "-")}.pdf"'}
        return HttpResponse(document, content_type="application/pdf", headers=headers)
    context = {"form": form, "report": found, "quick": _quick(today), "query": _query(form)}
    return answer(request, "traffic/report.html", context)


def _query(form: PeriodForm) -> str:
    return f"first={form.cleaned_data['first']}&last={form.cleaned_data['last']}"


def _quick(today: date) -> list[Quick]:
    """The year so far, the year before, the last whole month."""
    month_end = date.fromordinal(today.replace(day=1).toordinal() - 1)
    spans = {
        "This year so far": from_first_to_last(date(today.year, 1, 1), today),
        "Last year": from_first_to_last(date(today.year - 1, 1, 1), date(today.year - 1, 12, 31)),
        f"{month_end:%B}": from_first_to_last(month_end.replace(day=1), month_end),
    }
    return [Quick(words, f"first={span.start}&last={span.last}") for words, span in spans.items()]
