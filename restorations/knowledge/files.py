"""The files of a folder of knowledge as they were parsed: by file name and id, with text and checksum."""

from __future__ import annotations

import json
from collections.abc import Mapping
from dataclasses import dataclass
from hashlib import sha256
from pathlib import Path, PurePosixPath
from typing import Any

from restorations.knowledge.parsing import NotReadable, parse
from restorations.knowledge.tables import Offender

KINDS = ("causes", "findings", "checks", "remedies")
LONGEST_ID = 50
_SINGLE = ("parts.toml", "sources.toml")
_Tables = Mapping[str, Mapping[str, Any]]


@dataclass(frozen=True, slots=True, eq=False)
class Files:
    """parts.toml and sources.toml at the top, four kinds in each system's folder; what could not be read is noted."""

    texts: Mapping[str, str]
    tables: _Tables
    offenders: tuple[Offender, ...]
    checksum: str

    @property
    def systems(self) -> tuple[str, ...]:
        """The systems that have a folder."""
        return tuple(sorted({str(PurePosixPath(name).parent) for name in self.tables if name not in _SINGLE}))

    def of_kind(self, kind: str) -> _Tables:
        """Return the files of a kind."""
        return {name: tables for name, tables in self.tables.items() if is_lawful_name(name) and _stem(name) == kind}

    def file_of(self, kind: str, entry_id: str) -> str:
        """Return the name of the file that holds an entry, or nothing."""
        return next((name for name, tables in self.of_kind(kind).items() if entry_id in tables), "")

    def raw(self, kind: str, entry_id: str) -> Any:
        """Return an entry as it was parsed, or None."""
        return self.tables.get(self.file_of(kind, entry_id), {}).get(entry_id)

    def checksum_of(self, kind: str, entry_id: str) -> str:
        """Return the checksum of what an entry says, whatever its layout; nothing where there is no such entry."""
        raw = self.raw(kind, entry_id)
        if raw is None:
            return ""
        return sha256(json.dumps(raw, sort_keys=True, default=str).encode()).hexdigest()


def read_files(folder: Path) -> Files:
    """Read every TOML file of a folder."""
    contents = {path.relative_to(folder).as_posix(): path.read_bytes() for path in sorted(folder.rglob("*.toml"))}
    offenders: list[Offender] = []
    texts = {name: _text(name, content, offenders) for name, content in contents.items()}
    tables = {name: _tables(name, text, offenders) for name, text in texts.items()}
    for name in contents:
        if not is_lawful_name(name):
            expected = f"expected {', '.join(_SINGLE)} or <system>/{{{','.join(KINDS)}}}.toml"
            offenders.append(Offender(name, "", "", expected))
    return Files(texts, tables, tuple(offenders), _checksum(contents))


def is_lawful_name(name: str) -> bool:
    """Say whether a file may be called so."""
    return name in _SINGLE or (len(PurePosixPath(name).parts) == 2 and _stem(name) in KINDS)


def is_lawful_id(entry_id: str) -> bool:
    """Say whether an entry may be called so."""
    is_word = entry_id[:1].isalpha() and entry_id.isascii() and entry_id.isidentifier()
    return is_word and entry_id == entry_id.lower() and len(entry_id) <= LONGEST_ID


def _stem(name: str) -> str:
    return PurePosixPath(name).stem


def _text(name: str, content: bytes, offenders: list[Offender]) -> str:
    try:
        return content.decode("utf-8")
    except UnicodeDecodeError as error:
        offenders.append(_not_readable(name, error))
        return ""


def _tables(name: str, text: str, offenders: list[Offender]) -> dict[str, Any]:
    try:
        return parse(text)
    except NotReadable as error:
        offenders.append(_not_readable(name, error))
        return {}


def _not_readable(name: str, error: ValueError) -> Offender:
    return Offender(name, "", "", f"not readable as TOML in UTF-8: {error}")


def _checksum(contents: Mapping[str, bytes]) -> str:
    total = sha256()
    for name, content in contents.items():
        total.update(f"{name}\0{len(content)}\0".encode() + content)
    return total.hexdigest()
