"""Proposing what it was, closing the sheet, signing it off, opening it again."""

from collections.abc import Callable
from typing import Any

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.http import Http404, HttpRequest, HttpResponse
from django.utils import timezone
from django.views.decorators.http import require_GET, require_http_methods, require_POST

from restorations.faults import services
from restorations.faults.access import Standing, require
from restorations.faults.candidates import Candidate, candidates
from restorations.faults.closing import bars_of
from restorations.faults.concluded import concluded, show
from restorations.faults.conclusion_forms import VERDICT, ConcludeForm, ReopenForm, SignOffForm, WithdrawForm
from restorations.faults.knowing import in_force
from restorations.faults.models import Conclusion, FaultSheet
from restorations.faults.services.conclusions import Reading, drafted, read_sheet
from restorations.faults.signing import act_of_signing, signature_of
from restorations.faults.views.common import BUSY, sheet_for, was_dealt_with
from restorations.members.doing import Doing
from restorations.members.models import Changed
from restorations.members.permissions import allowed
from restorations.members.requests import sent, signed_in
from restorations.web.answers import answer, go_to
from restorations.web.fields import OnceForm

CHANGED = "Something was written on the sheet while you were at this form: read it below, then send it again."
WHO_PROPOSES = "What it was is proposed by the hands of the engine, its owner or a mentor."
WHO_REOPENS = "A mentor opens a closed sheet again. What came up since belongs on a new one."
WHO_CLOSES = "A mentor closes a fault sheet. Propose what it was; the mentors are told."


@require_http_methods(["GET", "POST"])
def conclude(request: HttpRequest, pk: int) -> HttpResponse:
    """What was found and cured, prefilled from the sheet; what is still missing is named above."""
    sheet, standing = sheet_for(request, pk)
    if standing.is_closed:
        return go_to(request, sheet.get_absolute_url())
    require(standing.may_propose, WHO_PROPOSES)
    reading = read_sheet(sheet)
    form = _form(request, reading)
    if request.method != "POST" or request.POST.get("add"):
        return _show(request, reading, standing, form)
    closes = request.POST.get("act") == "close"
    require(standing.may_close or not closes, WHO_CLOSES)
    if not form.is_valid():
        return _show(request, reading, standing, form, status=422)
    try:
        _conclude(request, sheet, form, standing, closes=closes)
    except Changed:
        fresh, _ = sheet_for(request, pk)
        form.add_error(None, CHANGED)
        return _show(request, read_sheet(fresh), standing, form, status=409)
    except ValidationError as error:
        form.add_error(None, error)
        return _show(request, reading, standing, form, status=422)
    messages.success(request, "Closed. It waits for a sign-off." if closes else "Proposed. The mentors are told.")
    return go_to(request, sheet.get_absolute_url())


def _conclude(request: HttpRequest, sheet: FaultSheet, form: ConcludeForm, standing: Standing, *, closes: bool) -> None:
    doing, mark = Doing(standing.member, timezone.now()), form.cleaned_data["submission"]
    if closes:
        version = request.POST.get("version", "")
        services.close_sheet(
            sheet=sheet, draft=form.draft(), doing=doing, mark=mark,
            version=int(version) if version.isdecimal() and len(version) < 10 else 0,
        )  # fmt: skip
    else:
        services.propose_conclusion(sheet=sheet, draft=form.draft(), doing=doing, mark=mark)


def _form(request: HttpRequest, reading: Reading) -> ConcludeForm:
    """What the sheet offers, and whatever was on the form that was sent; adding one more is no sending yet."""
    proposal = reading.sheet.conclusions.proposed().prefetch_related("causes").first()
    said = drafted(proposal) if proposal is not None else None
    offered = candidates(reading.steps, reading.snapshot, reading.expanded, said.causes if said else ())
    offered |= _also(request, reading, offered)
    initial = {"outcome": _outcome(offered)} if said is None else _initial(said)
    if request.POST.get("add"):
        typed = {key: value for key, value in request.POST.items() if key != "another"}
        return ConcludeForm(None, offered=offered, expanded=reading.expanded, initial={**initial, **typed})
    return ConcludeForm(sent(request), offered=offered, expanded=reading.expanded, initial=initial)


def _initial(said: Any) -> dict[str, str]:
    return {"outcome": said.outcome, "words": said.words, "regardless": said.regardless}


def _outcome(offered: dict[str, Candidate]) -> str:
    return "found" if any(one.verdict.startswith("cause.") for one in offered.values()) else ""


def _also(request: HttpRequest, reading: Reading, offered: dict[str, Candidate]) -> dict[str, Candidate]:
    """Causes that somebody put on the list by hand."""
    sent_names = [name.removeprefix(VERDICT) for name in request.POST if name.startswith(VERDICT)]
    wanted = [*sent_names, request.POST.get("another", "")]
    causes = reading.expanded.causes
    return {
        name: Candidate(name, causes[name].name, "Put on the list by hand.")
        for name in wanted
        if name in causes and name not in offered
    }


def _show(
    request: HttpRequest, reading: Reading, standing: Standing, form: ConcludeForm, *, status: int = 200
) -> HttpResponse:
    sheet = reading.sheet
    bars = bars_of(sheet, reading.steps, reading.expanded)
    context = {
        "sheet": sheet, "form": form, "standing": standing, "steps": reading.steps,
        "first": [bar for bar in bars if not bar.yields], "yielding": [bar for bar in bars if bar.yields],
        "proposed": concluded(sheet, in_force(sheet.engine)).proposed,
    }  # fmt: skip
    return answer(request, "faults/conclude.html", context, status=status)


def _conclusion_for(request: HttpRequest, pk: int) -> tuple[Conclusion, Standing]:
    rows = Conclusion.objects.select_related("concluded_by", "closed_by", "reopened_by", "struck_by")
    row = rows.prefetch_related("causes__step", "sign_offs__by").filter(pk=pk).first()
    if row is None:
        raise Http404("no such conclusion")
    row.sheet, standing = sheet_for(request, row.sheet_id, even_closed=True)
    return row, standing


def may_reopen(conclusion: Conclusion, standing: Standing) -> bool:
    """A mentor; of boiler work the inspector as well."""
    acts = ("open a fault sheet again", act_of_signing(conclusion))
    return conclusion.is_in_force and any(allowed(act, standing.places) for act in acts)


def may_withdraw(conclusion: Conclusion, standing: Standing) -> bool:
    own = conclusion.concluded_by_id == standing.member.pk
    return conclusion.is_proposed and not standing.is_closed and (own or standing.may_close)


@require_GET
def conclusion(request: HttpRequest, pk: int) -> HttpResponse:
    row, standing = _conclusion_for(request, pk)
    return _show_conclusion(request, row, standing)


def _show_conclusion(
    request: HttpRequest, row: Conclusion, standing: Standing, *, status: int = 200, **forms: Any
) -> HttpResponse:
    on = timezone.localdate()
    context = {
        "shown": show(row, in_force(row.sheet.engine)), "sheet": row.sheet, "standing": standing,
        "may_sign": row.is_in_force and bool(signature_of(standing.member, row, on=on)),
        "may_reopen": may_reopen(row, standing), "may_withdraw": may_withdraw(row, standing),
        "sign_form": SignOffForm(), "reopen_form": ReopenForm(), "withdraw_form": WithdrawForm(), **forms,
    }  # fmt: skip
    return answer(request, "faults/conclusion.html", context, status=status)


def _do(
    request: HttpRequest, row: Conclusion, standing: Standing, form: OnceForm, name: str, act: Callable[[], object]
) -> HttpResponse:
    """One act on a conclusion; what cannot be done is said beside its form, which keeps what was typed."""
    status = 422
    if form.is_valid():
        try:
            act()
        except ValidationError as error:
            form.add_error(None, error)
        except Changed:
            form.add_error(None, BUSY)
            status = 409
        else:
            return go_to(request, row.sheet.get_absolute_url())
    return _show_conclusion(request, row, standing, status=status, **{name: form})


@require_POST
def sign(request: HttpRequest, pk: int) -> HttpResponse:
    row, standing = _conclusion_for(request, pk)
    may = bool(signature_of(standing.member, row, on=timezone.localdate()))
    require(may or was_dealt_with(request), services.OWN_WORK)
    form = SignOffForm(request.POST)
    return _do(
        request, row, standing, form, "sign_form",
        lambda: services.sign_off(
            conclusion=row, words=form.cleaned_data["words"], doing=_doing(request),
            mark=form.cleaned_data["submission"],
        ),
    )  # fmt: skip


@require_POST
def reopen(request: HttpRequest, pk: int) -> HttpResponse:
    row, standing = _conclusion_for(request, pk)
    require(may_reopen(row, standing) or was_dealt_with(request), WHO_REOPENS)
    form = ReopenForm(request.POST)
    return _do(
        request, row, standing, form, "reopen_form",
        lambda: services.reopen_sheet(
            conclusion=row, reason=form.cleaned_data["reason"], doing=_doing(request),
            mark=form.cleaned_data["submission"],
        ),
    )  # fmt: skip


@require_POST
def withdraw(request: HttpRequest, pk: int) -> HttpResponse:
    row, standing = _conclusion_for(request, pk)
    require(
        may_withdraw(row, standing) or was_dealt_with(request),
        "A proposal is withdrawn by whoever made it, or by a mentor.",
    )
    form = WithdrawForm(request.POST)
    return _do(
        request, row, standing, form, "withdraw_form",
        lambda: services.withdraw_proposal(
            conclusion=row, reason=form.cleaned_data["reason"], doing=_doing(request),
            mark=form.cleaned_data["submission"],
        ),
    )  # fmt: skip


def _doing(request: HttpRequest) -> Doing:
    return Doing(signed_in(request), timezone.now())
