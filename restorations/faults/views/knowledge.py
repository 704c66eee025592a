"""Reading the knowledge: searched, browsed, entry by entry; what tells two causes apart; taken out as files."""

import zipfile
from collections.abc import Iterator
from io import BytesIO
from typing import Any

from django.http import Http404, HttpRequest, HttpResponse
from django.utils import timezone
from django.views.decorators.http import require_safe

from restorations.faults import knowledge_pages as pages
from restorations.faults import knowledge_words as words
from restorations.faults.club_knowledge import ClubKnowledge, club
from restorations.faults.finding_search import LONGEST_SEARCH, SYSTEMS
from restorations.faults.knowledge_search import KIND_TITLES, Asked, find
from restorations.faults.learning import taught
from restorations.faults.models import ClubEntry, KnowledgeChange
from restorations.faults.suspicion import suspects_of
from restorations.faults.views.common import sheet_for
from restorations.faults.views.looking import knowledge_of
from restorations.knowledge import Knowledge
from restorations.knowledge.comparing import tell_apart, tell_apart_on
from restorations.knowledge.exporting import file_texts
from restorations.knowledge.loader import shipped_files
from restorations.knowledge.overlay import survey_over
from restorations.knowledge.places import AT
from restorations.knowledge.rules import COMMON_PRACTICE
from restorations.members.models import Member
from restorations.members.permissions import may
from restorations.members.requests import signed_in
from restorations.web.answers import answer
from restorations.web.tables_out import Table, taken_out

ACT = "propose a change of knowledge"
FOUND = Table("knowledge", (
    ("Kind", lambda row: row[0].title),
    ("Entry", lambda row: row[1].title),
    ("Called in the files", lambda row: row[1].id),
    ("System", lambda row: SYSTEMS.get(getattr(row[1], "system", ""), "")),
))  # fmt: skip


@require_safe
def index(request: HttpRequest) -> HttpResponse:
    """By words, by system, by place on the engine, by source; a search first, for it is a lot."""
    member, known = signed_in(request), club().knowledge
    asked = Asked(
        text=request.GET.get("q", "").strip()[:LONGEST_SEARCH],
        system=_one_of(request, "system", SYSTEMS), at=_one_of(request, "at", AT),
        source=_one_of(request, "source", known.sources),
    )  # fmt: skip
    groups = find(known, asked)
    table = taken_out(request, FOUND, ((group, entry) for group in groups for entry in group.entries))
    if table is not None:
        return table
    context = {
        "asked": asked, "groups": groups, "found": sum(len(group.entries) for group in groups),
        "heading": _heading(asked, known), "systems": SYSTEMS.items(),
        "places": sorted(AT.items(), key=lambda pair: pair[1]), "waiting": KnowledgeChange.objects.waiting().count(),
        "may_propose": may(member, ACT),
    }  # fmt: skip
    return answer(request, "faults/knowledge/index.html", context, fragment="faults/knowledge/_found.html")


def _one_of(request: HttpRequest, name: str, lawful: Any) -> str:
    value = request.GET.get(name, "")
    return value if value in lawful else ""


def _heading(asked: Asked, known: Knowledge) -> str:
    told = [SYSTEMS.get(asked.system, ""), AT.get(asked.at, "").capitalize()]
    told += [known.sources[asked.source].title] if asked.source else []
    return ", ".join(filter(None, told))


@require_safe
def entry(request: HttpRequest, kind: str, entry: str) -> HttpResponse:
    """One entry with everything it says and where that comes from; also what is withdrawn or was taken back."""
    member, now = signed_in(request), club()
    if kind not in KIND_TITLES:
        raise Http404("no such kind of entry")
    rows = list(ClubEntry.objects.filter(kind=kind, entry=entry).select_related("proposed_by", "accepted_by", "change"))
    known, is_gone = now.knowledge, False
    if entry not in getattr(known, kind):
        known, is_gone = _as_it_was(rows), True
    found = getattr(known, kind).get(entry)
    if found is None:
        raise Http404("no such entry")
    context = {
        **pages.shown(kind, found, known), "is_gone": is_gone, "rows": list(reversed(rows)),
        "text": now.text_of(kind, entry), "held": now.held.get((kind, entry)),
        "learned": _learned(entry) if kind == "causes" and not is_gone else "", **_proposing(member, kind, entry),
    }  # fmt: skip
    return answer(request, "faults/knowledge/entry.html", context)


def _learned(cause: str) -> str:
    """What the club's closed sheets say of its base rate."""
    teaching = taught()
    return teaching.words(cause) if cause in teaching.learned else "no closed sheet speaks of it yet"


def _as_it_was(rows: list[ClubEntry]) -> Knowledge:
    """The knowledge with the last text of an entry that the club had added and took back."""
    texts = [row.as_text for row in rows if row.text]
    if not texts:
        raise Http404("no such entry")
    return survey_over(shipped_files(), [texts[-1]])[0]


def _proposing(member: Member, kind: str, entry: str) -> dict[str, Any]:
    """What is under way about an entry, and what this member may do about it."""
    about = KnowledgeChange.objects.readable_by(member).select_related("proposed_by").filter(kind=kind, entry=entry)
    drafts = KnowledgeChange.objects.drafts_of(member).exclude(kind=kind, entry=entry)
    return {
        "may_propose": may(member, ACT), "under_way": about.filter(state__in=["draft", "waits"]),
        "drafts": drafts if may(member, ACT) else (),
    }  # fmt: skip


@require_safe
def parts(request: HttpRequest) -> HttpResponse:
    """What force, steam and oil pass through, and the states that looks are made in."""
    signed_in(request)
    known = club().knowledge
    usual = words.provenance("judgement", COMMON_PRACTICE, known.sources)
    origins = {part.id: words.provenance(part.basis, part.source, known.sources) for part in known.parts.values()}
    context = {
        "usual": usual,
        "parts": [(part, words.builds(part.applies), origins[part.id] if origins[part.id] != usual else None)
                  for part in sorted(known.parts.values(), key=lambda part: part.title)],
        "conditions": [(condition.title, ", ".join(value.replace("_", " ") for value in condition.values))
                       for condition in sorted(known.conditions.values(), key=lambda condition: condition.title)],
    }  # fmt: skip
    return answer(request, "faults/knowledge/parts.html", context)


@require_safe
def sources(request: HttpRequest) -> HttpResponse:
    """Everything that an entry names, with the number of entries that do."""
    signed_in(request)
    known = club().knowledge
    rows = [
        (source, words.provenance("published", source.id, known.sources), source.details.get("note", ""),
         sum(len(group.entries) for group in find(known, Asked(source=source.id))))
        for source in sorted(known.sources.values(), key=lambda source: source.title)
    ]  # fmt: skip
    return answer(request, "faults/knowledge/sources.html", {"rows": rows, "judgement": words.BASIS_WORDS["judgement"]})


@require_safe
def compare(request: HttpRequest) -> HttpResponse:
    """What would tell one cause from another, on any engine."""
    signed_in(request)
    known = club().knowledge
    first, second = (known.causes.get(request.GET.get(name, "")) for name in ("a", "b"))
    if first is None:
        raise Http404("no such cause")
    context: dict[str, Any] = {
        "first": first, "second": second, "names": [cause.title for cause in (first, second) if cause],
        "others": pages.closest(known, first.id),
    }  # fmt: skip
    if second is not None and second is not first:
        telling = tell_apart(known, first.id, second.id)
        context |= pages.told_apart(telling, known.findings, known.checks, known.causes)
    return answer(request, "faults/knowledge/compare.html", context)


@require_safe
def compare_on_sheet(request: HttpRequest, pk: int) -> HttpResponse:
    """The same for two suspicions of a sheet, at their places: left against right too."""
    sheet, _ = sheet_for(request, pk)
    engine, snapshot = knowledge_of(sheet), sheet.latest_snapshot
    asked = [request.GET[name] for name in ("a", "b") if request.GET.get(name)]
    if snapshot is None or not all(cause in engine.causes for cause in asked):
        raise Http404("no such cause on this engine")
    chosen = [engine.causes[cause] for cause in asked]
    context: dict[str, Any] = {
        "sheet": sheet, "first": chosen[0] if chosen else None, "second": chosen[1] if len(chosen) > 1 else None,
        "names": [cause.name for cause in chosen],
        "suspects": suspects_of(snapshot, engine, list(sheet.steps.standing().in_order())),
    }  # fmt: skip
    if len(set(asked)) > 1:
        telling = tell_apart_on(engine, *asked)
        context |= pages.told_apart(telling, engine.findings, engine.checks, engine.causes)
    return answer(request, "faults/knowledge/compare.html", context)


@require_safe
def export(request: HttpRequest) -> HttpResponse:
    """All files with the club's entries in their places, and a list of those."""
    signed_in(request)
    now, content = club(), BytesIO()
    with zipfile.ZipFile(content, "w", zipfile.ZIP_DEFLATED) as archive:
        for name, text in file_texts(shipped_files(), [own.entry for own in now.held.values()]).items():
            archive.writestr(name, text)
        archive.writestr("CHANGES.txt", "".join(_list_of_changes(now)))
    filename = f"club-knowledge-{timezone.localdate():%Y-%m-%d}.zip"
    headers = {"Content-Disposition": f'attachment; filename="{filename}"'}
    return HttpResponse(content.getvalue(), content_type="application/zip", headers=headers)


def _list_of_changes(now: ClubKnowledge) -> Iterator[str]:
    held = {own.row for own in now.held.values()}
    yield "The club's own entries, oldest first.\n\n"
    for row in ClubEntry.objects.select_related("proposed_by", "accepted_by"):
        stands = "holds" if row.pk in held else "does not hold now"
        what = f"{row.kind} {row.entry}{'' if row.text else ', taken back'}"
        yield f"{row.number}. {what} ({stands})\n   proposed by {row.proposed_by}, accepted by {row.accepted_by}, "
        yield f"{timezone.localtime(row.at):%Y-%m-%d}\n   {' '.join(row.reason.split())}\n\n"
