"""What stands on a member's bench today, read from stored rankings; the number of queries does not grow."""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime

from django.db.models import OuterRef, Q, QuerySet, Subquery
from django.utils import timezone

from restorations.engines.models import ConsentRequest, Engine
from restorations.faults.desk import Desk
from restorations.faults.models import Conclusion, FaultSheet, GoAhead, Question, Snapshot
from restorations.faults.services.sheets import stored_knowledge
from restorations.home.naming import part_words, soak_words
from restorations.home.timeline import waiting_lines
from restorations.home.timeline_kinds import ACCEPTED
from restorations.home.timeline_lines import Line, entry
from restorations.home.traffic_bench import EngineLine, TrafficBench, traffic_bench
from restorations.knowledge.engine import PlacedCheck, PlacedRemedy
from restorations.members.models import Member
from restorations.tasks.models import JobCard, Soak, StrippedPart, Wanted
from restorations.tasks.queries import Waits, due, with_spent

MOST = 20
SHOWN = 3
CHECKS_AHEAD = 3


@dataclass(frozen=True, slots=True)
class SheetLine:
    """One open sheet and what its ranking would do next."""

    sheet: FaultSheet
    next_step: str
    checks: Sequence[PlacedCheck]
    """The next few that no gate held up when it was worked out."""
    is_proposed: bool
    """Whether what it was is written down, and waits for a mentor to close it."""


@dataclass(frozen=True, slots=True)
class ToolLine:
    """A tool to take down, and the engines it is for."""

    tool: str
    engines: str


@dataclass(frozen=True, slots=True)
class SoakLine:
    soak: Soak
    where: str
    is_due: bool


@dataclass(frozen=True, slots=True)
class PartLine:
    part: StrippedPart
    name: str


@dataclass(frozen=True, slots=True)
class AskedLine:
    """A go-ahead they asked for, and whether what was given is known to hold no more."""

    row: GoAhead
    is_over: bool

    @property
    def word(self) -> str:
        if self.is_over:
            return "lapsed"
        if not self.row.answer:
            return f"waits for {'the inspector' if self.row.authority == 'inspector' else 'a mentor'}"
        return str(self.row.get_answer_display())

    @property
    def shape(self) -> str:
        if self.is_over or self.row.answer == "refused":
            return "stop"
        return "good" if self.row.answer == "given" else "wait"


@dataclass(frozen=True, slots=True)
class Bench:
    sheets: Sequence[SheetLine]
    tools: Sequence[ToolLine]
    desk: Desk | None
    """For those who give go-aheads: mentors, inspectors, a competent person."""
    on_desk: Mapping[str, int]
    """How many of each kind wait on their desk."""
    to_answer: Sequence[GoAhead]
    asked: Sequence[AskedLine]
    questions: Sequence[Question]
    """A mentor's, about go-aheads they asked for."""
    consents: Sequence[ConsentRequest]
    """What they are asked as the owner, or in the owner's stead."""
    to_accept: Sequence[Line]
    cards: Sequence[JobCard]
    overdue: Sequence[JobCard]
    promised: Sequence[Wanted]
    first_jobs: Sequence[JobCard]
    soaks: Sequence[SoakLine]
    parts: Sequence[PartLine]
    traffic: TrafficBench

    @property
    def engines(self) -> Sequence[tuple[EngineLine, Sequence[SheetLine]]]:
        """Mine, each with its open sheets; those with one first."""
        lines = [
            (line, [one for one in self.sheets if one.sheet.engine_id == line.engine.pk])
            for line in self.traffic.engines
        ]
        return sorted(lines, key=lambda line: not line[1])


def my_bench(member: Member, *, at: datetime) -> Bench:
    on = timezone.localdate(at)
    mine = Engine.objects.with_hands(member, on=on).still_here()
    readable = Engine.objects.contents_visible_to(member, on=on).still_here()
    sheets = FaultSheet.objects.filter(engine__in=readable).still_open()
    desk, lines = Desk.of(member, at=at), _lines(sheets.filter(engine__in=mine))
    engines, waits = list(mine[:MOST]), due(member, on=on, most=MOST)
    return Bench(
        sheets=lines,
        tools=_tools(lines),
        desk=desk if desk.is_theirs else None,
        on_desk=desk.counts() if desk.is_theirs else {},
        to_answer=list(desk.requests()[:SHOWN]) if desk.is_theirs else [],
        asked=_asked(member, sheets, at),
        questions=_questions(member, sheets),
        consents=list(ConsentRequest.objects.for_speaker(member, on=on).select_related("engine", "asked_by")[:MOST]),
        to_accept=_to_accept(readable.filter(Q(pk__in=mine) | Q(owner_member=member)), waits),
        cards=waits.cards,
        overdue=waits.overdue,
        promised=waits.promised,
        first_jobs=[] if engines or member.offices else _first_jobs(readable),
        soaks=_soaks(mine, at),
        parts=_parts(member, readable),
        traffic=traffic_bench(member, engines, on),
    )


def _to_accept(engines: QuerySet[Engine], waits: Waits) -> list[Line]:
    """Everything helpers wrote that is for this member to accept, oldest first."""
    written = [entry(row) for row in waits.to_accept]
    return sorted([*written, *waiting_lines(engines, ACCEPTED, MOST)], key=lambda line: line.at)[:MOST]


def _first_jobs(readable: QuerySet[Engine]) -> list[JobCard]:
    """For whoever works on no engine yet."""
    return list(with_spent(JobCard.objects.good_first_jobs().filter(engine__in=readable))[:MOST])


def _soaks(mine: QuerySet[Engine], at: datetime) -> list[SoakLine]:
    rows = Soak.objects.under_way().filter(engine__in=mine).select_related("engine").order_by("due_at")
    return [SoakLine(row, soak_words(row.place), _calls(row, at)) for row in rows[:MOST]]


def _calls(soak: Soak, at: datetime) -> bool:
    """Its end, or the care it was promised, is due."""
    return soak.due_at <= at or (soak.next_care_at is not None and soak.next_care_at <= at)


def _parts(member: Member, readable: QuerySet[Engine]) -> list[PartLine]:
    rows = StrippedPart.objects.off().filter(off_by=member, engine__in=readable).select_related("engine", "in_box")
    return [PartLine(row, part_words(row.component, row.place, row.name)) for row in rows[:MOST]]


def _asked(member: Member, sheets: QuerySet[FaultSheet], at: datetime) -> list[AskedLine]:
    """What they asked for, the newest first; what has run out says so."""
    rows = GoAhead.objects.not_struck().filter(asked_by=member, sheet__in=sheets).order_by("-asked_at")
    return [AskedLine(row, _is_over(row, at)) for row in rows.select_related("sheet__engine", "answered_by")[:MOST]]


def _is_over(row: GoAhead, at: datetime) -> bool:
    run_out = row.until is not None and row.until <= at
    return row.answer == "given" and (run_out or row.lapsed_at is not None)


def _questions(member: Member, sheets: QuerySet[FaultSheet]) -> list[Question]:
    rows = Question.objects.to_the_bench().filter(go_ahead__asked_by=member, sheet__in=sheets)
    return list(rows.select_related("sheet__engine", "asked_by")[:MOST])


def _lines(sheets: QuerySet[FaultSheet]) -> list[SheetLine]:
    newest = Snapshot.objects.filter(sheet=OuterRef("pk")).order_by("-pk")
    rows = list(sheets.select_related("engine").annotate(newest=Subquery(newest.values("pk")[:1]))[:MOST])
    stored = Snapshot.objects.select_related("model").defer("model__mapping", "weights", "log_odds")
    snapshots = stored.in_bulk([row.newest for row in rows if row.newest])
    proposed = set(Conclusion.objects.proposed().filter(sheet__in=rows).values_list("sheet", flat=True))
    return [_line(row, snapshots.get(row.newest), row.pk in proposed) for row in rows]


def _line(sheet: FaultSheet, snapshot: Snapshot | None, is_proposed: bool) -> SheetLine:
    free = list(_free(snapshot))
    checks = [placed for placed in free if isinstance(placed, PlacedCheck)]
    return SheetLine(sheet, free[0].name if free else "", checks[:CHECKS_AHEAD], is_proposed)


def _free(snapshot: Snapshot | None) -> Iterator[PlacedCheck | PlacedRemedy]:
    """The advice that no gate held up when it was worked out, best first."""
    if snapshot is None or not snapshot.advice:
        return
    expanded = stored_knowledge(snapshot.model.checksum)
    for row in snapshot.advice:
        placed = expanded.checks.get(row["action"]) or expanded.remedies.get(row["action"])
        if placed is not None and not row["gate"]:
            yield placed


def _tools(lines: Sequence[SheetLine]) -> list[ToolLine]:
    """One list to take down from the rack: each tool once."""
    wanted: dict[str, list[str]] = {}
    for line in lines:
        for check in line.checks:
            for tool in check.entry.tools:
                names = wanted.setdefault(tool, [])
                if line.sheet.engine.name not in names:
                    names.append(line.sheet.engine.name)
    return [ToolLine(tool, ", ".join(engines)) for tool, engines in sorted(wanted.items())]
