"""Reads TOML text that anybody may have typed: always an answer, in words, and soon."""

from __future__ import annotations

import tomllib
from collections.abc import Iterator
from typing import Any

LARGEST_NUMBER = 1e12
DEEPEST = 6


class NotReadable(ValueError):
    """The text is no TOML, or TOML that no knowledge file holds; says which."""


def parse(text: str) -> dict[str, Any]:
    """Return the tables of a text."""
    try:
        tables = tomllib.loads(text)
    except RecursionError:
        raise NotReadable(f"nested too deeply: expected at most {DEEPEST} levels") from None
    except ValueError as error:  # TOMLDecodeError, and whole numbers too long to be turned into one
        raise NotReadable(f"{error}") from None
    for trouble in _troubles(tables):
        raise NotReadable(trouble)
    return tables


def _troubles(tables: dict[str, Any]) -> Iterator[str]:
    """What is lawful TOML but hurts whoever shows, stores or reckons with it."""
    waiting: list[tuple[Any, int]] = [(tables, 0)]
    while waiting:
        value, depth = waiting.pop()
        if depth > DEEPEST:
            yield f"nested too deeply: expected at most {DEEPEST} levels"
        elif isinstance(value, dict | list):
            waiting += [(inner, depth + 1) for inner in (value.values() if isinstance(value, dict) else value)]
            waiting += [(key, depth + 1) for key in value] if isinstance(value, dict) else []
        elif isinstance(value, int) and abs(value) > LARGEST_NUMBER:
            yield f"a whole number beyond {LARGEST_NUMBER:g}"
        elif isinstance(value, str) and any(not _is_printed(letter) for letter in value):
            yield "a text with control characters in it: expected letters, signs and line breaks"


def _is_printed(letter: str) -> bool:
    return (letter >= " " and letter != "\x7f") or letter in "\n\t"
