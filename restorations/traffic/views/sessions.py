"""Test sessions: the list, asking, booking, how each went."""

from typing import Any

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404
from django.utils import timezone
from django.views.decorators.http import require_http_methods

from restorations.engines.access import may as may_on
from restorations.engines.access import require as require_so
from restorations.engines.models import Engine
from restorations.members.models import Act, Member
from restorations.members.permissions import may, require
from restorations.members.requests import sent, signed_in, try_once, try_saving
from restorations.traffic.forms.sessions import AskForTestForm, BookForm, OutcomeOfTestForm
from restorations.traffic.models import BoilerTestSession
from restorations.traffic.services import sessions as services
from restorations.traffic.views.running import doing_now
from restorations.web.answers import answer, go_to
from restorations.web.tables_out import Table, taken_out

BOOK = "book a test session"
ASK_REFUSED = "A test session is asked for by the engine's hands, its owner, a mentor or the secretary."
MOST_OVER = 60


@require_http_methods(["GET", "HEAD", "POST"])
def test_sessions(request: HttpRequest) -> HttpResponse:
    member, on = signed_in(request), timezone.localdate()
    engines = Engine.objects.visible_to(member, on=on).still_here()
    form = AskForTestForm(sent(request), engines=engines, initial={"engine": request.GET.get("engine", "")[:18]})
    made: list[BoilerTestSession] = []
    if request.method == "POST" and try_once(form, lambda: made.append(_asked(form, member))):
        messages.success(request, "Asked for. Inspector and secretary are told.")
        return go_to(request, made[0].get_absolute_url())
    rows = list(BoilerTestSession.objects.visible_to(member, on=on).select_related("engine", "inspector").in_order())
    table = taken_out(request, SESSIONS, rows)
    if table is not None:
        return table
    over = [row for row in reversed(rows) if row.outcome]
    context = {"form": form, "ahead": [row for row in rows if not row.outcome], "over": over[:MOST_OVER], "today": on}
    return answer(request, "traffic/test_sessions.html", context, status=422 if form.is_bound else 200)


def _asked(form: AskForTestForm, member: Member) -> BoilerTestSession:
    engine = form.cleaned_data["engine"]
    require_so(may_on(member, "ask for a test session", engine, on=timezone.localdate()), ASK_REFUSED)
    return services.ask_for_test(
        engine=engine, test=form.cleaned_data["test"], words=form.cleaned_data["words"], doing=doing_now(member),
        mark=form.cleaned_data["submission"],
    )  # fmt: skip


SESSIONS = Table("test sessions", (
    ("Engine", lambda row: row.engine),
    ("Test", lambda row: row.get_test_display()),
    ("Day", lambda row: row.on),
    ("Inspector", lambda row: row.who_tests),
    ("Witness", lambda row: row.witness),
    ("How it went", lambda row: row.get_outcome_display()),
    ("In words", lambda row: row.outcome_words),
))  # fmt: skip


@require_http_methods(["GET", "HEAD"])
def test_session(request: HttpRequest, pk: int) -> HttpResponse:
    return _shown(request, _visible(request, pk))


def _visible(request: HttpRequest, pk: int) -> BoilerTestSession:
    rows = BoilerTestSession.objects.visible_to(signed_in(request), on=timezone.localdate())
    return get_object_or_404(rows.select_related("engine__owner_member", "inspector", "asked_by"), pk=pk)


@require_http_methods(["POST"])
def book(request: HttpRequest, pk: int) -> HttpResponse:
    member, row = signed_in(request), _visible(request, pk)
    require(member, BOOK)
    form = BookForm(request.POST, auto_id="id_book_%s")
    tried = try_saving(
        form,
        lambda: services.book(
            row=row, version=form.cleaned_data["version"], booking=form.booking(), doing=doing_now(member),
            mark=form.cleaned_data["submission"],
        ),
    )  # fmt: skip
    if not tried.saved:
        return _shown(request, row, status=tried.status, book_form=form, differences=tried.differences)
    messages.success(request, "Booked. Those it concerns are told.")
    return go_to(request, row.get_absolute_url())


@require_http_methods(["POST"])
def outcome(request: HttpRequest, pk: int) -> HttpResponse:
    member, row = signed_in(request), _visible(request, pk)
    require(member, BOOK)
    expected = services.expected_at(row, timezone.localdate())
    form = OutcomeOfTestForm(request.POST, expected=expected, auto_id="id_went_%s")
    saved = try_once(
        form,
        lambda: services.record_outcome(
            row=row, outcome=form.result(), doing=doing_now(member), mark=form.cleaned_data["submission"]
        ),
    )
    if not saved:
        return _shown(request, row, status=422, outcome_form=form)
    messages.success(request, "Recorded.")
    return go_to(request, row.get_absolute_url())


def _shown(request: HttpRequest, row: BoilerTestSession, *, status: int = 200, **tried: Any) -> HttpResponse:
    member, on = signed_in(request), timezone.localdate()
    books = may(member, BOOK) and not row.outcome
    expected = services.expected_at(row, on)
    context = {
        "session": row, "expected": expected, "came": row.came.all(), "missed": row.missed.all(), "differences": None,
        "book_form": BookForm(initial=BookForm.said_of(row), auto_id="id_book_%s") if books else None,
        "outcome_form": OutcomeOfTestForm(expected=expected, auto_id="id_went_%s") if books else None,
        "acts": Act.objects.about(row).select_related("member")[:20],
        **tried,
    }  # fmt: skip
    return answer(request, "traffic/test_session.html", context, status=status)
