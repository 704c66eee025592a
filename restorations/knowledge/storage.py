"""Keeps one engine's knowledge as plain data, so that a ranking can be read again after the files have changed."""

from __future__ import annotations

import json
from collections.abc import Mapping
from dataclasses import fields, replace
from hashlib import sha256
from typing import Any

from restorations.knowledge.configuration import NOT_KNOWN
from restorations.knowledge.engine import (
    EngineKnowledge,
    Placed,
    PlacedCause,
    PlacedCheck,
    PlacedFinding,
    PlacedPart,
    PlacedRemedy,
)
from restorations.knowledge.entries import Cause, Check, Condition, Entry, Finding, Part, Remedy
from restorations.knowledge.packing import pack, unpack, unpack_fields

FORM = 1
_KINDS: dict[str, tuple[type[Placed], type[Entry]]] = {
    "causes": (PlacedCause, Cause),
    "checks": (PlacedCheck, Check),
    "findings": (PlacedFinding, Finding),
    "parts": (PlacedPart, Part),
    "remedies": (PlacedRemedy, Remedy),
}


def as_mapping(engine: EngineKnowledge) -> dict[str, Any]:
    """Return plain data; each entry stands once, however many places it has."""
    kinds: dict[str, Any] = {name: _pack_kind(getattr(engine, name)) for name in _KINDS}
    return {"form": FORM, "kind": engine.kind, **kinds, "conditions": pack(engine.conditions)}


def from_mapping(mapping: Mapping[str, Any]) -> EngineKnowledge:
    """Build from stored data."""
    _require_form(mapping)
    kinds: dict[str, Any] = {name: _unpack_kind(mapping[name], *kind) for name, kind in _KINDS.items()}
    conditions = unpack(Mapping[str, Condition], mapping["conditions"])
    # Kept before kinds were: read as a kind that is not known.
    return EngineKnowledge(**kinds, conditions=conditions, kind=mapping.get("kind", NOT_KNOWN))


def structure_of(engine: EngineKnowledge) -> str:
    """Return a checksum of everything but base rates and probabilities: the same whatever is learned."""
    bare = as_mapping(engine)
    for entry in bare["causes"]["entries"].values():
        del entry["rate"]
    for placed in bare["causes"]["placed"].values():
        del placed["probability"]
    return sha256(json.dumps(bare, sort_keys=True, ensure_ascii=False).encode()).hexdigest()


def weights_of(engine: EngineKnowledge) -> dict[str, Any]:
    """Return base rates and probabilities as plain data: all that tells it from another of the same structure."""
    causes = engine.causes
    return {
        "form": FORM,
        "rates": {cause.entry.id: dict(cause.entry.rate) for cause in causes.values()},
        "probabilities": {cause_id: cause.probability for cause_id, cause in causes.items()},
    }


def with_weights(engine: EngineKnowledge, weights: Mapping[str, Any]) -> EngineKnowledge:
    """Return an engine's knowledge with other base rates and probabilities."""
    _require_form(weights)
    entries = {
        cause.entry.id: replace(cause.entry, rate=weights["rates"][cause.entry.id]) for cause in engine.causes.values()
    }
    causes = {
        cause_id: replace(cause, entry=entries[cause.entry.id], probability=weights["probabilities"][cause_id])
        for cause_id, cause in engine.causes.items()
    }
    return engine.with_causes(causes)


def _require_form(mapping: Mapping[str, Any]) -> None:
    if mapping.get("form") != FORM:
        raise ValueError(f"stored knowledge of form {mapping.get('form')!r}: expected {FORM}; expand it anew")


def _pack_kind(placed: Mapping[str, Placed]) -> dict[str, Any]:
    entries = {item.entry.id: item.entry for item in placed.values()}
    return {
        "entries": {entry_id: pack(entry) for entry_id, entry in entries.items()},
        "placed": {item_id: _pack_placed(item) for item_id, item in placed.items()},
    }


def _pack_placed(item: Placed) -> dict[str, Any]:
    own = [field.name for field in fields(item) if field.name not in ("id", "entry")]
    return {"entry": item.entry.id, **{name: pack(getattr(item, name)) for name in own}}


def _unpack_kind(stored: Mapping[str, Any], placed: type[Placed], kind: type[Entry]) -> dict[str, Any]:
    entries = {entry_id: unpack(kind, entry) for entry_id, entry in stored["entries"].items()}
    items = sorted(stored["placed"].items())
    return {item_id: _unpack_placed(placed, item_id, item, entries) for item_id, item in items}


def _unpack_placed(kind: type[Placed], item_id: str, stored: Mapping[str, Any], entries: Mapping[str, Entry]) -> Placed:
    own = {name: value for name, value in stored.items() if name != "entry"}
    return kind(id=item_id, entry=entries[stored["entry"]], **unpack_fields(kind, own))
