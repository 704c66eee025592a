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
    for other_kind, other_id, raw in _others(files):
        document = tomlkit.parse(texts[other_kind, other_id])
        table: Any = document[other_id]
        is_heir = kind == "causes" and (other_kind, other_id) == ("causes", heir)
        orphans = _orphans(files, entry_id) if is_heir else []
        if _turned(kind, other_kind, raw, table, (entry_id, heir)) or orphans:
            if orphans:
                table["remedies"] = [*_listed(raw.get("remedies")), *orphans]
            table["basis"] = CLUB_RECORD
            changed.append(_entry(files, other_kind, other_id, str(tomlkit.dumps(document))))
    return changed


def _turned(kind: str, other_kind: str, raw: Any, table: Any, from_to: tuple[str, str]) -> bool:
    """Turn what one entry says of the old one to its heir; says whether it said anything."""
    old, heir = from_to
    if (kind, other_kind) == ("causes", "findings"):
        return _turn_links(raw, table, old, heir)
    field = {("causes", "checks"): "examines", ("findings", "checks"): "answers"}.get((kind, other_kind), "")
    if field and raw.get(field) == old:
        table[field] = heir
        return True
    if (kind, other_kind) == ("remedies", "causes") and old in _listed(raw.get("remedies")):
        table["remedies"] = list(dict.fromkeys(heir if name == old else name for name in _listed(raw["remedies"])))
        return True
    return False


def _turn_links(raw: Any, table: Any, old: str, heir: str) -> bool:
    links = [link for link in raw.get("links", []) if isinstance(link, dict)]
    mine = [number for number, link in enumerate(links) if link.get("cause") == old]
    taken = {link.get("across", "") for link in links if link.get("cause") == heir}
    for number in reversed(mine):
        if links[number].get("across", "") in taken:
            del table["links"][number]
        else:
            table["links"][number]["cause"] = heir
    return bool(mine)


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
