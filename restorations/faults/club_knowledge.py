"""The shipped knowledge with the club's accepted entries over it."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import lru_cache
from itertools import groupby

from restorations.faults.models import ClubEntry
from restorations.knowledge import Knowledge, load
from restorations.knowledge.entry_text import entry_text
from restorations.knowledge.files import Files
from restorations.knowledge.loader import shipped_files
from restorations.knowledge.overlay import EntryText, lay_over, survey_over
from restorations.knowledge.tables import Offender

Key = tuple[str, str]


@dataclass(frozen=True, slots=True)
class Held:
    """A club entry that lies over a shipped one, or stands where there is none."""

    row: int
    entry: EntryText
    shipped_checksum: str

    @property
    def is_over_another(self) -> bool:
        """Whether the shipped entry is no longer the one it was accepted over."""
        return self.shipped_checksum != shipped_files().checksum_of(*self.entry.key)


@dataclass(frozen=True, slots=True)
class NotHeld:
    """Club entries that do not keep the rules over the files as they are now."""

    rows: tuple[int, ...]
    offenders: tuple[Offender, ...]


@dataclass(frozen=True, slots=True)
class ClubKnowledge:
    """What holds in this club, and what of the club's own lies in it or had to be left out."""

    knowledge: Knowledge
    files: Files
    held: Mapping[Key, Held]
    not_held: tuple[NotHeld, ...]

    def text_of(self, kind: str, entry: str) -> str:
        """An entry as it holds now, in the form of the files; nothing where there is none."""
        own = self.held.get((kind, entry))
        return own.entry.text if own else entry_text(shipped_files(), kind, entry)

    def base_of(self, kind: str, entry: str) -> str:
        """What a change of an entry rests on: it as it holds now, and the shipped one below it."""
        return f"{self.files.checksum_of(kind, entry)}/{shipped_files().checksum_of(kind, entry)}"

    def survey_with(self, entries: Sequence[EntryText]) -> tuple[Knowledge, list[Offender]]:
        """The whole as it would be with these entries, and what would be wrong with it."""
        return survey_over(shipped_files(), [*(own.entry for own in self.held.values()), *entries])

    @property
    def to_look_at_again(self) -> tuple[Held, ...]:
        """Those whose shipped entry came out anew since."""
        return tuple(own for own in self.held.values() if own.is_over_another)


def club_knowledge() -> Knowledge:
    """What is known in this club; its checksum tells one state of it from another."""
    return club().knowledge


def club() -> ClubKnowledge:
    """Worked out once for each state of the club's entries: one small query."""
    return _club_at(chain())


def chain() -> str:
    """The checksum of all accepted entries; nothing where there are none."""
    return ClubEntry.objects.order_by("-number").values_list("chain", flat=True).first() or ""


@lru_cache(maxsize=4)
def _club_at(newest: str) -> ClubKnowledge:
    if not newest:
        return ClubKnowledge(load(), shipped_files(), {}, ())
    rows = list(ClubEntry.objects.order_by("number"))
    last = next((place for place, row in enumerate(rows, start=1) if row.chain == newest), 0)
    by_change = groupby(rows[:last], key=lambda row: row.change_id)
    changes = [list(of_change) for _, of_change in by_change]
    laid = lay_over(shipped_files(), [[row.as_text for row in change] for change in changes])
    out = {left.number: left.offenders for left in laid.left_out}
    kept = [row for number, change in enumerate(changes) if number not in out for row in change]
    newest_rows = {row.key: row for row in kept}
    return ClubKnowledge(
        knowledge=laid.knowledge,
        files=laid.files,
        held={key: Held(row.pk, row.as_text, row.shipped_checksum) for key, row in newest_rows.items() if row.text},
        not_held=tuple(NotHeld(tuple(row.pk for row in changes[number]), said) for number, said in out.items()),
    )
