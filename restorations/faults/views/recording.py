"""Writing on a sheet: answers, things seen, notes; undoing, striking out, accepting a helper's line."""

from dataclasses import replace

from django.core.exceptions import ValidationError
from django.http import HttpRequest, HttpResponse, QueryDict
from django.utils import timezone
from django.views.decorators.http import require_http_methods, require_POST

from restorations.faults import services
from restorations.faults.access import Standing, require
from restorations.faults.drafts import NoSuchAnswer, draft_of_answer, draft_of_finding
from restorations.faults.forms import AnswerForm, FindingForm, NoteForm, StrikeForm
from restorations.faults.models import FaultSheet, Step
from restorations.faults.services.sheets import knowledge_of
from restorations.faults.services.steps import StepDraft
from restorations.faults.views.common import BUSY, change, sheet_for, show_sheet, step_for
from restorations.members.doing import Doing
from restorations.members.models import Changed
from restorations.members.requests import sent
from restorations.photos.services import take_in
from restorations.web.answers import answer, go_to
from restorations.web.fields import OnceForm

NOT_YOURS = "Work on this engine is logged by its hands, its owner, mentors, and members who help."


@require_POST
def observe(request: HttpRequest, pk: int) -> HttpResponse:
    """Something seen; what is seen without being asked for becomes part of the complaint."""
    sheet, standing = sheet_for(request, pk)
    require(standing.may_log, NOT_YOURS)
    form = FindingForm(_with_seen(request.POST), request.FILES)
    if not form.is_valid():
        return show_sheet(request, sheet, standing, status=422, trouble=form.first_error)
    data = form.cleaned_data
    expanded = knowledge_of(sheet)
    reported = request.POST.get("reported") == "yes"
    try:
        draft = draft_of_finding(expanded, form.data.get("finding", ""), data["level"], reported=reported)
    except NoSuchAnswer as error:
        return show_sheet(request, sheet, standing, status=422, trouble=str(error))
    draft = replace(draft, note=data["note"], turn_degrees=data["turn_degrees"], happened_at=data["happened_at"])
    return _write(request, sheet, standing, draft, form)


def _with_seen(posted: QueryDict) -> QueryDict:
    """A list of findings sends which and how much in one button: "leak_gland@left:1"."""
    if "seen" not in posted:
        return posted
    sent = posted.copy()
    sent["finding"], _, sent["level"] = str(posted["seen"]).rpartition(":")
    return sent


@require_POST
def record_answer(request: HttpRequest, pk: int) -> HttpResponse:
    """The answer to a check or remedy, with the parts that were moved for it."""
    sheet, standing = sheet_for(request, pk)
    require(standing.may_log, NOT_YOURS)
    expanded = knowledge_of(sheet)
    form = AnswerForm(request.POST, request.FILES, expanded=expanded)
    if not form.is_valid():
        return show_sheet(request, sheet, standing, status=422, trouble=form.first_error)
    data = form.cleaned_data
    try:
        draft = draft_of_answer(expanded, data["action"], data["answer"])
    except NoSuchAnswer as error:
        return show_sheet(request, sheet, standing, status=422, trouble=str(error))
    draft = replace(
        draft, note=data["note"], turn_degrees=data["turn_degrees"], happened_at=data["happened_at"],
        taken_off=form.parts("taken_off"), refitted=form.parts("refitted"), box=data["box"],
        prepared=form.prepared,
    )  # fmt: skip
    return _write(request, sheet, standing, draft, form)


@require_POST
def note(request: HttpRequest, pk: int) -> HttpResponse:
    sheet, standing = sheet_for(request, pk)
    require(standing.may_log, NOT_YOURS)
    form = NoteForm(request.POST, request.FILES)
    if not form.is_valid():
        return show_sheet(request, sheet, standing, status=422, trouble=form.first_error, note_form=form)
    text = form.cleaned_data["note"]
    words = text if len(text) <= 200 else text[:198].rsplit(" ", 1)[0] + " …"
    return _write(request, sheet, standing, StepDraft(kind="note", words=words, note=text), form)


def _write(
    request: HttpRequest, sheet: FaultSheet, standing: Standing, draft: StepDraft, form: OnceForm
) -> HttpResponse:
    doing = Doing(standing.member, timezone.now(), standing.logs_stand)
    mark = form.cleaned_data["submission"]

    def write() -> Step:
        photos = take_in(form.cleaned_data["photos"], sheet.engine, doing)
        return services.record_step(sheet=sheet, draft=draft, doing=doing, mark=mark, photos=photos)

    return change(request, sheet, standing, write)


@require_POST
def undo(request: HttpRequest, pk: int) -> HttpResponse:
    """One tap for one's own last line, for ten minutes; it stays readable as struck out."""
    step, sheet, standing = step_for(request, pk)
    require(step.recorded_by_id == standing.member.pk, "Only your own line can be undone. A mentor may strike it out.")
    form = OnceForm(request.POST)
    if not form.is_valid():
        return show_sheet(request, sheet, standing, status=422, trouble=form.first_error)
    mark, now = form.cleaned_data["submission"], timezone.now()
    return change(
        request, sheet, standing, lambda: services.undo_step(step=step, member=standing.member, at=now, mark=mark)
    )


@require_http_methods(["GET", "POST"])
def strike(request: HttpRequest, pk: int) -> HttpResponse:
    step, sheet, standing = step_for(request, pk)
    if standing.is_closed:
        return go_to(request, sheet.get_absolute_url())
    require(standing.may_strike(step), "A line is struck out by whoever wrote it, or by a mentor.")
    form = StrikeForm(sent(request))
    if request.method == "POST" and form.is_valid():
        try:
            services.strike_step(
                step=step, member=standing.member, reason=form.cleaned_data["reason"], at=timezone.now(),
                mark=form.cleaned_data["submission"],
            )  # fmt: skip
        except ValidationError as error:
            form.add_error(None, error)
        except Changed:
            form.add_error(None, BUSY)
        else:
            return go_to(request, sheet.get_absolute_url())
    status = 422 if form.is_bound else 200
    return answer(request, "faults/strike.html", {"form": form, "step": step, "sheet": sheet}, status=status)


@require_POST
def accept(request: HttpRequest, pk: int) -> HttpResponse:
    step, sheet, standing = step_for(request, pk)
    require(standing.may_accept, "A helper's line is accepted by one of the hands of the engine, or its owner.")
    form = OnceForm(request.POST)
    if not form.is_valid():
        return show_sheet(request, sheet, standing, status=422, trouble=form.first_error)
    mark, now = form.cleaned_data["submission"], timezone.now()
    return change(
        request, sheet, standing, lambda: services.accept_step(step=step, member=standing.member, at=now, mark=mark)
    )
