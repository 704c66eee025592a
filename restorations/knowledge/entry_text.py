"""One entry as text: cut out of its file, a value changed in it. Layout and comments stay as they were."""

from __future__ import annotations

import re
from collections.abc import Mapping
from functools import lru_cache
from typing import Any

import tomlkit
from tomlkit.exceptions import TOMLKitError
from tomlkit.items import AoT

from restorations.knowledge.files import Files
from restorations.knowledge.parsing import NotReadable, parse

CLUB_RECORD = "club_record"
Path = tuple[str | int, ...]
# An entry with the comments right before it.
_HEAD = re.compile(r"(?:^#.*\n)*^\[(?P<id>\w+)\]", re.M)


def entry_text(files: Files, kind: str, entry_id: str) -> str:
    """Return an entry as it stands in its file, with the comments before it; nothing where there is none."""
    name = files.file_of(kind, entry_id)
    return pieces(files.texts[name])[1].get(entry_id, "") if name else ""


@lru_cache(maxsize=128)
def pieces(text: str) -> tuple[str, Mapping[str, str]]:
    """Cut the text of a file: what stands before the first entry, and each entry by id."""
    heads = list(_HEAD.finditer(text))
    if not heads:
        return text, {}
    # What is said at the head of a file is said of all of it.
    begins = [heads[0].start("id") - 1, *(head.start() for head in heads[1:])]
    ends = [*begins[1:], len(text)]
    cut = zip(heads, begins, ends, strict=True)
    return text[: begins[0]], {head["id"]: text[begin:end].strip() + "\n" for head, begin, end in cut}


def is_editable(text: str, entry_id: str) -> bool:
    """Say whether values can be changed in a text: the two readers of it agree on what it says."""
    try:
        read, document = parse(text), tomlkit.parse(text)
    except (NotReadable, TOMLKitError, RecursionError):
        return False
    return list(read) == [entry_id] and isinstance(read[entry_id], dict) and document.unwrap() == read


def with_values(text: str, entry_id: str, values: Mapping[Path, Any]) -> str:
    """Return the text with the values at these paths, such as `("rate", "idle_for_years")`; None takes one away."""
    document: Any = tomlkit.parse(text)
    for path, value in values.items():
        holder = document[entry_id]
        for step in path[:-1]:
            holder = holder[step]
        if value is not None:
            holder[path[-1]] = value
        elif path[-1] in holder:
            del holder[path[-1]]
    return str(tomlkit.dumps(document))


def as_club_record(text: str, entry_id: str) -> str:
    """What the club changes is its own record, whatever it was before."""
    return with_values(text, entry_id, {("basis",): CLUB_RECORD})


def with_link(text: str, finding_id: str, cause_id: str, strengths: list[float]) -> str:
    """Return the text of a finding with one more cause that shows in it."""
    document: Any = tomlkit.parse(text)
    link = {"cause": cause_id, "strengths": strengths}
    links = document[finding_id].get("links")
    if isinstance(links, AoT):
        links.append(tomlkit.item(link))
    else:
        document[finding_id]["links"] = [*(links or []), link]
    return str(tomlkit.dumps(document))


def retired(text: str, entry_id: str, heir: str) -> str:
    """Return the text of an entry that is withdrawn in favour of another."""
    return with_values(text, entry_id, {("status",): "withdrawn", ("replaced_by",): heir, ("basis",): CLUB_RECORD})
