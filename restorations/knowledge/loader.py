"""Loads a folder of knowledge files, checks all of it and lists every offender at once."""

from __future__ import annotations

import tomllib
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from functools import cache
from hashlib import sha256
from pathlib import Path
from typing import Any, TypeVar

from restorations.knowledge import reading
from restorations.knowledge.builds import causes_left_alone
from restorations.knowledge.entries import Cause, Check, Condition, Finding, Part, Remedy, Source
from restorations.knowledge.rules import broken_rules
from restorations.knowledge.tables import KnowledgeError, Offender, Table
from restorations.knowledge.telling_apart import not_told_apart

SHIPPED = Path(__file__).parent
KINDS = ("causes", "findings", "checks", "remedies")
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

    def __eq__(self, other: object) -> bool:
        return isinstance(other, Knowledge) and other.checksum == self.checksum

    def __hash__(self) -> int:
        return hash(self.checksum)


def load(folder: Path | None = None) -> Knowledge:
    """Load the shipped knowledge (kept after the first time), or that of another folder."""
    return _load_shipped() if folder is None else read(folder)


@cache
def _load_shipped() -> Knowledge:
    return read(SHIPPED)


def read(folder: Path) -> Knowledge:
    """Load a folder; raises KnowledgeError with all offenders."""
    knowledge, offenders = survey(folder)
    if offenders:
        raise KnowledgeError(offenders)
    return knowledge


def survey(folder: Path) -> tuple[Knowledge, list[Offender]]:
    """Read a folder as far as it goes, and list what is wrong with it."""
    paths = sorted(path for path in folder.rglob("*.toml"))
    files = _Files(folder, paths)
    per_kind = {kind: files.entries(kind, getattr(reading, f"read_{_SINGULAR[kind]}")) for kind in KINDS}
    parts = files.entries("parts", reading.read_part)
    knowledge = Knowledge(
        **per_kind,
        parts={key: part for key, part in parts.items() if isinstance(part, Part)},
        conditions={key: part for key, part in parts.items() if isinstance(part, Condition)},
        sources=files.entries("sources", lambda table, system: reading.read_source(table)),
        checksum=files.checksum(),
    )
    between = broken_rules(knowledge) + causes_left_alone(knowledge) + not_told_apart(knowledge)
    return knowledge, files.offenders + between


_SINGULAR = {"causes": "cause", "findings": "finding", "checks": "check", "remedies": "remedy"}


class _Files:
    """The parsed files of a folder: parts.toml and sources.toml at the top, four kinds in each system's folder."""

    def __init__(self, folder: Path, paths: list[Path]) -> None:
        self.offenders: list[Offender] = []
        self._contents = {path.relative_to(folder).as_posix(): path.read_bytes() for path in paths}
        self._parsed = {name: self._parse(name, content) for name, content in self._contents.items()}
        for name in self._contents:
            if not _is_lawful_name(name):
                expected = "expected parts.toml, sources.toml or <system>/{causes,findings,checks,remedies}.toml"
                self.offenders.append(Offender(name, "", "", expected))

    def checksum(self) -> str:
        """Hash names and bytes of all files."""
        total = sha256()
        for name, content in self._contents.items():
            total.update(f"{name}\0{len(content)}\0".encode() + content)
        return total.hexdigest()

    def entries(self, kind: str, read_one: Callable[[Table, str], _Read]) -> dict[str, _Read]:
        """Read every table of the files of a kind, sorted by id; ids are unique over all systems."""
        found: dict[str, _Read] = {}
        for name, tables in self._parsed.items():
            if Path(name).stem == kind and _is_lawful_name(name):
                self._check_order(name, list(tables))
                for entry_id, raw in tables.items():
                    if entry_id in found:
                        self.offenders.append(Offender(name, entry_id, "", f"this id is already one of the {kind}"))
                    found[entry_id] = self._read(name, entry_id, raw, read_one)
        return dict(sorted(found.items()))

    def _read(self, name: str, entry_id: str, raw: Any, read_one: Callable[[Table, str], _Read]) -> _Read:
        table = Table(raw if isinstance(raw, dict) else {}, name, entry_id, self.offenders)
        if not isinstance(raw, dict):
            table.fault("", "expected a table")
        if not _is_lawful_id(entry_id):
            table.fault("id", "expected small letters, digits and underscores, beginning with a letter")
        return read_one(table, Path(name).parent.name)

    def _parse(self, name: str, content: bytes) -> dict[str, Any]:
        try:
            return tomllib.loads(content.decode("utf-8"))
        except (tomllib.TOMLDecodeError, UnicodeDecodeError) as error:
            self.offenders.append(Offender(name, "", "", f"not readable as TOML in UTF-8: {error}"))
            return {}

    def _check_order(self, name: str, ids: list[str]) -> None:
        for earlier, later in zip(ids, sorted(ids), strict=True):
            if earlier != later:
                self.offenders.append(Offender(name, earlier, "id", f"expected the ids sorted; here {later!r}"))
                return


def _is_lawful_name(name: str) -> bool:
    path = Path(name)
    return name in ("parts.toml", "sources.toml") or (len(path.parts) == 2 and path.stem in KINDS)


def _is_lawful_id(entry_id: str) -> bool:
    return entry_id[:1].isalpha() and entry_id.isascii() and entry_id.isidentifier() and entry_id == entry_id.lower()
