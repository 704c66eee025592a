"""A small invented folder of knowledge, and changes to it."""

from __future__ import annotations

import copy
import json
from pathlib import Path
from typing import Any

from restorations.knowledge import EngineKnowledge, History, HistoryAnswers, Knowledge, expand, read
from restorations.knowledge.configuration import Configuration

BY_JUDGEMENT = {"status": "in_use", "basis": "judgement", "source": "common_practice"}
SAFE = {"risk_engine": 0, "risk_person": 0, "authority": "member"}
IDLE = History(
    HistoryAnswers(ever_ran="yes", ran_well_when_put_away="yes", rebuilt_since="no", stored=frozenset({"dry"}), years=9)
)

Files = dict[str, dict[str, Any]]


def sample() -> Files:
    """Return a lawful folder: file name without .toml to tables."""
    return copy.deepcopy(
        {
            "parts": PARTS,
            "sources": {"bench_book": {"title": "An invented bench book", "year": 1931}},
            "cylinders/causes": CAUSES_OF_CYLINDERS,
            "cylinders/remedies": REMEDIES_OF_CYLINDERS,
            "motion/causes": CAUSES_OF_MOTION,
            "motion/checks": CHECKS,
            "motion/findings": FINDINGS,
            "motion/remedies": REMEDIES_OF_MOTION,
        }
    )


PARTS = {
    "connecting_rod": {
        **BY_JUDGEMENT,
        "title": "Connecting rod",
        "place": "side",
        "minutes_off": 10,
        "minutes_refit": 12,
        "can_be": ["hung_up"],
    },
    "coupling_rod": {
        **BY_JUDGEMENT,
        "title": "Coupling rod",
        "place": "side",
        "sides": "wheels",
        "minutes_off": 8,
        "minutes_refit": 8,
        "applies": {"coupled_axles": [2, 3, 4, 5, 6]},
    },
    "drain_cocks": {
        **BY_JUDGEMENT,
        "title": "Drain cocks",
        "condition": ["open", "shut"],
        "assumed": "open",
        "absent": "shut",
        "applies": {"drain_cocks": "fitted"},
        "place": "engine",
    },
    "driven_by": {
        **BY_JUDGEMENT,
        "title": "What turns it",
        "condition": ["by_hand", "on_air", "in_steam"],
        "assumed": "by_hand",
        "place": "engine",
    },
    "fire": {
        **BY_JUDGEMENT,
        "title": "Fire",
        "place": "engine",
        "minutes_off": 5,
        "minutes_refit": 45,
        "is_state": True,
    },
}
CAUSES_OF_CYLINDERS = {
    "piston_gummed": {
        **BY_JUDGEMENT,
        "title": "Old steam oil holds the piston",
        "place": "side",
        "at": "cylinder",
        "applies": {"cylinder_mounting": "fixed", "piston_sealing": ["iron_rings", "packing"]},
        "rate": {"idle_for_years": 0.2, "freshly_assembled": 0.004, "in_regular_use": 0.01, "per": "engine"},
        "when": [{"stored": "damp", "times": 3}, {"ran_well_when_put_away": "yes", "times": 0.5}],
        "remedies": ["soak_cylinder"],
        "explain": "Steam oil left in a cold cylinder turns to varnish.",
    },
    "water_trapped": {
        **BY_JUDGEMENT,
        "title": "Water trapped in the cylinder",
        "place": "side.end",
        "at": "cylinder",
        "rate": {"idle_for_years": 0.04, "freshly_assembled": 0.02, "in_regular_use": 0.02, "per": "engine"},
        "remedies": ["drain_cylinder"],
        "explain": "Water does not give way; with the cocks shut the piston meets it.",
    },
}
REMEDIES_OF_CYLINDERS = {
    "drain_cylinder": {
        **BY_JUDGEMENT,
        **SAFE,
        "title": "Open the cocks and rock it gently",
        "how": "Open the cocks and rock the wheels until no water comes.",
        "minutes": 10,
        "success": 0.95,
        "making_safe": True,
    },
    "soak_cylinder": {
        **BY_JUDGEMENT,
        **SAFE,
        "title": "Soak the cylinder",
        "how": "Pour thinner through the cocks and rock by hand each day.",
        "minutes": 20,
        "waiting_days": 3,
        "success": 0.7,
        "needs_off": ["connecting_rod"],
        "excludes": ["in_steam"],
        "puts_solvent": True,
        "waits_in": "release oil",
        "cannot_be_undone": True,
    },
}
CAUSES_OF_MOTION = {
    "axlebox_tight": {
        **BY_JUDGEMENT,
        "title": "Axlebox tight",
        "place": "side.axle",
        "sides": "wheels",
        "at": "axlebox",
        "rate": {"idle_for_years": 0.06, "freshly_assembled": 0.12, "in_regular_use": 0.006, "per": "engine"},
        "remedies": ["ease_axlebox"],
        "explain": "Rust or paint holds the box in its horns.",
    },
    "pump_stiff": {
        **BY_JUDGEMENT,
        "title": "Feed pump stiff",
        "place": "engine",
        "at": "feed_pump",
        "applies": {"feed_pump": ["axle", "crosshead"]},
        "rate": {"idle_for_years": 0.1, "freshly_assembled": 0.01, "in_regular_use": 0.01, "per": "engine"},
        "remedies": ["ease_axlebox"],
        "explain": "The ram has dried in its packing.",
    },
}
REMEDIES_OF_MOTION = {
    "ease_axlebox": {
        **BY_JUDGEMENT,
        "title": "Ease the axlebox",
        "how": "Take a few thousandths off the high spots, no more.",
        "minutes": 90,
        "success": 0.9,
        "risk_engine": 2,
        "risk_person": 0,
        "authority": "mentor",
        "cautions": ["Metal cannot be put back."],
    },
}
FINDINGS = {
    "stiff_one_axle": {
        **BY_JUDGEMENT,
        "title": "One axle stiff",
        "place": "axle",
        "at": "axlebox",
        "ask": "Each axle by itself: does it turn?",
        "levels": ["free", "stiff"],
        "leak": [0.01],
        "expects_off": ["coupling_rod"],
        "links": [{"cause": "axlebox_tight", "strengths": [0.8]}],
    },
    "wheels_stiff": {
        **BY_JUDGEMENT,
        "title": "Wheels stiff to turn by hand",
        "words": ["tight", "will not turn"],
        "place": "engine",
        "at": "wheels",
        "ask": "Wheels clear, turned by hand at the tyre: how do they turn?",
        "levels": ["free", "stiff", "will not turn"],
        "leak": [0.02, 0.005],
        "requires": {"driven_by": "by_hand"},
        "links": [
            {
                "cause": "axlebox_tight",
                "strengths": [0.7, 0.1],
                "through": [["coupling_rod@left", "coupling_rod@right"]],
            },
            {"cause": "piston_gummed", "strengths": [0.8, 0.4], "through": ["connecting_rod"]},
            {"cause": "pump_stiff", "strengths": [0.4, 0.05]},
            {
                "cause": "water_trapped",
                "strengths": [0.9, 0.8],
                "through": ["connecting_rod"],
                "when": {"drain_cocks": "shut"},
                "source": "bench_book",
                "basis": "published",
            },
        ],
    },
}
CHECKS = {
    "feel_pump": {
        **BY_JUDGEMENT,
        **SAFE,
        "title": "Feel the pump by itself",
        "place": "engine",
        "examines": "pump_stiff",
        "sensitivity": 0.9,
        "false_alarm": 0.03,
        "how": "Undo the strap and move the ram by hand.",
        "minutes": 10,
        "meaning": {"found": "The ram drags.", "not found": "It slides."},
    },
    "run_on_air": {
        **BY_JUDGEMENT,
        "title": "Run on light air",
        "place": "engine",
        "answers": "wheels_stiff",
        "how": "Ten pounds at the most.",
        "minutes": 10,
        "conditions": {"driven_by": "on_air"},
        "needs": ["tied_down", "wheels_clear"],
        "excludes": ["soaking"],
        "meaning": {"free": "It ticks over.", "stiff": "It labours.", "will not turn": "It stands."},
        "risk_engine": 1,
        "risk_person": 2,
        "authority": "member",
        "cautions": ["Fingers and sleeves clear."],
    },
    "turn_wheels": {
        **BY_JUDGEMENT,
        **SAFE,
        "title": "Turn the wheels by hand",
        "place": "engine",
        "answers": "wheels_stiff",
        "how": "Push at the tyre, no bar.",
        "minutes": 5,
        "needs_fitted": ["connecting_rod"],
        "meaning": {"free": "Nothing binds.", "stiff": "Something drags.", "will not turn": "Something holds."},
    },
    "turn_wheels_one_rod_off": {
        **BY_JUDGEMENT,
        **SAFE,
        "title": "Turn the wheels, one connecting rod off",
        "place": "side",
        "answers": "wheels_stiff",
        "how": "Take the rod of one side off and push at the tyre.",
        "minutes": 5,
        "needs_off": ["connecting_rod"],
        "conditions": {"drain_cocks": "shut"},
        "meaning": {"free": "It was that side.", "stiff": "Not that side alone.", "will not turn": "Not that side."},
    },
    "turn_wheels_rods_off": {
        **BY_JUDGEMENT,
        **SAFE,
        "title": "Turn the wheels, coupling rods off",
        "place": "engine",
        "answers": "stiff_one_axle",
        "how": "Coupling rods off, spin each axle.",
        "minutes": 5,
        "needs_off": ["coupling_rod"],
        "meaning": {"free": "Not this axle.", "stiff": "This axle."},
    },
}


def write(folder: Path, files: Files) -> Path:
    """Write the files below a folder, tables sorted by id."""
    for name, tables in files.items():
        path = folder / f"{name}.toml"
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_text("".join(f"[{key}]\n{_fields(tables[key])}\n" for key in sorted(tables)), encoding="utf-8")
    return folder


def knowledge(folder: Path, files: Files | None = None) -> Knowledge:
    """Write a folder (the lawful one unless told) and read it."""
    return read(write(folder, files or sample()))


def engine(folder: Path, history: History = IDLE, **build: Any) -> EngineKnowledge:
    """Expand the lawful folder for an engine that is a two-cylinder six-coupled tank unless told."""
    return expand(knowledge(folder), Configuration(**{**SIX_COUPLED, **build}), history)


SIX_COUPLED = {
    "kind": "tank_locomotive",
    "cylinder_layout": "two_outside",
    "cylinder_mounting": "fixed",
    "piston_sealing": "iron_rings",
    "drain_cocks": "fitted",
    "feed_pump": "axle",
    "coupled_axles": 3,
    "driving_axle": 2,
}


def _fields(table: dict[str, Any]) -> str:
    return "".join(f"{json.dumps(key)} = {_toml(value)}\n" for key, value in table.items())


def _toml(value: Any) -> str:
    if isinstance(value, dict):
        return "{ " + ", ".join(f"{json.dumps(key)} = {_toml(inner)}" for key, inner in value.items()) + " }"
    if isinstance(value, list):
        return "[" + ", ".join(map(_toml, value)) + "]"
    return json.dumps(value, ensure_ascii=False)
