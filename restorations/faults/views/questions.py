"""Questions between the bench and the mentors."""

from django.contrib import messages
from django.http import Http404, HttpRequest, HttpResponse
from django.utils import timezone
from django.views.decorators.http import require_POST

from restorations.faults import services
from restorations.faults.access import require
from restorations.faults.go_ahead_forms import QuestionForm, ReplyForm
from restorations.faults.models import Question
from restorations.faults.views.common import change, sheet_for, show_sheet
from restorations.faults.views.desk import change_from
from restorations.faults.views.looking import knowledge_of
from restorations.members.doing import Doing


@require_POST
def ask_mentors(request: HttpRequest, pk: int) -> HttpResponse:
    """Anybody who may see the sheet asks; whoever helps cannot ask for a go-ahead, but can ask how."""
    sheet, standing = sheet_for(request, pk)
    require(standing.may_ask_mentors, "Members who see the sheet put questions to the mentors.")
    form = QuestionForm(request.POST)
    if not form.is_valid():
        return show_sheet(request, sheet, standing, status=422, trouble=form.first_error)
    data, expanded = form.cleaned_data, knowledge_of(sheet)
    placed = expanded.checks.get(data["action"]) or expanded.remedies.get(data["action"])
    about = (placed.id, placed.name) if placed else ("", "")
    doing = Doing(standing.member, timezone.now())
    response = change(
        request, sheet, standing,
        lambda: services.ask_mentors(
            sheet=sheet, words=data["question"], action=about[0], about=about[1], doing=doing, mark=data["submission"]
        ),
    )  # fmt: skip
    messages.success(request, "Asked. The mentors find it on their desk, and you are told when it is answered.")
    return response


@require_POST
def answer_question(request: HttpRequest, pk: int) -> HttpResponse:
    related = ("sheet", "go_ahead", "asked_by", "answered_by")
    question = Question.objects.select_related(*related).filter(pk=pk).first()
    if question is None:
        raise Http404("no such question")
    sheet, standing = sheet_for(request, question.sheet_id)
    require(standing.may_answer_question(question), "It is answered by whoever it was put to.")
    form = ReplyForm(request.POST)
    if not form.is_valid():
        return show_sheet(request, sheet, standing, status=422, trouble=form.first_error)
    doing, data = Doing(standing.member, timezone.now()), form.cleaned_data
    return change_from(
        request, sheet, standing,
        lambda: services.answer_question(
            question=question, answer=data["words"], doing=doing, mark=data["submission"]
        ),
    )  # fmt: skip
