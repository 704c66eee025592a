"""Finding words in everything a member may see: one query for each kind of row, at most a few lines of each."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date
from typing import Any

from django.core.paginator import Page, Paginator

from restorations.home.search_kinds import KINDS, Hit, Kind
from restorations.members.models import Member

LONGEST, MOST_WORDS = 80, 8
SHOWN, A_PAGE = 10, 50


@dataclass(frozen=True, slots=True)
class Group:
    key: str
    title: str
    hits: Sequence[Hit]
    has_more: bool


def words_of(typed: str) -> list[str]:
    """What was typed, cut to what is looked for."""
    return typed.replace("\x00", "")[:LONGEST].split()[:MOST_WORDS]


def search_all(member: Member, words: Sequence[str], *, on: date) -> list[Group]:
    """Every kind that has something, at most ten lines of each."""
    groups = [_group(kind, list(kind.found(member, on, words)[: SHOWN + 1])) for kind in KINDS] if words else []
    return [group for group in groups if group.hits]


def _group(kind: Kind, rows: list[Any]) -> Group:
    return Group(kind.key, kind.title, [kind.hit(row) for row in rows[:SHOWN]], len(rows) > SHOWN)


def search_one(
    member: Member, words: Sequence[str], key: str, *, on: date, page: str
) -> tuple[Group, Page[Any]] | None:
    """All of one kind, by pages; None where there is no such kind."""
    kind = next((kind for kind in KINDS if kind.key == key), None)
    if kind is None or not words:
        return None
    found = Paginator(kind.found(member, on, words), A_PAGE).get_page(page)
    return Group(kind.key, kind.title, [kind.hit(row) for row in found], has_more=False), found
