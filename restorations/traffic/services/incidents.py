"""Reporting an incident or a near miss, stopping the engine where asked, and putting the report right by adding."""

from dataclasses import dataclass
from datetime import time
from uuid import UUID

from django.core.exceptions import ValidationError
from django.utils import timezone

from restorations.engines.models import Engine, Stoppage
from restorations.engines.models.stoppage import BOILER
from restorations.engines.services.stoppages import StopDraft, place_stop, same_stop
from restorations.members.doing import Doing
from restorations.members.models import Member, Message
from restorations.members.models.records import record, submit_once
from restorations.traffic.models import Incident, IncidentNote, RunningDay

LAW = (
    "Who must be told is local law. Your secretary and your insurer know; report as your law requires, "
    "and leave things as they are where it says so."
)

SAID = ("kind", "words", "hurt", "about", "engine", "hurt_words", "action")


@dataclass(frozen=True, slots=True)
class Report:
    """What happened, or nearly did; `stop` is the kind of stop to place on the engine, empty for none."""

    kind: str
    words: str
    hurt: str
    about: time | None = None
    engine: Engine | None = None
    hurt_words: str = ""
    action: str = ""
    stop: str = ""


def report_incident(*, row: RunningDay, report: Report, doing: Doing, mark: UUID) -> Incident:
    """Write it down once, stop the engine where asked, and tell secretary and mentors that there is a report."""

    def make() -> Incident:
        if row.on > timezone.localdate(doing.at):
            raise ValidationError("This day is yet to come: nothing can have happened on it.")
        if report.stop and report.engine is None:
            raise ValidationError({"engine": "Say which engine is to be stopped."})
        incident = Incident.objects.create(
            day=row, stoppage=_stopped(row, report, doing), recorded_by=doing.member, recorded_at=doing.at,
            **{name: getattr(report, name) for name in SAID},
        )  # fmt: skip
        record(
            doing.member, f"reported {'an' if report.kind == 'incident' else 'a'} {incident.get_kind_display()}", row
        )
        _tell(incident)
        return incident

    return submit_once(doing.member, mark, make)[0]


def _stopped(row: RunningDay, report: Report, doing: Doing) -> Stoppage | None:
    """A stop for what happened, or the one that stands for it already."""
    if not report.stop or report.engine is None:
        return None
    cause = BOILER if report.stop == BOILER else "accident"
    draft = StopDraft(report.stop, cause, report.words[:2000], row.on)
    engine = Engine.objects.select_for_update().get(pk=report.engine.pk)
    return same_stop(engine, draft) or place_stop(engine=engine, draft=draft, doing=doing)


def _tell(incident: Incident) -> None:
    """That there is a report, not what it says: mail is read by others."""
    people = Member.objects.current().exclude(pk=incident.recorded_by_id)
    for member in people:
        if member.is_secretary or member.is_mentor:
            Message.objects.create(
                to=member, subject=f"{incident}: reported"[:150], made_at=incident.recorded_at,
                body=f"{incident.recorded_by} reported it. {LAW}\n{incident.get_absolute_url()}\n",
            )  # fmt: skip


def add_to_incident(*, incident: Incident, words: str, doing: Doing, mark: UUID) -> IncidentNote:
    """A correction, or what came to light later; what was written first stays."""

    def make() -> IncidentNote:
        note = IncidentNote.objects.create(incident=incident, words=words, written_by=doing.member, written_at=doing.at)
        record(doing.member, "added to a report", incident.day)
        return note

    return submit_once(doing.member, mark, make)[0]
