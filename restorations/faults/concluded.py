"""The conclusions of a sheet as its pages show them: what holds, what is proposed, what was opened again."""

from collections.abc import Sequence
from dataclasses import dataclass

from restorations.faults.models import Conclusion, ConfirmedCause, FaultSheet, SignOff
from restorations.faults.models.conclusion import HOW
from restorations.faults.signing import still_to_sign
from restorations.knowledge import UNLISTED, Knowledge, split_id


@dataclass(frozen=True, slots=True)
class ShownCause:
    """A confirmed cause, and what became of it in the knowledge since."""

    row: ConfirmedCause
    since: str

    @property
    def how(self) -> str:
        return HOW[self.row.how]


@dataclass(frozen=True, slots=True)
class Shown:
    conclusion: Conclusion
    causes: tuple[ShownCause, ...]
    by_the_way: tuple[ShownCause, ...]
    sign_offs: tuple[SignOff, ...]
    to_sign: tuple[str, ...]
    """Whose signature is missing."""


@dataclass(frozen=True, slots=True)
class Concluded:
    """In the order of time, the newest first."""

    in_force: Shown | None
    proposed: Shown | None
    earlier: tuple[Shown, ...]


def concluded(sheet: FaultSheet, knowledge: Knowledge) -> Concluded:
    """As many queries however many conclusions there are."""
    rows = sheet.conclusions.select_related("concluded_by", "closed_by", "reopened_by", "struck_by")
    shown = [show(row, knowledge) for row in rows.prefetch_related("causes__step", "sign_offs__by")]
    return Concluded(
        in_force=next((one for one in shown if one.conclusion.is_in_force), None),
        proposed=next((one for one in shown if one.conclusion.is_proposed), None),
        earlier=tuple(one for one in shown if not (one.conclusion.is_in_force or one.conclusion.is_proposed)),
    )


def show(row: Conclusion, knowledge: Knowledge) -> Shown:
    signed = list(row.sign_offs.all())
    return Shown(
        conclusion=row,
        causes=_shown(row.the_causes, knowledge),
        by_the_way=_shown(row.by_the_way, knowledge),
        sign_offs=tuple(signed),
        to_sign=still_to_sign(row, signed) if row.is_in_force else (),
    )


def _shown(rows: Sequence[ConfirmedCause], knowledge: Knowledge) -> tuple[ShownCause, ...]:
    return tuple(ShownCause(row, _since(row.cause, knowledge)) for row in rows)


def _since(cause: str, knowledge: Knowledge) -> str:
    """A cause that was withdrawn stays readable, and says what stands in its place."""
    entry = knowledge.causes.get(split_id(cause)[0])
    if cause == UNLISTED or (entry is not None and entry.is_in_use):
        return ""
    if entry is None:
        return "not in the knowledge any more"
    instead = [knowledge.causes[name].title for name in entry.replaced_by if name in knowledge.causes]
    return f"withdrawn from the knowledge since{'; now: ' + ', '.join(instead) if instead else ''}"
