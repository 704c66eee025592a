"""Tells secretary, owner and hands that papers lapse: 90, 30 and 7 days before, each once."""

from collections import defaultdict
from collections.abc import Iterable, Sequence
from datetime import date, datetime

from django.db import transaction
from django.urls import reverse
from django.utils import timezone

from restorations.engines.lapsing import newest_papers
from restorations.engines.models import Certificate, Engine, Hand
from restorations.engines.state import day
from restorations.members.models import Member, Message
from restorations.traffic.models import PaperReminder
from restorations.traffic.papers import Booked, arranged, booked_for
from restorations.traffic.reminding import notice_due

Due = tuple[Certificate, int]


def queue_paper_reminders(at: datetime) -> int:
    """One message to each person with all that is newly due; how many messages it was. Run twice, it tells once."""
    on = timezone.localdate(at)
    here = Engine.objects.still_here()
    papers = newest_papers(here).select_related("engine__owner_member")
    due = [(paper, days) for paper in papers if (days := notice_due(paper.lapses_on, on)) is not None]
    if not due:
        return 0
    booked = booked_for(here.filter(pk__in={paper.engine_id for paper, _ in due}))
    return sum(_remind(member, lines, booked, at) for member, lines in _whom(due, on).items())


def _whom(due: Iterable[Due], on: date) -> dict[Member, list[Due]]:
    """The hands and the owner of each engine and every secretary: all see at least its papers."""
    due = list(due)
    secretaries = list(Member.objects.current().filter(is_secretary=True))
    hands: dict[int, set[Member]] = defaultdict(set)
    rows = Hand.objects.current(on).filter(engine__in={paper.engine_id for paper, _ in due})
    for hand in rows.select_related("member"):
        hands[hand.engine_id].add(hand.member)
    told: dict[Member, list[Due]] = defaultdict(list)
    for paper, days in due:
        owner = {paper.engine.owner_member} - {None}
        for member in {*secretaries, *hands[paper.engine_id], *owner}:
            if member.left_on is None:
                told[member].append((paper, days))
    return dict(sorted(told.items(), key=lambda pair: pair[0].pk))


def _remind(member: Member, due: Sequence[Due], booked: Booked, at: datetime) -> int:
    """In one transaction with the rows that say so."""
    with transaction.atomic():
        new = [(paper, days) for paper, days in due if _claim(member, paper, days, at)]
        if new:
            on = timezone.localdate(at)
            lines = [_line(paper, booked, on) for paper, _ in new]
            subject = lines[0].splitlines()[0] if len(new) == 1 else f"{len(new)} papers lapse"
            body = "\n\n".join(lines) + f"\n\nAll papers: {reverse('traffic:papers')}\n"
            Message.objects.create(to=member, subject=subject[:150], body=body, made_at=at)
    return int(bool(new))


def _claim(member: Member, paper: Certificate, days: int, at: datetime) -> bool:
    _, is_new = PaperReminder.objects.get_or_create(
        certificate=paper, days=days, member=member, defaults={"at": at}
    )  # fmt: skip
    return is_new


def _line(paper: Certificate, booked: Booked, on: date) -> str:
    left = (paper.lapses_on - on).days
    name = " ".join(f"{paper.engine}: {paper.get_kind_display().lower()}".split())
    if left < 0:
        words = f"{name} lapsed on {day(paper.lapses_on)}"
    elif left == 0:
        words = f"{name} lapses today"
    else:
        words = f"{name} lapses in {left} day{'' if left == 1 else 's'}, after {day(paper.lapses_on)}"
    session = booked.get((paper.engine_id, paper.kind))
    arrangement = f"{arranged(session)[0].upper()}{arranged(session)[1:]}.\n" if session else ""
    return f"{words}\n{arrangement}{reverse('engines:papers', args=[paper.engine_id])}"
