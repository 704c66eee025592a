"""Laying an engine up with care, writing down what was done for it, and reminding of what is due."""

from collections.abc import Iterable, Mapping
from dataclasses import asdict, dataclass
from datetime import date, datetime
from uuid import UUID

from django.core.exceptions import ValidationError
from django.db import transaction
from django.utils import timezone

from restorations.engines.models import Engine, LayUp, LayUpCare, LayUpReminder, Stoppage
from restorations.engines.models.lay_up import ASKED, CARE, FROST, FROST_NOTICE, REMINDED, TURN_OVER
from restorations.engines.services.stoppages import AlreadyStopped, StopDraft, end_stop, place_stop, tell
from restorations.engines.state import day
from restorations.members.doing import Doing
from restorations.members.models import Member
from restorations.members.models.records import record, submit_once

ENDS_WITH_IT = "It was laid up."


@dataclass(frozen=True, slots=True)
class LayUpPlan:
    """What was agreed for the time it is laid up."""

    turn_over_days: int | None = None
    frost_month: int | None = None
    stands_on: str = ""


def lay_up(
    *, engine: Engine, draft: StopDraft, plan: LayUpPlan, doing: Doing, mark: UUID, done: Iterable[str] = ()
) -> LayUp:  # fmt: skip
    """Lay it up from a day, with the care already given; what was open in the shop ends with it."""

    def make() -> LayUp:
        Engine.objects.select_for_update().get(pk=engine.pk)
        same = Stoppage.objects.not_lifted().filter(engine=engine, kind="laid_up").first()
        if same is not None:
            raise AlreadyStopped(same)
        stop = place_stop(engine=engine, draft=draft, doing=doing)
        made = LayUp.objects.create(stoppage=stop, **asdict(plan))
        for item in done:
            _care(made, Care(item, min(draft.began_on, timezone.localdate(doing.at)), str(doing.member)), doing)
        _end_works(stop, doing)
        return made

    return submit_once(doing.member, mark, make)[0]


def _end_works(stop: Stoppage, doing: Doing) -> None:
    """Work in the shop that was still open ends on the day it is laid up: it does not get into traffic by that."""
    if stop.began_on > timezone.localdate(doing.at):
        return
    open_works = Stoppage.objects.select_for_update().not_lifted().filter(engine=stop.engine, kind="works")
    for works in open_works.filter(began_on__lte=stop.began_on):
        end_stop(stoppage=works, words=ENDS_WITH_IT, on=stop.began_on, doing=doing)


def change_lay_up(*, lay_up: LayUp, version: int, plan: LayUpPlan, doing: Doing, mark: UUID) -> LayUp:
    """Another interval, another month; raises Changed where somebody saved since."""

    def make() -> LayUp:
        before, after = {name: getattr(lay_up, name) for name in asdict(plan)}, asdict(plan)
        lay_up.save_from(version, **after)
        changed = [name for name in after if after[name] != before[name]]
        record(
            doing.member, "changed what was agreed for the lay-up", lay_up.stoppage,
            before={name: before[name] for name in changed}, after={name: after[name] for name in changed},
        )  # fmt: skip
        return lay_up

    return submit_once(doing.member, mark, make)[0]


@dataclass(frozen=True, slots=True)
class Care:
    """One thing that was done for it."""

    item: str
    done_on: date
    done_by: str
    note: str = ""


def give_care(*, lay_up: LayUp, care: Care, doing: Doing, mark: UUID) -> LayUpCare:
    """Write down what was done, when and by whom; only while it is laid up."""
    if not lay_up.stoppage.is_open:
        raise ValidationError("It is no longer laid up. Write down what was done in the day book.")
    return submit_once(doing.member, mark, lambda: _care(lay_up, care, doing))[0]


def _care(lay_up: LayUp, care: Care, doing: Doing) -> LayUpCare:
    row = LayUpCare.objects.create(
        lay_up=lay_up, recorded_by=doing.member, recorded_at=doing.at, **asdict(care)
    )  # fmt: skip
    record(doing.member, "looked after it while laid up", lay_up.stoppage, after={CARE[care.item]: care.done_on})
    return row


def strike_care(*, row: LayUpCare, member: Member, reason: str) -> None:
    """Strike it out with a reason; what it said was done is due again."""
    with transaction.atomic():
        row.strike_out(member=member, reason=reason)
        record(member, "struck out a line of care", row.lay_up.stoppage, before={"care": row}, after={"reason": reason})


@dataclass(frozen=True, slots=True)
class CareLine:
    """One kind of care: the last time, and when it is due next where something was agreed."""

    item: str
    words: str
    last: LayUpCare | None
    due_on: date | None
    is_due: bool

    @property
    def asks(self) -> str:
        return ASKED.get(self.item, self.words)


def care_lines(lay_up: LayUp, on: date) -> list[CareLine]:
    """Every kind of care in the order it is given; one query."""
    return lines_of(lay_up, lay_up.care.not_struck().order_by("done_on", "pk"), on)


def lines_of(lay_up: LayUp, given: Iterable[LayUpCare], on: date) -> list[CareLine]:
    """The same from the care that stands, oldest first."""
    latest = {row.item: row for row in given}
    due = due_dates(lay_up, {item: row.done_on for item, row in latest.items()})
    return [
        CareLine(item, words, latest.get(item), due.get(item), item in due and due[item] <= on)
        for item, words in CARE.items()
    ]


def due_care(lay_up: LayUp, given: Iterable[LayUpCare], on: date) -> list[CareLine]:
    return [line for line in lines_of(lay_up, given, on) if line.is_due]


def due_dates(lay_up: LayUp, last: Mapping[str, date]) -> dict[str, date]:
    """When it is to be turned over and looked over against frost next, as far as that was agreed."""
    due = {TURN_OVER: lay_up.turn_over_due(last.get(TURN_OVER)), FROST: lay_up.frost_due(last.get(FROST))}
    return {item: when for item, when in due.items() if when is not None}


def queue_lay_up_reminders(at: datetime) -> int:
    """Tell hands and owner of what is due, once for each day it is due on; returns how many were told of."""
    on, told = timezone.localdate(at), 0
    rows = LayUp.objects.filter(stoppage__in=Stoppage.objects.open(on), stoppage__engine__gone_on__isnull=True)
    for row in rows.select_related("stoppage__engine__owner_member").order_by("pk"):
        last = {care.item: care.done_on for care in row.care.not_struck().order_by("done_on", "pk")}
        for item, due_on in due_dates(row, last).items():
            notice = FROST_NOTICE if item == FROST else FROST_NOTICE * 0
            if due_on - notice <= on:
                told += _remind(row, item, due_on, at)
    return told


def _remind(lay_up: LayUp, item: str, due_on: date, at: datetime) -> int:
    """In one transaction with the row that says so: run twice, it tells once."""
    with transaction.atomic():
        _, is_new = LayUpReminder.objects.get_or_create(lay_up=lay_up, of=item, due_on=due_on, defaults={"at": at})
        if is_new:
            stop = lay_up.stoppage
            lines = [f"{stop.engine} is laid up. {CARE[item]}: due {day(due_on)}.", stop.get_absolute_url()]
            if item == TURN_OVER:
                lines.insert(1, "Read the tags first: while DO NOT TURN hangs on it, it is left alone.")
            subject = f"{stop.engine}: {REMINDED[item]}"
            tell(stop.engine, subject, "\n".join(lines) + "\n", _look_after(stop, timezone.localdate(at)), at=at)
    return int(is_new)


def _look_after(stop: Stoppage, on: date) -> list[Member]:
    """Its hands and its owner; where there is nobody, the secretary."""
    people = {hand.member for hand in stop.engine.hands.current(on).select_related("member")}
    if stop.engine.owner_member is not None:
        people.add(stop.engine.owner_member)
    return sorted(people or Member.objects.current().filter(is_secretary=True), key=lambda member: member.pk)
