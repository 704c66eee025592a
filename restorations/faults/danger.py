"""What on a sheet can hurt somebody: what it puts out of use at once, and what its page says before anything else."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from restorations.engines.models import Stoppage
from restorations.faults.models import Step
from restorations.knowledge import EngineKnowledge

MAKE_SAFE = (
    "Make it safe first: shut off, let it cool, walk away. "
    "Tell a mentor and the club's inspector before anything else is tried."
)
SEEN, GONE, STRUCK = "seen", "gone", "struck out"


@dataclass(frozen=True, slots=True)
class Danger:
    """Something dangerous that a step says is so."""

    title: str
    system: str
    stop: str
    stops_boiler: bool
    card: str


def danger_in(step: Step, expanded: EngineKnowledge) -> Danger | None:
    """A dangerous finding above level 0, or a boiler's dangerous cause found by looking at the part itself."""
    if step.kind == "observation" and step.level:
        finding = expanded.findings.get(step.finding)
        if finding is not None and finding.entry.dangerous:
            entry = finding.entry
            return Danger(finding.name, entry.system, entry.stop or MAKE_SAFE, entry.stops == "boiler", entry.card)
    if step.kind == "inspection" and step.present:
        cause = expanded.causes.get(step.cause)
        if cause is not None and cause.entry.dangerous and cause.entry.system == "boiler":
            return Danger(cause.name, cause.entry.system, MAKE_SAFE, True, "")
    return None


@dataclass(frozen=True, slots=True)
class DangerNote:
    """One danger of a sheet as its page puts it first; `why` says whether it still holds, the stop holds anyway."""

    title: str
    stop: str
    card: str
    why: str
    stoppage: Stoppage | None

    @property
    def is_now(self) -> bool:
        return self.why == SEEN


def danger_notes(
    steps: Sequence[Step], expanded: EngineKnowledge, stops: Sequence[Stoppage]
) -> tuple[DangerNote, ...]:  # fmt: skip
    """Dangers that hold, and stops they made that nobody has lifted, struck out or cured as they may be.

    `steps` are all of the sheet in order, `stops` what stops its engine today.
    """
    by_id = {stop.pk: stop for stop in stops}
    latest = {_about(step): step for step in steps if not step.is_struck and step.kind in {"observation", "inspection"}}
    notes = (_note(about, rows, latest.get(about), expanded, by_id) for about, rows in _dangerous(steps, expanded))
    found = [note for note in notes if note is not None]
    return tuple(sorted(found, key=lambda note: (not note.is_now, note.stoppage is None)))


def _about(step: Step) -> tuple[str, str]:
    return step.finding, step.cause


def _dangerous(steps: Sequence[Step], expanded: EngineKnowledge) -> Iterator[tuple[tuple[str, str], list[Step]]]:
    """By what they are about: the steps that were dangerous when they were written, struck out or not."""
    grouped: dict[tuple[str, str], list[Step]] = {}
    for step in steps:
        if step.stoppage_id is not None or danger_in(step, expanded) is not None:
            grouped.setdefault(_about(step), []).append(step)
    yield from grouped.items()


def _note(
    about: tuple[str, str], rows: Sequence[Step], latest: Step | None, expanded: EngineKnowledge,
    open_stops: dict[int, Stoppage],
) -> DangerNote | None:  # fmt: skip
    stoppage = next((open_stops[row.stoppage_id] for row in rows if row.stoppage_id in open_stops), None)
    danger = danger_in(latest, expanded) if latest is not None else None
    if danger is not None:
        return DangerNote(danger.title, danger.stop, danger.card, SEEN, stoppage)
    if stoppage is None:
        return None
    was = danger_in(rows[-1], expanded)
    why = GONE if latest is not None else STRUCK
    return DangerNote(was.title if was else rows[-1].words, "", was.card if was else "", why, stoppage)
