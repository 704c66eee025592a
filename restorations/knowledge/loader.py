"""Loads a folder of knowledge files, checks all of it and lists every offender at once."""

from __future__ import annotations

import json
from collections.abc import Callable, Mapping
from dataclasses import dataclass, replace
from functools import cache
from hashlib import sha256
from pathlib import Path, PurePosixPath
from typing import Any, TypeVar

from restorations.knowledge import reading
from restorations.knowledge.builds import causes_left_alone
from restorations.knowledge.entries import Cause, Check, Condition, Finding, Part, Remedy, Source
from restorations.knowledge.files import LONGEST_ID, Files, is_lawful_id, read_files
from restorations.knowledge.rules import broken_rules
from restorations.knowledge.tables import KnowledgeError, Offender, Table
from restorations.knowledge.telling_apart import not_told_apart

SHIPPED = Path(__file__).parent
_Read = TypeVar("_Read")


@dataclass(frozen=True, slots=True, eq=False)
class Knowledge:
    """Everything in the files, by id, and the checksum of the files it was read from, by which two are compared."""

    causes: Mapping[str, Cause]
    findings: Mapping[str, Finding]
    checks: Mapping[str, Check]
    remedies: Mapping[str, Remedy]
    parts: Mapping[str, Part]
    conditions: Mapping[str, Condition]
    sources: Mapping[str, Source]
    checksum: str
    files: str = ""
    """The checksum of the files alone, where other base rates have been laid over them."""

    def __eq__(self, other: object) -> bool:
        return isinstance(other, Knowledge) and other.checksum == self.checksum

    def __hash__(self) -> int:
        return hash(self.checksum)

    def with_rates(self, rates: Mapping[str, Mapping[str, float]]) -> Knowledge:
        """Return the same with other base rates, by cause and history class; its checksum is of both.

        Raises ValueError for a rate that the knowledge does not have, or that is not strictly between 0 and 1.
        """
        if not rates:
            return self
        changed = {cause_id: _with_rates(self.causes.get(cause_id), cause_id, own) for cause_id, own in rates.items()}
        text = json.dumps([self.checksum, {key: dict(own) for key, own in rates.items()}], sort_keys=True)
        checksum = sha256(text.encode()).hexdigest()
        return replace(self, causes={**self.causes, **changed}, checksum=checksum, files=self.files or self.checksum)


def _with_rates(cause: Cause | None, cause_id: str, rates: Mapping[str, float]) -> Cause:
    if cause is None or not rates.keys() <= cause.rate.keys():
        raise ValueError(f"{cause_id}: no such cause, or no base rate {', '.join(sorted(rates))}")
    if wrong := sorted(rate for rate in rates.values() if not 0 < rate < 1):
        raise ValueError(f"{cause_id}: {wrong[0]} is not strictly between 0 and 1")
    return replace(cause, rate={**cause.rate, **rates})


def load(folder: Path | None = None) -> Knowledge:
    """Load the shipped knowledge (kept after the first time), or that of another folder."""
    return _load_shipped() if folder is None else read(folder)


@cache
def shipped_files() -> Files:
    """Return the parsed files of the shipped knowledge (kept after the first time)."""
    return read_files(SHIPPED)


@cache
def _load_shipped() -> Knowledge:
    return _sound(*survey_files(shipped_files()))


def read(folder: Path) -> Knowledge:
    """Load a folder; raises KnowledgeError with all offenders."""
    return _sound(*survey(folder))


def survey(folder: Path) -> tuple[Knowledge, list[Offender]]:
    """Read a folder as far as it goes, and list what is wrong with it."""
    return survey_files(read_files(folder))


def survey_files(files: Files) -> tuple[Knowledge, list[Offender]]:
    """Read parsed files as far as they go, and list what is wrong with them."""
    offenders = list(files.offenders)
    per_kind: dict[str, Any] = {kind: _entries(files, kind, one, offenders) for kind, one in _READERS.items()}
    parts = _entries(files, "parts", reading.read_part, offenders)
    knowledge = Knowledge(
        **per_kind,
        parts={key: part for key, part in parts.items() if isinstance(part, Part)},
        conditions={key: part for key, part in parts.items() if isinstance(part, Condition)},
        sources=_entries(files, "sources", lambda table, system: reading.read_source(table), offenders),
        checksum=files.checksum,
    )
    return knowledge, [
        *offenders, *broken_rules(knowledge), *causes_left_alone(knowledge), *not_told_apart(knowledge),
    ]  # fmt: skip


_READERS: dict[str, Callable[[Table, str], Any]] = {
    "causes": reading.read_cause,
    "findings": reading.read_finding,
    "checks": reading.read_check,
    "remedies": reading.read_remedy,
}


def _sound(knowledge: Knowledge, offenders: list[Offender]) -> Knowledge:
    if offenders:
        raise KnowledgeError(offenders)
    return knowledge


def _entries(
    files: Files, kind: str, read_one: Callable[[Table, str], _Read], offenders: list[Offender]
) -> dict[str, _Read]:
    """Read every table of the files of a kind, sorted by id; ids are unique over all systems."""
    found: dict[str, _Read] = {}
    for name, tables in files.of_kind(kind).items():
        offenders.extend(_out_of_order(name, list(tables)))
        for entry_id, raw in tables.items():
            if entry_id in found:
                offenders.append(Offender(name, entry_id, "", f"this id is already one of the {kind}"))
            found[entry_id] = read_one(_table(name, entry_id, raw, offenders), PurePosixPath(name).parent.name)
    return dict(sorted(found.items()))


def _table(name: str, entry_id: str, raw: Any, offenders: list[Offender]) -> Table:
    table = Table(raw if isinstance(raw, dict) else {}, name, entry_id, offenders)
    if not isinstance(raw, dict):
        table.fault("", "expected a table")
    if not is_lawful_id(entry_id):
        expected = "expected small letters, digits and underscores, beginning with a letter"
        table.fault("id", f"{expected}, at most {LONGEST_ID}")
    return table


def _out_of_order(name: str, ids: list[str]) -> list[Offender]:
    pairs = zip(ids, sorted(ids), strict=True)
    return [
        Offender(name, earlier, "id", f"expected the ids sorted; here {later!r}")
        for earlier, later in pairs
        if earlier != later
    ][:1]
