"""What a member may see, as events of a calendar, and those written as iCalendar (RFC 5545)."""

import re
from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass
from datetime import UTC, date, datetime, time, timedelta

from django.urls import reverse
from django.utils import timezone
from icalendar import Calendar, Event

from restorations.engines.lapsing import newest_papers
from restorations.engines.models import Engine
from restorations.members.models import Act, Member
from restorations.traffic.models import Allocation, BoilerTestSession, ClosedSpell, RunningDay, WorkingPattern
from restorations.traffic.papers import arranged, booked_for

BACK, AHEAD = timedelta(days=366), timedelta(weeks=26)
FIRST_STAMP = datetime(2020, 1, 1, tzinfo=UTC)
_CONTROL = re.compile(r"[\x00-\x09\x0b-\x1f\x7f]")


@dataclass(frozen=True, slots=True)
class Entry:
    """One event. Days are whole days, `last` included; moments are with a zone. `changed_at` is its revision."""

    uid: str
    title: str
    first: date | datetime
    last: date | datetime
    changed_at: datetime
    address: str
    words: str = ""
    place: str = ""
    is_off: bool = False
    revision: int = 0


def entries_of(feed: str, member: Member, *, on: date) -> list[Entry]:
    """In as many queries whatever there is; every engine named exists for this member."""
    wanted = READERS if feed == "everything" else {feed: READERS[feed]}
    return [entry for read in wanted.values() for entry in read(member, on)]


def _papers(member: Member, on: date) -> Iterator[Entry]:
    engines = Engine.objects.visible_to(member, on=on).still_here()
    booked = booked_for(engines)
    for paper in newest_papers(engines).filter(lapses_on__gte=on - BACK):
        session = booked.get((paper.engine_id, paper.kind))
        yield Entry(
            uid=f"paper-{paper.pk}", title=f"{paper.engine}: {paper.get_kind_display().lower()}, last day",
            first=paper.lapses_on, last=paper.lapses_on, words=arranged(session) if session else "",
            changed_at=session.changed_at if session else paper.recorded_at,
            address=reverse("engines:papers", args=[paper.engine_id]),
        )  # fmt: skip


def _running_days(member: Member, on: date) -> Iterator[Entry]:
    rows = RunningDay.objects.filter(on__gte=on - BACK)
    named: dict[int, list[str]] = {}
    held = Allocation.objects.holding().filter(day__in=rows, allocated_at__isnull=False)
    for allocation in held.visible_to(member, on=on).select_related("engine"):
        named.setdefault(allocation.day_id, []).append(str(allocation.engine))
    for row in rows:
        engines = f"Engines: {', '.join(named[row.pk])}" if row.pk in named else ""
        first, last = _times(row.on, row.begins_at, row.ends_at)
        yield Entry(
            uid=f"running-day-{row.pk}", title=row.title, first=first, last=last, changed_at=row.changed_at,
            words="\n".join(filter(None, (row.cancelled_reason, row.note, engines))), is_off=row.is_called_off,
            address=row.get_absolute_url(), revision=row.version - 1,
        )  # fmt: skip


def _times(on: date, begins: time | None, ends: time | None) -> tuple[date | datetime, date | datetime]:
    """Moments where both times are said, else the whole day."""
    if begins is None or ends is None:
        return on, on
    return timezone.make_aware(datetime.combine(on, begins)), timezone.make_aware(datetime.combine(on, ends))


def _test_sessions(member: Member, on: date) -> Iterator[Entry]:
    rows = BoilerTestSession.objects.visible_to(member, on=on).filter(on__gte=on - BACK)
    for row in rows.select_related("engine", "inspector"):
        first: date | datetime = row.on or on
        if row.begins_at is not None and row.on is not None:
            first = timezone.make_aware(datetime.combine(row.on, row.begins_at))
        yield Entry(
            uid=f"test-session-{row.pk}", title=str(row), first=first, last=first, changed_at=row.changed_at,
            words=f"{row.who_tests}{f', witness {row.witness}' if row.witness else ''}", place=row.place,
            is_off=row.outcome in ("missed", "called_off"), address=row.get_absolute_url(), revision=row.version - 1,
        )  # fmt: skip


def _working_sessions(member: Member, on: date) -> Iterator[Entry]:
    """Each by itself, half a year ahead, without the days the shop is shut."""
    pattern = WorkingPattern.current()
    sessions = {session.weekday: session for session in pattern.sessions.all()}
    shut = list(ClosedSpell.objects.not_struck().filter(last_on__gte=on))
    said = Act.objects.about(pattern).values_list("at", flat=True).first() if pattern.version > 1 else None
    for number in range(AHEAD.days):
        when = on + timedelta(days=number)
        session = sessions.get(when.weekday())
        if session is None or any(spell.first_on <= when <= spell.last_on for spell in shut):
            continue
        first: date | datetime = when
        last: date | datetime = when
        if session.begins_at is not None:
            first = timezone.make_aware(datetime.combine(when, session.begins_at))
            last = first + timedelta(hours=session.hours)
        yield Entry(
            uid=f"working-session-{when:%Y%m%d}", title="Working session", first=first, last=last,
            changed_at=said or FIRST_STAMP, address=reverse("traffic:working_sessions"),
        )  # fmt: skip


READERS: dict[str, Callable[[Member, date], Iterator[Entry]]] = {
    "papers": _papers,
    "running_days": _running_days,
    "working_sessions": _working_sessions,
    "test_sessions": _test_sessions,
}


def written(entries: Iterable[Entry], *, name: str, host: str, absolute: Callable[[str], str]) -> bytes:
    """The same entries give the same bytes; `absolute` makes whole addresses of ours."""
    calendar = Calendar()
    calendar.add("prodid", "-//Clubshop//Clubshop//EN")
    calendar.add("version", "2.0")
    calendar.add("x-wr-calname", _plain(name))
    for entry in entries:
        calendar.add_component(_event(entry, host, absolute))
    body: bytes = calendar.to_ical()
    return body


def _event(entry: Entry, host: str, absolute: Callable[[str], str]) -> Event:
    event = Event()
    event.add("uid", f"{entry.uid}@{host}")
    event.add("dtstamp", entry.changed_at.astimezone(UTC))
    event.add("sequence", entry.revision)
    event.add("summary", _plain(entry.title))
    first, end = _span(entry)
    event.add("dtstart", first)
    if end is not None:
        event.add("dtend", end)
    event.add("status", "CANCELLED" if entry.is_off else "CONFIRMED")
    event.add("transp", "TRANSPARENT")
    event.add("url", absolute(entry.address))
    if entry.words:
        event.add("description", _plain(entry.words))
    if entry.place:
        event.add("location", _plain(entry.place))
    return event


def _span(entry: Entry) -> tuple[date | datetime, date | datetime | None]:
    """A whole day ends before the next one begins (its end is not included); a moment alone has no end."""
    if isinstance(entry.first, datetime) and isinstance(entry.last, datetime):
        end = entry.last.astimezone(UTC)
        return entry.first.astimezone(UTC), end if entry.last > entry.first else None
    return entry.first, entry.last + timedelta(days=1)


def _plain(text: str) -> str:
    """Line breaks as one character, and no other control character."""
    return _CONTROL.sub(" ", text.replace("\r\n", "\n").replace("\r", "\n"))
