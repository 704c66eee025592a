"""Between closed sheets and the base rates they teach: what a sheet says, and what was learned, in words.

Every closed sheet counts, signed off or not; an opened-again or struck-out conclusion does not. The rates that the
learning starts from are those of the files and of what the club has put over them; a rate is named by cause and history
class, and its sides, ends and axles are places of one rate.
"""

from collections.abc import Mapping, Sequence
from dataclasses import asdict, dataclass
from functools import lru_cache
from typing import Any

from restorations.calc.diagnosis.learning import ClosedSheet, Confirmation, LearnedRate, rate_in_words
from restorations.engines.models import Design
from restorations.faults.club_knowledge import club_knowledge
from restorations.faults.models import Conclusion, FaultSheet, LearnedRates, Step
from restorations.faults.ranking import evidence_of
from restorations.faults.scoring import complaint_steps
from restorations.knowledge import UNLISTED, EngineKnowledge, History, Knowledge, history_class
from restorations.knowledge.entries import Cause
from restorations.knowledge.places import placed_id, split_id

Learned = Mapping[str, Mapping[str, Mapping[str, Any]]]
CLASS_WORDS = {
    "idle_for_years": "idle for years", "freshly_assembled": "freshly put together", "in_regular_use": "in regular use",
}  # fmt: skip
FILE = "file"
_COUNTS_AS = {"seen": Confirmation.SEEN, "cured": Confirmation.CURED, "inferred": Confirmation.INFERRED}


class CauseGone(ValueError):
    """A confirmed cause that the knowledge no longer has; the sheet is left out and named."""


def rate_names(sheet: FaultSheet, expanded: EngineKnowledge) -> dict[str, str]:
    """The rate that each cause of this engine belongs to; none where the history leaves several classes open."""
    history = History.from_mapping(sheet.history)
    named = {}
    for placed in expanded.causes.values():
        kept = history_class(history.answers(placed.entry.system))
        if kept is not None and placed.id != UNLISTED:
            named[placed.id] = rate_name(placed.entry.id, kept)
    return named


def rate_name(cause_id: str, of_class: str) -> str:
    return f"{cause_id}/{of_class}"


def rates_of(knowledge: Knowledge) -> dict[str, float]:
    """Every rate of the knowledge by its name."""
    causes = [cause for cause in knowledge.causes.values() if cause.is_in_use]
    return {rate_name(cause.id, name): rate for cause in causes for name, rate in cause.rate.items()}


def as_closed_sheet(
    conclusion: Conclusion, steps: Sequence[Step], expanded: EngineKnowledge, causes: Mapping[str, Cause]
) -> ClosedSheet:
    """What the learning takes; raises CauseGone."""
    evidence = evidence_of(steps, expanded)
    complaint = {step.number for step in complaint_steps(steps)}
    return ClosedSheet(
        model=expanded.model,
        history=evidence.events,
        complaint=[event for event, step in zip(evidence.events, evidence.steps, strict=True) if step in complaint],
        confirmed={_now(row.cause, row.name, expanded, causes): _COUNTS_AS[row.how] for row in conclusion.causes.all()},
    )


def _now(cause: str, name: str, expanded: EngineKnowledge, causes: Mapping[str, Cause]) -> str:
    """The cause as the knowledge has it now; one that was withdrawn for one other goes on as that."""
    if cause in expanded.causes:
        return cause
    entry_id, place = split_id(cause)
    instead = causes[entry_id].replaced_by if entry_id in causes else ()
    if len(instead) == 1 and placed_id(instead[0], place) in expanded.causes:
        return placed_id(instead[0], place)
    raise CauseGone(f"It confirmed “{name}”, which the knowledge does not have any more, nor one other in its place.")


def as_stored(rates: Mapping[str, LearnedRate], files: Mapping[str, float]) -> dict[str, dict[str, dict[str, Any]]]:
    """By cause and class, what at least one sheet spoke of; `files` are the rates as they stand in the files."""
    stored: dict[str, dict[str, dict[str, Any]]] = {}
    for name, rate in sorted(rates.items()):
        if rate.sheets:
            cause, _, kept = name.partition("/")
            stored.setdefault(cause, {})[kept] = {**asdict(rate), FILE: files[name]}
    return stored


def with_learned(knowledge: Knowledge, learned: Learned) -> Knowledge:
    """The knowledge with learned rates, those that were learned from the rates it has; others were overtaken."""
    rates: dict[str, dict[str, float]] = {}
    for cause_id, by_class in learned.items():
        cause = knowledge.causes.get(cause_id)
        if cause is not None and cause.is_in_use:
            kept = {name: row["rate"] for name, row in by_class.items() if cause.rate.get(name) == row[FILE]}
            rates |= {cause_id: kept} if kept else {}
    return knowledge.with_rates(rates)


Rows = tuple[tuple[int, str], ...]
"""Number and checksum of the rows that hold for an engine, the club's first: they name one state of what is learned."""


@dataclass(frozen=True, slots=True)
class Taught:
    """What the closed sheets have made of the base rates, for the club or for the engines of one design."""

    knowledge: Knowledge
    """The rates that the learning started from."""
    learned: Learned

    def words(self, cause_id: str, of_class: str | None = None) -> str:
        """What is known of a cause's base rate; of one history class only, where one is given."""
        cause = self.knowledge.causes.get(cause_id)
        if cause is None:
            return ""
        rows = self.learned.get(cause_id, {})
        classes = [of_class] if of_class else list(CLASS_WORDS)
        spoken = [name for name in classes if name in rows and cause.rate[name] == rows[name][FILE]]
        if spoken:
            return "; ".join(f"{CLASS_WORDS[name]}: {self.row_words(rows[name])}" for name in spoken)
        rates = ", ".join(f"{CLASS_WORDS[name]} {100 * cause.rate[name]:.2g} %" for name in classes)
        return f"base rate {rates}; no closed sheet speaks of it yet"

    def row_words(self, row: Mapping[str, Any]) -> str:
        """One rate with what it rests on."""
        numbers = {name: row[name] for name in ("shipped", "expected_from_complaints", "found", "sheets", "rate")}
        start = "the club's rate without its sisters" if row["of_design"] else "base rate"
        return rate_in_words(LearnedRate(**numbers), start)


def taught(design: Design | int | None = None) -> Taught:
    """With as many queries however many causes are asked for."""
    design_id = design.pk if isinstance(design, Design) else design
    return Taught(club_knowledge(), learned_in(rows_holding(design_id)))


def told(cause_id: str, design: Design | int | None = None) -> str:
    """What the closed sheets say of one cause's base rate."""
    return taught(design).words(cause_id)


def rows_holding(design_id: int | None) -> Rows:
    """One small query: pages ask it each time."""
    return tuple(sorted(LearnedRates.objects.holding_for(design_id).values_list("pk", "checksum")))


@lru_cache(maxsize=64)
def learned_in(rows: Rows) -> Learned:
    """The club's rates with those of the design over them; read once for each state."""
    found: dict[str, dict[str, dict[str, Any]]] = {}
    stored = LearnedRates.objects.filter(pk__in=[pk for pk, _ in rows])
    for row in sorted(stored, key=lambda row: row.design_id is not None):
        for cause, by_class in row.learned.items():
            whose = {name: {**numbers, "of_design": row.design_id is not None} for name, numbers in by_class.items()}
            found[cause] = {**found.get(cause, {}), **whose}
    return found


@lru_cache(maxsize=16)
def knowledge_with(knowledge: Knowledge, rows: Rows) -> Knowledge:
    """The knowledge with the learned rates of these rows, for each state of both once."""
    return with_learned(knowledge, learned_in(rows))
