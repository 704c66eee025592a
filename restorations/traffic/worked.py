"""Who had a hand in the work on an engine: they neither sign for it nor pass its boiler."""

from datetime import date, datetime, time

from django.utils import timezone

from restorations.engines.models import Engine
from restorations.faults.models import Step
from restorations.tasks.models import Connection, DayBookEntry, FreeingAttempt, JobCard, Soak, StrippedPart

WORK = ("remedy", "begun")


def workers_since(engine: Engine, since: date) -> frozenset[int]:
    """Ids of the members who worked on it from that day on, a helper's line that nobody accepted too."""
    start = timezone.make_aware(datetime.combine(since, time.min))
    entries = DayBookEntry.objects.not_struck().filter(engine=engine, happened_at__gte=start)
    steps = Step.objects.not_struck().filter(sheet__engine=engine, kind__in=WORK, happened_at__gte=start)
    cards = JobCard.objects.filter(engine=engine, state="done", ended_at__gte=start)
    columns = [
        entries.values_list("done_by"), entries.filter(helpers__isnull=False).values_list("helpers"),
        steps.values_list("done_by"), cards.values_list("people"),
        *(
            model.objects.not_struck().filter(**{"engine": engine, f"{moment}__gte": start}).values_list(who)
            for model, moment, who in _MOVED
        ),
    ]  # fmt: skip
    return frozenset(who for rows in columns for (who,) in rows.order_by().distinct() if who is not None)


_MOVED = (
    (StrippedPart, "off_at", "off_by"), (StrippedPart, "ended_at", "ended_by"),
    (Connection, "parted_at", "parted_by"), (Connection, "joined_at", "joined_by"),
    (Soak, "begun_at", "begun_by"), (Soak, "ended_at", "ended_by"), (FreeingAttempt, "tried_at", "tried_by"),
)  # fmt: skip
