"""Papers that lapse, and the owner's consent to what cannot be undone."""

from typing import Any

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404
from django.urls import reverse
from django.views.decorators.http import require_http_methods, require_POST

from restorations.engines import services
from restorations.engines.access import is_own_boiler, kinds_to_record, require, speaks_for_owner
from restorations.engines.facts import boilers_stopped, certificates_allow_steam, steps_that_need_consent
from restorations.engines.forms import CertificateForm, ConsentForm, StrikeForm
from restorations.engines.models import Certificate
from restorations.engines.models.papers import BOILER_PAPERS
from restorations.engines.showing import standing
from restorations.engines.views.visits import Visit, lines, strike_ids, try_once, visit
from restorations.web.answers import answer, go_to
from restorations.web.tables_out import Table, taken_out

PAPERS = Table("papers", (
    ("Paper", Certificate.get_kind_display),
    ("Passed or issued on", lambda row: row.passed_on),
    ("Good until", lambda row: row.lapses_on),
    ("Inspector or office", lambda row: row.by_whom),
    ("Number", lambda row: row.number),
    ("Recorded by", lambda row: row.recorded_by),
    ("Struck out because", lambda row: row.struck_reason),
))  # fmt: skip
OWN_BOILER = "Nobody passes a boiler that they own or work on, or have worked on. Another inspector has to."
PAPERS_REFUSED = "Boiler papers are recorded by the inspector, other papers by the secretary or the owner as well."
CONSENT_REFUSED = (
    "The owner consents; for the club's engines the secretary does; "
    "for an owner from outside a mentor writes down what was said."
)


def _kinds_for(seen: Visit) -> list[str]:
    return kinds_to_record(seen.member, seen.engine, seen.on)


def _certificate_form(seen: Visit, kinds: list[str], data: Any = None) -> CertificateForm:
    initial = {"by_whom": seen.member.full_name if seen.member.is_inspector else ""}
    return CertificateForm(data, kinds=kinds, on=seen.on, initial=initial)


@require_http_methods(["GET", "HEAD", "POST"])
def papers(request: HttpRequest, pk: int) -> HttpResponse:
    seen = visit(request, pk, papers=True)
    if request.method != "POST":
        every = seen.engine.certificates.select_related("recorded_by", "struck_by")
        return taken_out(request, PAPERS, every) or _papers_shown(request, seen)
    kinds = _kinds_for(seen)
    require(bool(kinds), PAPERS_REFUSED)
    require(request.POST.get("kind") not in BOILER_PAPERS.difference(kinds), _why_not(seen))
    form = _certificate_form(seen, kinds, request.POST)
    saved = try_once(
        form,
        lambda: services.record_certificate(
            engine=seen.engine, member=seen.member, mark=form.cleaned_data["submission"], paper=form.paper()
        ),
    )
    if not saved:
        return _papers_shown(request, seen, status=422, form=form)
    messages.success(request, "Recorded.")
    return go_to(request, reverse("engines:papers", args=[seen.engine.pk]))


@require_POST
def strike_certificate(request: HttpRequest, pk: int, entry: int) -> HttpResponse:
    seen = visit(request, pk, papers=True)
    row = get_object_or_404(seen.engine.certificates, pk=entry)
    require(_may_strike(seen, row), PAPERS_REFUSED)
    form = StrikeForm(request.POST, auto_id=strike_ids(row.pk))
    saved = try_once(
        form, lambda: services.strike_certificate(row=row, member=seen.member, reason=form.cleaned_data["reason"])
    )
    if not saved:
        return _papers_shown(request, seen, status=422, tried_strike=(row.pk, form))
    messages.success(request, "Struck out; it stays readable and opens no gate.")
    return go_to(request, reverse("engines:papers", args=[seen.engine.pk]))


def _may_strike(seen: Visit, row: Certificate) -> bool:
    """Withdrawing a paper only makes things safer, so an inspector may do it for the own boiler too."""
    if row.kind in BOILER_PAPERS:
        return seen.may("record a certificate")
    return seen.may("record another paper")


def _why_not(seen: Visit) -> str:
    return OWN_BOILER if seen.may("record a certificate") else PAPERS_REFUSED


def _papers_shown(request: HttpRequest, seen: Visit, *, status: int = 200, **tried: Any) -> HttpResponse:
    kinds = _kinds_for(seen)
    rows = seen.engine.certificates.select_related("recorded_by", "struck_by")
    marked = lines(rows, may_strike=lambda row: _may_strike(seen, row), tried=tried.get("tried_strike"))
    barred = seen.may("record a certificate") and is_own_boiler(seen.member, seen.engine, seen.on)
    context = {
        "engine": seen.engine,
        "lines": [(line, standing(line.row, on=seen.on)) for line in marked],
        "steam_allowed": certificates_allow_steam(seen.engine, seen.on),
        "boiler_stopped": bool(boilers_stopped([seen.engine.pk], seen.on)),
        "form": (tried.get("form") or _certificate_form(seen, kinds)) if kinds else None,
        "barred": OWN_BOILER if barred else "",
    }
    return answer(request, "engines/papers.html", context, fragment="engines/_papers_desk.html", status=status)


@require_http_methods(["GET", "HEAD", "POST"])
def consents(request: HttpRequest, pk: int) -> HttpResponse:
    seen = visit(request, pk, papers=True)
    if request.method != "POST":
        return _consents_shown(request, seen)
    require(speaks_for_owner(seen.engine, seen.places), CONSENT_REFUSED)
    form = _consent_form(seen, request.POST)
    saved = try_once(
        form,
        lambda: services.record_consent(
            engine=seen.engine, member=seen.member, mark=form.cleaned_data["submission"], consent=form.consent()
        ),
    )
    if not saved:
        return _consents_shown(request, seen, status=422, form=form)
    messages.success(request, "The consent is recorded.")
    return go_to(request, reverse("engines:consents", args=[seen.engine.pk]))


def _consent_form(seen: Visit, data: Any = None, action: str = "") -> ConsentForm:
    actions = steps_that_need_consent(seen.engine)
    owner = seen.member.full_name if seen.engine.owner_member_id else ""
    initial = {"on": seen.on, "action": action, "what": actions.get(action, ""), "given_by": seen.engine.owner_name}
    return ConsentForm(data, actions=actions.items(), on=seen.on, owner=owner, initial=initial)


@require_POST
def strike_consent(request: HttpRequest, pk: int, entry: int) -> HttpResponse:
    seen = visit(request, pk, papers=True)
    row = get_object_or_404(seen.engine.consents, pk=entry)
    require(speaks_for_owner(seen.engine, seen.places), CONSENT_REFUSED)
    form = StrikeForm(request.POST, auto_id=strike_ids(row.pk))
    saved = try_once(
        form, lambda: services.strike_consent(row=row, member=seen.member, reason=form.cleaned_data["reason"])
    )
    if not saved:
        return _consents_shown(request, seen, status=422, tried_strike=(row.pk, form))
    messages.success(request, "Struck out; it stays readable and allows nothing.")
    return go_to(request, reverse("engines:consents", args=[seen.engine.pk]))


def _consents_shown(request: HttpRequest, seen: Visit, *, status: int = 200, **tried: Any) -> HttpResponse:
    speaks = speaks_for_owner(seen.engine, seen.places)
    rows = seen.engine.consents.select_related("recorded_by", "struck_by")
    context = {
        "engine": seen.engine,
        "lines": lines(rows, may_strike=lambda row: speaks, tried=tried.get("tried_strike")),
        "form": (tried.get("form") or _consent_form(seen, action=request.GET.get("action", ""))) if speaks else None,
        "refused": CONSENT_REFUSED,
        "asked": seen.engine.consent_requests.select_related("asked_by").order_by("-pk")[:10],
    }
    return answer(request, "engines/consents.html", context, fragment="engines/_consents_desk.html", status=status)
