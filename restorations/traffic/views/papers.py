"""Papers: the wall calendar by month of lapse, the register, one paper with its pictures."""

from pathlib import Path
from typing import Any

from django.contrib import messages
from django.core.paginator import Paginator
from django.http import Http404, HttpRequest, HttpResponse, StreamingHttpResponse
from django.shortcuts import get_object_or_404
from django.utils import timezone
from django.views.decorators.http import require_http_methods, require_safe

from restorations.engines.access import kinds_to_record
from restorations.engines.access import require as require_so
from restorations.engines.models import Certificate, Engine
from restorations.engines.models.papers import BOILER_PAPERS, CERTIFICATE_KINDS
from restorations.engines.views.papers import PAPERS_REFUSED
from restorations.members.doing import Doing
from restorations.members.models import Club
from restorations.members.requests import sent, signed_in, try_once
from restorations.photos.services import take_in
from restorations.photos.views.stored import served_photo
from restorations.traffic.forms.papers import ScanForm
from restorations.traffic.models import CertificateScan
from restorations.traffic.papers import REGISTER, STANDS, WHOSE, Asked, booked_for, filed, printed, wall_of
from restorations.traffic.papers import register as registered
from restorations.traffic.services.scans import add_scans
from restorations.web.answers import answer, go_to
from restorations.web.tables_out import taken_out
from restorations.web.typesetting import typeset

TEMPLATE = Path(__file__).parent.parent / "typesetting" / "papers.typ"
A_PAGE = 60


@require_safe
def papers(request: HttpRequest) -> HttpResponse:
    """A wall calendar: what has lapsed on top, then month by month."""
    member, on = signed_in(request), timezone.localdate()
    wall = wall_of(Engine.objects.visible_to(member, on=on).still_here(), on=on)
    return answer(request, "traffic/papers.html", {"wall": wall})


@require_safe
def register(request: HttpRequest) -> HttpResponse:
    """All of them in order of lapse: on the page, as a table, or printed for an insurer."""
    member, on = signed_in(request), timezone.localdate()
    asked = Asked.of(request.GET)
    rows = registered(member, asked, on=on)
    table = taken_out(request, REGISTER, rows)
    if table is not None:
        return table
    if request.GET.get("as") == "pdf":
        data = printed(rows, club=str(Club.current()), by=str(member), on=on, narrowed=_narrowed(asked))
        headers = {"Content-Disposition": f'inline; filename="papers-{on}.pdf"'}
        return HttpResponse(typeset(TEMPLATE, data), content_type="application/pdf", headers=headers)
    query = request.GET.copy()
    query.pop("page", None)
    query["as"] = "pdf"
    context = {
        "asked": asked, "page": Paginator(rows, A_PAGE).get_page(request.GET.get("page")), "query": query.urlencode(),
        "choices": {"kind": CERTIFICATE_KINDS.items(), "stands": STANDS.items(), "whose": WHOSE.items()},
    }  # fmt: skip
    return answer(request, "traffic/register.html", context, fragment="traffic/_register.html")


def _narrowed(asked: Asked) -> str:
    """What the printed register leaves out, so that nobody takes it for all there is."""
    parts = [
        f"engines matching “{asked.words}”" if asked.words else "",
        WHOSE.get(asked.whose, ""), CERTIFICATE_KINDS.get(asked.kind, "").lower(), STANDS.get(asked.stands, ""),
        "renewed papers too" if asked.renewed else "",
    ]  # fmt: skip
    return ", ".join(filter(None, parts))


@require_http_methods(["GET", "HEAD", "POST"])
def paper(request: HttpRequest, pk: int) -> HttpResponse:
    """One paper and its pictures, which whoever may record such a paper adds."""
    member, on, row = signed_in(request), timezone.localdate(), _visible(request, pk)
    adds = row.kind in kinds_to_record(member, row.engine, on) and row.engine.gone_on is None
    form = ScanForm(sent(request), request.FILES or None)
    if request.method == "POST":
        require_so(adds, row.engine.gone_in_words or PAPERS_REFUSED)
        if try_once(form, lambda: _add(form, row, Doing(member, timezone.now()))):
            messages.success(request, "The picture is kept with the paper.")
            return go_to(request, request.path)
    context: dict[str, Any] = {
        "paper": row, "filed": filed(row, booked_for(Engine.objects.filter(pk=row.engine_id)), on=on),
        "scans": row.scans.filter(photo__struck_at=None).select_related("photo"),
        "is_tested": row.kind in BOILER_PAPERS,
        "form": form if adds else None,
    }  # fmt: skip
    return answer(request, "traffic/paper.html", context, status=422 if form.is_bound else 200)


def _add(form: ScanForm, row: Certificate, doing: Doing) -> None:
    caption = f"{row.get_kind_display()}, good until {row.lapses_on:%d %b %Y}"
    photos = take_in(form.cleaned_data["photos"], row.engine, doing, caption=caption)
    add_scans(paper=row, photos=photos, doing=doing, mark=form.cleaned_data["submission"])


def _visible(request: HttpRequest, pk: int) -> Certificate:
    """Papers are seen by everybody for whom the engine exists."""
    engines = Engine.objects.visible_to(signed_in(request), on=timezone.localdate())
    rows = Certificate.objects.filter(engine__in=engines)
    row: Certificate = get_object_or_404(rows.select_related("engine__owner_member", "recorded_by", "struck_by"), pk=pk)
    return row


@require_safe
def scan(request: HttpRequest, pk: int, entry: int) -> StreamingHttpResponse:
    """The picture itself: seen with the paper, by a secretary of a private engine too."""
    row = get_object_or_404(
        CertificateScan.objects.select_related("photo"), certificate=_visible(request, pk), pk=entry
    )
    if row.photo.is_struck:
        raise Http404("struck out")
    return served_photo(row.photo)
