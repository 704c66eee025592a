"""What a change does to the text of an entry, line by line."""

from collections.abc import Iterator
from dataclasses import dataclass
from difflib import SequenceMatcher

AROUND = 2


@dataclass(frozen=True, slots=True)
class Line:
    """`mark` is "same", "gone", "new" or "left out": lines that are the same and not near a change."""

    mark: str
    text: str


def changed_lines(before: str, after: str) -> list[Line]:
    """The lines that go and come, with a few around them."""
    old, new = before.splitlines(), after.splitlines()
    found: list[Line] = []
    for group in SequenceMatcher(None, old, new, autojunk=True).get_grouped_opcodes(AROUND):
        if found:
            found.append(Line("left out", "…"))
        for tag, i1, i2, j1, j2 in group:
            found.extend(_lines(tag, old[i1:i2], new[j1:j2]))
    return found


def _lines(tag: str, old: list[str], new: list[str]) -> Iterator[Line]:
    if tag == "equal":
        yield from (Line("same", text) for text in old)
    else:
        yield from (Line("gone", text) for text in old)
        yield from (Line("new", text) for text in new)
