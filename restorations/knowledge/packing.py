"""Turns frozen dataclasses of plain values into plain data and back, by their type hints."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import fields, is_dataclass
from functools import cache
from typing import Any, get_args, get_origin, get_type_hints

from restorations.knowledge.places import Place


def pack(value: Any) -> Any:
    """Return plain data: lists for tuples and sets, tables for dataclasses and mappings, text for places."""
    if isinstance(value, Place):
        return str(value)
    if is_dataclass(value) and not isinstance(value, type):
        return {field.name: pack(getattr(value, field.name)) for field in fields(value)}
    if isinstance(value, Mapping):
        return {key: pack(inner) for key, inner in value.items()}
    if isinstance(value, frozenset):
        return sorted(value)
    return [pack(inner) for inner in value] if isinstance(value, tuple) else value


def unpack(kind: Any, value: Any) -> Any:
    """Build a value of a kind from plain data."""
    if kind is Place:
        return Place.parse(value)
    if is_dataclass(kind) and isinstance(kind, type):
        return kind(**unpack_fields(kind, value))
    return _unpack_many(get_origin(kind), get_args(kind), value)


def unpack_fields(kind: type, stored: Mapping[str, Any]) -> dict[str, Any]:
    """Build the fields of a dataclass that are stored."""
    hints = _hints(kind)
    return {name: unpack(hints[name], value) for name, value in stored.items()}


def _unpack_many(origin: Any, inner: tuple[Any, ...], value: Any) -> Any:
    if origin is Mapping:
        return {key: unpack(inner[1], item) for key, item in value.items()}
    if origin in (tuple, frozenset):
        return origin(unpack(inner[0], item) for item in value)
    return value


@cache
def _hints(kind: type) -> dict[str, Any]:
    return get_type_hints(kind)
