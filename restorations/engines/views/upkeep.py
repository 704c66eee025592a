"""The oil chart and the fastenings table of an engine, and the notes on a design."""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.views.decorators.http import require_http_methods, require_POST

from restorations.engines import services
from restorations.engines.access import may_note_design, require
from restorations.engines.forms import DesignNoteForm, FasteningForm, OilPointForm, StrikeForm
from restorations.engines.forms.upkeep import UpkeepForm
from restorations.engines.models import Design, DesignNote, Fastening, OilPoint
from restorations.engines.models.upkeep import HOW_OFTEN, UpkeepRow
from restorations.engines.views.visits import Visit, lines, strike_ids, try_once, visit
from restorations.members.models import Member
from restorations.members.permissions import may
from restorations.members.requests import NOT_TRIED, sent, signed_in, try_saving
from restorations.web.answers import answer


@dataclass(frozen=True, slots=True)
class Table:
    """One of the two tables: its rows, form and words."""

    model: type[Any]
    form: type[UpkeepForm]
    stem: str
    title: str


OIL_CHART = Table(OilPoint, OilPointForm, "oil_chart", "Oil chart")
FASTENINGS = Table(Fastening, FasteningForm, "fastenings", "Fastenings")
_OFTEN = list(HOW_OFTEN)


@require_http_methods(["GET", "HEAD", "POST"])
def table(request: HttpRequest, pk: int, kind: Table) -> HttpResponse:
    seen = visit(request, pk)
    if request.method != "POST":
        return _table_shown(request, seen, kind)
    seen.require_change()
    form = kind.form(request.POST)
    saved = try_once(
        form,
        lambda: services.add_upkeep_row(
            kind=kind.model, engine=seen.engine, member=seen.member, mark=form.cleaned_data["submission"],
            columns=form.columns(),
        ),
    )  # fmt: skip
    if not saved:
        return _table_shown(request, seen, kind, status=422, form=form)
    messages.success(request, "Written down.")
    return redirect(f"engines:{kind.stem}", seen.engine.pk)


@require_http_methods(["GET", "HEAD", "POST"])
def change(request: HttpRequest, pk: int, entry: int, kind: Table) -> HttpResponse:
    seen = visit(request, pk)
    seen.require_change()
    row = get_object_or_404(kind.model.objects.not_struck(), engine=seen.engine, pk=entry)
    form = kind.form(sent(request), initial=kind.form.said_of(row))
    tried = NOT_TRIED
    if request.method == "POST":
        tried = try_saving(form, lambda: _save(form, row, seen.member))
        if tried.saved:
            messages.success(request, "Saved.")
            return redirect(f"engines:{kind.stem}", seen.engine.pk)
    context = {
        "engine": seen.engine, "form": form, "title": kind.title, "row": row, "differences": tried.differences,
        "back": f"engines:{kind.stem}",
    }  # fmt: skip
    return render(request, "engines/upkeep_line.html", context, status=tried.status)


def _save(form: UpkeepForm, row: UpkeepRow, member: Member) -> None:
    data = form.cleaned_data
    services.change_upkeep_row(
        row=row, member=member, mark=data["submission"], version=data["version"], columns=form.columns()
    )


@require_POST
def strike(request: HttpRequest, pk: int, entry: int, kind: Table) -> HttpResponse:
    seen = visit(request, pk)
    seen.require_change()
    row = get_object_or_404(kind.model, engine=seen.engine, pk=entry)
    form = StrikeForm(request.POST, auto_id=strike_ids(row.pk))
    saved = try_once(
        form, lambda: services.strike_upkeep_row(row=row, member=seen.member, reason=form.cleaned_data["reason"])
    )
    if not saved:
        return _table_shown(request, seen, kind, status=422, tried_strike=(row.pk, form))
    messages.success(request, "Struck out; it stays readable.")
    return redirect(f"engines:{kind.stem}", seen.engine.pk)


def _table_shown(request: HttpRequest, seen: Visit, kind: Table, *, status: int = 200, **tried: Any) -> HttpResponse:
    rows = kind.model.objects.filter(engine=seen.engine).select_related("made_by", "struck_by")
    may_change = seen.may("change an engine")
    marked = lines(_sorted(rows), may_strike=lambda row: may_change, tried=tried.get("tried_strike"))
    context = {
        "engine": seen.engine,
        "title": kind.title,
        "lines": [line for line in marked if not line.row.is_struck],
        "struck": [line.row for line in marked if line.row.is_struck],
        "form": (tried.get("form") or kind.form(initial=kind.form.said_of(None))) if may_change else None,
        "change": f"engines:change_{kind.stem}",
        "strike": f"engines:strike_{kind.stem}",
        "today": seen.on,
    }
    return answer(request, f"engines/{kind.stem}.html", context, status=status)


def _sorted(rows: Any) -> Sequence[Any]:
    """The oil chart in the order it is gone round: before each run first."""
    return sorted(rows, key=lambda row: _OFTEN.index(row.how_often) if isinstance(row, OilPoint) else 0)


@require_http_methods(["GET", "HEAD", "POST"])
def design_notes(request: HttpRequest, pk: int) -> HttpResponse:
    member, design = signed_in(request), get_object_or_404(Design, pk=pk)
    if request.method != "POST":
        return _notes_shown(request, member, design)
    require(_may_note(member, design), "Notes on a design are written by those who work on one, and by mentors.")
    form = DesignNoteForm(request.POST)
    saved = try_once(
        form,
        lambda: services.add_design_note(
            design=design, member=member, mark=form.cleaned_data["submission"],
            kind=form.cleaned_data["kind"], text=form.cleaned_data["text"],
        ),
    )  # fmt: skip
    if not saved:
        return _notes_shown(request, member, design, status=422, form=form)
    messages.success(request, "Written down.")
    return redirect("engines:design_notes", design.pk)


@require_POST
def strike_design_note(request: HttpRequest, pk: int, entry: int) -> HttpResponse:
    member, row = signed_in(request), get_object_or_404(DesignNote, design=pk, pk=entry)
    require(_may_strike_note(member, row), "Struck out by whoever wrote it down, or by a mentor.")
    form = StrikeForm(request.POST, auto_id=strike_ids(row.pk))
    saved = try_once(
        form, lambda: services.strike_design_note(row=row, member=member, reason=form.cleaned_data["reason"])
    )
    if not saved:
        return _notes_shown(request, member, row.design, status=422, tried_strike=(row.pk, form))
    messages.success(request, "Struck out; it stays readable.")
    return redirect("engines:design_notes", pk)


def _may_note(member: Member, design: Design) -> bool:
    return may_note_design(member, design, on=timezone.localdate())


def _may_strike_note(member: Member, row: DesignNote) -> bool:
    return row.written_by_id == member.pk or may(member, "strike out another's entry")


def _notes_shown(
    request: HttpRequest, member: Member, design: Design, *, status: int = 200, **tried: Any
) -> HttpResponse:
    rows = design.design_notes.select_related("written_by", "struck_by")
    context = {
        "design": design,
        "lines": lines(rows, may_strike=lambda row: _may_strike_note(member, row), tried=tried.get("tried_strike")),
        "form": (tried.get("form") or DesignNoteForm()) if _may_note(member, design) else None,
    }
    return answer(request, "engines/design_notes.html", context, status=status)
