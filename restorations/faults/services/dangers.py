"""A danger seen on a sheet stops its engine, in the transaction that writes it down; a helper's word is enough."""

from dataclasses import replace

from django.utils import timezone

from restorations.engines.models import Stoppage
from restorations.engines.models.stoppage import BOILER, CAUSE_CLASSES, LONGEST_WORDS
from restorations.engines.services.stoppages import StopDraft, place_stop
from restorations.faults.danger import Danger, danger_in
from restorations.faults.models import Step
from restorations.faults.services.sheets import Ground
from restorations.members.doing import Doing


def stop_for_danger(step: Step, ground: Ground, doing: Doing) -> Stoppage | None:
    """The stop this step makes, or the one that the same danger of the same sheet made before; none without danger."""
    danger = danger_in(step, ground.expanded)
    if danger is None:
        return None
    earlier: Stoppage | None = (
        Stoppage.objects.not_lifted()
        .filter(steps__sheet=step.sheet, steps__finding=step.finding, steps__cause=step.cause)
        .first()
    )
    if earlier is not None:
        return earlier
    return place_stop(engine=step.sheet.engine, draft=_draft(step, danger), doing=doing, for_inspector=True)


def _draft(step: Step, danger: Danger) -> StopDraft:
    words = f"{step.words}\nSeen on fault sheet {step.sheet_id}: {step.sheet.title}"
    return StopDraft(
        kind=BOILER if danger.stops_boiler else "defect",
        cause_class=danger.system if danger.system in CAUSE_CLASSES else "other",
        words=words[:LONGEST_WORDS],
        began_on=timezone.localdate(step.happened_at),
        waits_for="inspector" if danger.stops_boiler else "mentor",
    )


def with_stop(ground: Ground, step: Step) -> Ground:
    """The ground once the boiler is stopped by what this step says: no steam, whatever the papers allow."""
    danger = danger_in(step, ground.expanded)
    if danger is None or not danger.stops_boiler:
        return ground
    return replace(ground, bench=replace(ground.bench, steam_allowed=False))
