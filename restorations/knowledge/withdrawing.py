"""What must change with an entry that is withdrawn: whatever named it names its heir instead."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import PurePosixPath
from typing import Any

import tomlkit

from restorations.knowledge.entry_text import CLUB_RECORD, retired
from restorations.knowledge.files import Files
from restorations.knowledge.overlay import EntryText

IN_USE = "in_use"


def withdraw(files: Files, texts: dict[tuple[str, str], str], kind: str, entry_id: str, heir: str) -> list[EntryText]:
    """Return the entry withdrawn, and every entry that named it with its heir in its place.

    `texts` gives each entry as it stands, by kind and id.
    """
    changed = [_entry(files, kind, entry_id, retired(texts[kind, entry_id], entry_id, heir))]
    orphans = _orphans(files, entry_id) if kind == "causes" else []
    for other_kind, other_id, raw in _others(files):
        adopts = orphans if (other_kind, other_id) == (kind, heir) else []
        if not adopts and not _names(kind, other_kind, raw, entry_id):
            continue
        document = tomlkit.parse(texts[other_kind, other_id])
        table: Any = document[other_id]
        _turn(kind, other_kind, raw, table, (entry_id, heir))
        if adopts:
            table["remedies"] = [*_listed(raw.get("remedies")), *adopts]
        table["basis"] = CLUB_RECORD
        changed.append(_entry(files, other_kind, other_id, str(tomlkit.dumps(document))))
    return changed


_FIELDS = {("causes", "checks"): "examines", ("findings", "checks"): "answers", ("remedies", "causes"): "remedies"}


def _names(kind: str, other_kind: str, raw: Any, old: str) -> bool:
    """Say whether an entry names the one that is withdrawn."""
    if (kind, other_kind) == ("causes", "findings"):
        return any(link.get("cause") == old for link in _links(raw))
    return old in _listed(raw.get(_FIELDS.get((kind, other_kind), "")))


def _turn(kind: str, other_kind: str, raw: Any, table: Any, from_to: tuple[str, str]) -> None:
    """Turn what one entry says of the old one to its heir."""
    old, heir = from_to
    field = _FIELDS.get((kind, other_kind), "")
    if (kind, other_kind) == ("causes", "findings"):
        _turn_links(raw, table, old, heir)
    elif field == "remedies":
        table[field] = list(dict.fromkeys(heir if name == old else name for name in _listed(raw[field])))
    elif field:
        table[field] = heir


def _turn_links(raw: Any, table: Any, old: str, heir: str) -> None:
    links = _links(raw)
    taken = {link.get("across", "") for link in links if link.get("cause") == heir}
    for number in reversed([number for number, link in enumerate(links) if link.get("cause") == old]):
        if links[number].get("across", "") in taken:
            del table["links"][number]
        else:
            table["links"][number]["cause"] = heir


def _links(raw: Any) -> list[dict[str, Any]]:
    return [link for link in raw.get("links", []) if isinstance(link, dict)]


def _orphans(files: Files, cause_id: str) -> list[str]:
    """Remedies that nothing but the withdrawn cause names."""
    named_elsewhere = {
        name
        for kind, other_id, raw in _others(files)
        if kind == "causes" and other_id != cause_id
        for name in _listed(raw.get("remedies"))
    }
    return [name for name in _listed(files.raw("causes", cause_id).get("remedies")) if name not in named_elsewhere]


def _others(files: Files) -> Iterator[tuple[str, str, dict[str, Any]]]:
    for kind in ("causes", "findings", "checks"):
        for tables in files.of_kind(kind).values():
            for entry_id, raw in tables.items():
                if isinstance(raw, dict) and raw.get("status") == IN_USE:
                    yield kind, entry_id, raw


def _listed(value: Any) -> list[str]:
    return [value] if isinstance(value, str) else list(value or [])


def _entry(files: Files, kind: str, entry_id: str, text: str) -> EntryText:
    return EntryText(kind, PurePosixPath(files.file_of(kind, entry_id)).parent.name, entry_id, text)
