"""What is proposed and what the club holds; beginning, editing and showing a change of the knowledge."""

from types import SimpleNamespace
from typing import Any

from django.core.exceptions import PermissionDenied, ValidationError
from django.http import Http404, HttpRequest, HttpResponse
from django.urls import reverse
from django.utils import timezone
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from restorations.faults.change_pages import effects_for, parts_of, titled
from restorations.faults.club_knowledge import club
from restorations.faults.knowledge_forms import (
    AnswerChangeForm,
    NewEntryForm,
    NumbersForm,
    SendForm,
    TextForm,
    WithdrawForm,
)
from restorations.faults.knowledge_search import KIND_TITLES
from restorations.faults.models import ClubEntry, KnowledgeChange
from restorations.faults.services import knowledge_changes as services
from restorations.faults.services.knowledge_changes import ONE, About
from restorations.knowledge.entry_text import is_editable
from restorations.knowledge.overlay import EntryText
from restorations.members.doing import Doing
from restorations.members.models import Changed, Member
from restorations.members.permissions import may, require
from restorations.members.requests import NOT_TRIED, sent, signed_in, try_saving
from restorations.web.answers import answer, go_to
from restorations.web.fields import OnceForm

PROPOSE, ACCEPT = "propose a change of knowledge", "accept a change of knowledge"
RECENT = 50


@require_safe
def changes(request: HttpRequest) -> HttpResponse:
    """What waits, one's own drafts, the club's entries that hold, those to be looked at again, what was decided."""
    member, now = signed_in(request), club()
    rows = {row.pk: row for row in ClubEntry.objects.select_related("proposed_by", "accepted_by")}
    every = KnowledgeChange.objects.select_related("proposed_by", "answered_by")
    context = {
        "waiting": every.waiting(), "drafts": every.drafts_of(member),
        "held": [(rows[own.row], titled(now.knowledge, *own.entry.key)) for own in now.held.values()],
        "again": [(rows[own.row], titled(now.knowledge, *own.entry.key)) for own in now.to_look_at_again],
        "not_held": [([rows[pk] for pk in left.rows], left.offenders) for left in now.not_held],
        "decided": every.exclude(state__in=["draft", "waits"])[:RECENT], "may_propose": may(member, PROPOSE),
    }  # fmt: skip
    return answer(request, "faults/knowledge/changes.html", context)


@require_POST
def begin(request: HttpRequest, kind: str, entry: str) -> HttpResponse:
    """A draft over the entry as it is now, to be changed; or the club's own, to be taken back."""
    member = signed_in(request)
    require(member, PROPOSE)
    if kind not in KIND_TITLES or entry not in getattr(club().knowledge, kind):
        raise Http404("no such entry")
    form = OnceForm(request.POST)
    if not form.is_valid():
        return _refused(request, [form.first_error], kind, entry)
    act = "take_back" if request.POST.get("act") == "take_back" else "change"
    return _begun(request, form, About(act, kind, entry), member)


def _begun(request: HttpRequest, form: OnceForm, about: About, member: Member) -> HttpResponse:
    doing = Doing(member, timezone.now())
    try:
        change = services.begin_change(about=about, doing=doing, mark=form.cleaned_data["submission"])
    except ValidationError as error:
        return _refused(request, error.messages, about.kind, about.entry)
    is_to_edit = about.act == "change" and change.state == "draft"
    form_page = reverse("faults:edit_change", args=[change.pk, 0, "numbers"])
    return go_to(request, form_page if is_to_edit else change.get_absolute_url())


def _refused(request: HttpRequest, said: list[str], kind: str, entry: str) -> HttpResponse:
    context = {"said": said, "kind": kind, "entry": entry}
    return answer(request, "faults/knowledge/refused.html", context, status=422)


@require_http_methods(["GET", "HEAD", "POST"])
def new(request: HttpRequest) -> HttpResponse:
    """An entry that there is none of yet."""
    member = signed_in(request)
    require(member, PROPOSE)
    form = NewEntryForm(sent(request))
    if form.is_valid():
        data = form.cleaned_data
        about = About("new", data["kind"], data["entry"], system=data["system"])
        try:
            change = services.begin_change(about=about, doing=Doing(member, timezone.now()), mark=data["submission"])
            return go_to(request, reverse("faults:edit_change", args=[change.pk, 0, "text"]))
        except ValidationError as error:
            form.add_error(None, error)
    return answer(request, "faults/knowledge/new.html", {"form": form}, status=422 if form.is_bound else 200)


@require_http_methods(["GET", "HEAD", "POST"])
def withdraw(request: HttpRequest, kind: str, entry: str) -> HttpResponse:
    """Withdraw an entry: say what replaces it; whatever named it changes with it."""
    member, known = signed_in(request), club().knowledge
    require(member, PROPOSE)
    table = getattr(known, kind) if kind in KIND_TITLES else {}
    if entry not in table or not table[entry].is_in_use:
        raise Http404("no such entry in use")
    others = [(other.id, other.title) for other in table.values() if other.is_in_use and other.id != entry]
    form = WithdrawForm(sent(request), heirs=sorted(others, key=lambda pair: pair[1]))
    if form.is_valid():
        return _begun(request, form, About("withdraw", kind, entry, heir=form.cleaned_data["heir"]), member)
    context = {"form": form, "found": table[entry], "kind": kind, "one": ONE[kind]}
    return answer(request, "faults/knowledge/withdraw.html", context, status=422 if form.is_bound else 200)


@require_safe
def change(request: HttpRequest, pk: int) -> HttpResponse:
    """What would change, why, what it would do; and, for whom it is open to, the next act."""
    return show_change(request, readable(request, pk))


def readable(request: HttpRequest, pk: int) -> KnowledgeChange:
    rows = KnowledgeChange.objects.readable_by(signed_in(request)).select_related("proposed_by", "answered_by")
    row = rows.filter(pk=pk).first()
    if row is None:
        raise Http404("no such change")
    return row


def show_change(request: HttpRequest, row: KnowledgeChange, *, status: int = 200, **extra: Any) -> HttpResponse:
    member, parts = signed_in(request), parts_of(row, club())
    is_mine = row.proposed_by_id == member.pk
    context = {
        "change": row, "parts": parts, "is_mine": is_mine, "is_draft": is_mine and row.state == "draft",
        "overtaken": [part for part in parts if part.meanwhile is not None],
        "may_answer": row.state == "waits" and may(member, ACCEPT, own=is_mine),
        "may_work_out": row.is_open and not row.problems and may(member, PROPOSE),
        "has_second": Member.objects.mentors().exclude(pk=row.proposed_by_id).exists(),
        "effects": effects_for(row, member, at=timezone.now()), "form": AnswerChangeForm(),
        "send_form": SendForm(initial={"version": row.version, "reason": row.reason}), **extra,
    }  # fmt: skip
    return answer(request, "faults/knowledge/change.html", context, status=status)


@require_http_methods(["GET", "HEAD", "POST"])
def edit(request: HttpRequest, pk: int, number: int, how: str) -> HttpResponse:
    """One entry of one's own draft, as numbers and words or as its text. What is wrong with it is kept and listed."""
    row = own_draft(request, pk)
    if number >= len(row.entries) or how not in {"numbers", "text"}:
        raise Http404("no such entry in this change")
    entry = row.texts[number]
    if how == "numbers" and not is_editable(entry.text, entry.id):
        return go_to(request, reverse("faults:edit_change", args=[pk, number, "text"]))
    form = _form(request, row, entry, how)
    tried = try_saving(form, lambda: _save(row, number, form)) if form.is_bound else NOT_TRIED
    if form.is_bound and tried.saved:
        return go_to(request, row.get_absolute_url())
    context = {
        "change": row, "number": number, "entry": entry, "title": titled(club().knowledge, *entry.key), "form": form,
        "how": how, "differences": tried.differences, "is_form": is_editable(entry.text, entry.id),
        "problems": [said for said in row.problems if said["id"] == entry.id],
    }  # fmt: skip
    return answer(request, "faults/knowledge/edit.html", context, status=tried.status)


def _form(request: HttpRequest, row: KnowledgeChange, entry: EntryText, how: str) -> NumbersForm | TextForm:
    start = {"version": row.version, "text": entry.text}
    if how == "text":
        return TextForm(sent(request), initial=start)
    return NumbersForm(sent(request), initial=start, entry=entry, knowledge=club().knowledge)


def _save(row: KnowledgeChange, number: int, form: NumbersForm | TextForm) -> None:
    """Where the draft was saved in another window meanwhile, both are shown."""
    data = form.cleaned_data
    try:
        services.save_draft(
            change=row, version=data["version"], texts={number: form.text_typed},
            doing=Doing(row.proposed_by, timezone.now()), mark=data["submission"],
        )  # fmt: skip
    except Changed as conflict:
        theirs: Any = conflict.theirs
        both: Any = SimpleNamespace(version=theirs.version, text=theirs.entries[number]["text"])
        raise Changed(both) from None


def own_change(request: HttpRequest, pk: int) -> KnowledgeChange:
    row, member = readable(request, pk), signed_in(request)
    require(member, PROPOSE)
    if row.proposed_by_id != member.pk:
        raise PermissionDenied("That is for whoever proposed it.")
    return row


def own_draft(request: HttpRequest, pk: int) -> KnowledgeChange:
    """For its writer, and only while it is one."""
    row = own_change(request, pk)
    if row.state != "draft":
        raise PermissionDenied("This was sent: what the others read stays as it is. Begin another on top of it.")
    return row
