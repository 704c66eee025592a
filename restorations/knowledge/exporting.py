"""The files with the club's entries in their places, as text that loads through the same loader."""

from __future__ import annotations

from collections.abc import Sequence

from restorations.knowledge.entry_text import pieces
from restorations.knowledge.files import Files
from restorations.knowledge.overlay import EntryText


def file_texts(files: Files, entries: Sequence[EntryText]) -> dict[str, str]:
    """Return every file by name; those without an entry of the club's are as they were, to the letter."""
    newest = {entry.key: entry for entry in entries}
    texts = dict(files.texts)
    for entry in sorted(newest.values(), key=lambda one: one.key):
        if entry.text:
            name = files.file_of(entry.kind, entry.id) or f"{entry.system}/{entry.kind}.toml"
            texts[name] = _with_entry(texts.get(name, ""), entry)
    return dict(sorted(texts.items()))


def _with_entry(text: str, entry: EntryText) -> str:
    head, found = pieces(text)
    changed = {**found, entry.id: entry.text.strip() + "\n"}
    return head + "\n".join(changed[entry_id] for entry_id in sorted(changed))
