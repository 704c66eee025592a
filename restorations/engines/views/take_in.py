"""Writing the take-in sheet, signing it, and adding what is found later. The page that shows it stands in home."""

from typing import Any

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.utils import timezone
from django.views.decorators.http import require_http_methods, require_POST

from restorations.engines import services
from restorations.engines.access import require
from restorations.engines.forms import LaterFindingForm, SignForm, StrikeForm, TakeInForm
from restorations.engines.models import LaterFinding, TakeIn
from restorations.engines.showing import take_in_pieces
from restorations.engines.views.visits import Visit, lines, strike_ids, try_once, visit
from restorations.members.requests import NOT_TRIED, sent, try_saving
from restorations.web.answers import answer, go_to


def _sheet(seen: Visit) -> TakeIn | None:
    sheet: TakeIn | None = TakeIn.objects.filter(engine=seen.engine).first()
    return sheet


def _to_sheet(request: HttpRequest, seen: Visit) -> HttpResponse:
    return go_to(request, reverse("home:taking_in", args=[seen.engine.pk]))


@require_http_methods(["GET", "HEAD", "POST"])
def write(request: HttpRequest, pk: int) -> HttpResponse:
    seen = visit(request, pk)
    seen.require_change()
    sheet = _sheet(seen)
    if sheet is not None and sheet.is_frozen and request.method != "POST":
        messages.info(request, "Both have signed this sheet; what was found since is added below it.")
        return _to_sheet(request, seen)
    form = TakeInForm(sent(request), initial=TakeInForm.said_of(sheet), on=seen.on)
    tried = NOT_TRIED
    if request.method == "POST":
        tried = try_saving(form, lambda: _save(form, seen))
        if tried.saved:
            messages.success(request, "Saved.")
            return _to_sheet(request, seen)
    signed = sheet is not None and bool(sheet.holding_signatures())
    context = {"form": form, "engine": seen.engine, "differences": tried.differences, "signed": signed}
    return render(request, "engines/take_in.html", context, status=tried.status)


def _save(form: TakeInForm, seen: Visit) -> TakeIn:
    data = form.cleaned_data
    return services.write_take_in(
        engine=seen.engine, member=seen.member, mark=data["submission"], version=data["version"], facts=form.facts()
    )


@require_http_methods(["GET", "HEAD", "POST"])
def sign(request: HttpRequest, pk: int) -> HttpResponse:
    """The sheet once more, and a place to sign for each of the two."""
    seen = visit(request, pk)
    seen.require_change()
    sheet = get_object_or_404(TakeIn, engine=seen.engine)
    if request.method != "POST":
        return _sign_shown(request, seen, sheet)
    form = SignForm(request.POST)
    if not try_once(form, lambda: _sign(form, sheet, seen)):
        return _sign_shown(request, seen, sheet, form)
    messages.success(request, "Signed.")
    return _to_sheet(request, seen)


def _sign(form: SignForm, sheet: TakeIn, seen: Visit) -> None:
    data = form.cleaned_data
    own_name = seen.member.full_name
    name = own_name if data["sign"] == "took_in" else data["name"]
    signing = services.Signing(
        sign=data["sign"], version=data["version"], name=name, own=name.casefold() == own_name.casefold()
    )
    services.sign_take_in(sheet=sheet, member=seen.member, mark=data["submission"], signing=signing, at=timezone.now())


def _sign_shown(request: HttpRequest, seen: Visit, sheet: TakeIn, tried: SignForm | None = None) -> HttpResponse:
    def form(sign: str, **initial: Any) -> SignForm:
        if tried is not None and tried.data.get("sign") == sign:
            return tried
        return SignForm(initial={"sign": sign, "version": sheet.version, **initial}, auto_id=f"id_{sign}_%s")

    owns = seen.engine.owner_member_id == seen.member.pk
    context = {
        **take_in_pieces(seen.engine, sheet),
        "took_in_form": form("took_in"),
        "brought_form": form("brought", name=seen.member.full_name if owns else sheet.brought_by),
        "told": tried,
    }
    return render(request, "engines/sign_take_in.html", context, status=422 if tried else 200)


@require_http_methods(["GET", "HEAD", "POST"])
def later(request: HttpRequest, pk: int) -> HttpResponse:
    seen = visit(request, pk)
    sheet = get_object_or_404(TakeIn, engine=seen.engine)
    if request.method != "POST":
        return _later_shown(request, seen, sheet)
    seen.require_change()
    form = LaterFindingForm(request.POST, on=seen.on)
    saved = try_once(
        form,
        lambda: services.add_later_finding(
            sheet=sheet, member=seen.member, mark=form.cleaned_data["submission"],
            text=form.cleaned_data["text"], found_on=form.cleaned_data["found_on"],
        ),
    )  # fmt: skip
    if not saved:
        return _later_shown(request, seen, sheet, status=422, form=form)
    messages.success(request, "Added, with its date.")
    return redirect("engines:later_findings", seen.engine.pk)


@require_POST
def strike_later(request: HttpRequest, pk: int, entry: int) -> HttpResponse:
    seen = visit(request, pk)
    row = get_object_or_404(LaterFinding, take_in__engine=seen.engine, pk=entry)
    require(_may_strike(seen, row), "Struck out by whoever wrote it down, or by a mentor.")
    form = StrikeForm(request.POST, auto_id=strike_ids(row.pk))
    saved = try_once(
        form, lambda: services.strike_later_finding(row=row, member=seen.member, reason=form.cleaned_data["reason"])
    )
    if not saved:
        return _later_shown(request, seen, row.take_in, status=422, tried_strike=(row.pk, form))
    messages.success(request, "Struck out; it stays readable.")
    return redirect("engines:later_findings", seen.engine.pk)


def _may_strike(seen: Visit, row: LaterFinding) -> bool:
    own = row.noted_by_id == seen.member.pk and seen.may("change an engine")
    return own or seen.may("strike out another's entry")


def _later_shown(request: HttpRequest, seen: Visit, sheet: TakeIn, *, status: int = 200, **tried: Any) -> HttpResponse:
    rows = sheet.later_findings.select_related("noted_by", "struck_by")
    context = {
        "engine": seen.engine,
        "lines": lines(rows, may_strike=lambda row: _may_strike(seen, row), tried=tried.get("tried_strike")),
        "form": (tried.get("form") or LaterFindingForm(on=seen.on)) if seen.may("change an engine") else None,
    }
    return answer(request, "engines/later_findings.html", context, status=status)
