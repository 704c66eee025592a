"""A club's own entries laid over the shipped files: the whole is checked, or refused with all offenders."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from hashlib import sha256
from typing import Any

from restorations.knowledge.entry_text import CLUB_RECORD
from restorations.knowledge.files import KINDS, Files, is_lawful_id
from restorations.knowledge.loader import Knowledge, survey_files
from restorations.knowledge.parsing import NotReadable, parse
from restorations.knowledge.tables import KnowledgeError, Offender

LONGEST_ENTRY = 20_000
MOST_LINES = 1_000


@dataclass(frozen=True, slots=True)
class EntryText:
    """One whole entry of the club's in the form of the files. No text: the shipped one, if there is one, holds."""

    kind: str
    system: str
    id: str
    text: str

    @property
    def key(self) -> tuple[str, str]:
        """What it lies over."""
        return self.kind, self.id


Change = Sequence[EntryText]


@dataclass(frozen=True, slots=True)
class LeftOut:
    """A change that does not keep the rules over the files as they are now."""

    number: int
    """Which of the changes it is."""
    offenders: tuple[Offender, ...]


@dataclass(frozen=True, slots=True)
class Laid:
    """The files with every change that keeps the rules, what they hold, and what had to be left out."""

    files: Files
    knowledge: Knowledge
    left_out: tuple[LeftOut, ...]


def overlay(files: Files, entries: Sequence[EntryText]) -> Knowledge:
    """Return the files' knowledge with the entries in their places; raises KnowledgeError with all offenders."""
    knowledge, offenders = survey_over(files, entries)
    if offenders:
        raise KnowledgeError(offenders)
    return knowledge


def survey_over(files: Files, entries: Sequence[EntryText]) -> tuple[Knowledge, list[Offender]]:
    """Read files and entries as far as they go, and list what is wrong with the whole."""
    return survey_files(laid_over(files, entries))


def lay_over(files: Files, changes: Sequence[Change]) -> Laid:
    """Lay changes over the files in their order; one that breaks the rules is left out and the rest goes on."""
    laid = laid_over(files, [entry for change in changes for entry in change])
    knowledge, offenders = survey_files(laid)
    if not offenders or not changes:
        return Laid(laid, knowledge, ())
    kept, left_out = _sound(files, [], list(enumerate(changes)))
    return replace(lay_over(files, [change for _, change in kept]), left_out=tuple(left_out))


_Numbered = list[tuple[int, Change]]


def _sound(files: Files, kept: _Numbered, more: _Numbered) -> tuple[_Numbered, list[LeftOut]]:
    """Try all at once; where that fails each half, so that one bad change among many is found in few tries."""
    _, offenders = survey_over(files, [entry for _, change in (*kept, *more) for entry in change])
    if not offenders:
        return kept + more, []
    if len(more) == 1:
        return kept, [LeftOut(more[0][0], tuple(sorted(set(offenders))))]
    half = len(more) // 2
    kept, first = _sound(files, kept, more[:half])
    kept, second = _sound(files, kept, more[half:])
    return kept, first + second


def laid_over(files: Files, entries: Sequence[EntryText]) -> Files:
    """Return the parsed files with the entries in their places; of two for one place the later holds."""
    newest = {entry.key: entry for entry in entries}
    standing = [entry for entry in newest.values() if entry.text]
    if not standing:
        return files
    tables: dict[str, dict[str, Any]] = {name: dict(of_file) for name, of_file in files.tables.items()}
    offenders = list(files.offenders)
    for entry in standing:
        name, raw = _read(files, entry, offenders)
        if raw is not None:
            tables.setdefault(name, {})[entry.id] = raw
    ordered = {name: dict(sorted(tables[name].items())) for name in sorted(tables)}
    return replace(files, tables=ordered, offenders=tuple(offenders), checksum=_checksum(files.checksum, standing))


def _read(files: Files, entry: EntryText, offenders: list[Offender]) -> tuple[str, Mapping[str, Any] | None]:
    """The file an entry belongs to, and its table; what is wrong with its text alone is noted."""
    name = files.file_of(entry.kind, entry.id) or f"{entry.system}/{entry.kind}.toml"
    troubles = [*_misplaced(files, entry), *_too_long(entry.text)]
    raw: Any = None
    if not troubles:
        try:
            raw, troubles = _only_table(parse(entry.text), entry.id)
        except NotReadable as error:
            troubles = [("", f"not readable as TOML: {error}")]
    offenders += [Offender(name, entry.id, field, expected) for field, expected in troubles]
    return name, raw


def _misplaced(files: Files, entry: EntryText) -> list[tuple[str, str]]:
    if entry.kind not in KINDS:
        return [("kind", f"{entry.kind!r} is none of {', '.join(KINDS)}")]
    if not is_lawful_id(entry.id):
        return [("id", "expected small letters, digits and underscores, beginning with a letter")]
    if entry.system not in files.systems:
        return [("system", f"{entry.system!r} is none of {', '.join(files.systems)}")]
    return []


def _too_long(text: str) -> list[tuple[str, str]]:
    if len(text) > LONGEST_ENTRY or text.count("\n") > MOST_LINES:
        return [("", f"expected at most {LONGEST_ENTRY} letters in {MOST_LINES} lines")]
    return []


def _only_table(tables: Mapping[str, Any], entry_id: str) -> tuple[Mapping[str, Any] | None, list[tuple[str, str]]]:
    raw = tables.get(entry_id)
    if list(tables) != [entry_id] or not isinstance(raw, dict):
        return None, [("", f"expected the one table [{entry_id}] and nothing beside it")]
    if raw.get("basis") != CLUB_RECORD:
        return raw, [("basis", f"expected {CLUB_RECORD!r}: what the club changes is its own record")]
    return raw, []


def _checksum(shipped: str, entries: Sequence[EntryText]) -> str:
    total = sha256(shipped.encode())
    for entry in sorted(entries, key=lambda one: one.key):
        for piece in (entry.kind, entry.system, entry.id, entry.text):
            total.update(f"{len(piece)}\0{piece}".encode())
    return total.hexdigest()
