"""What is so on an engine now, as far as set-up and gates turn on it."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

from restorations.knowledge.places import Place

BOILER = {"cold": "boiler_cold", "hydraulic": "under_hydraulic_test", "in_steam": "in_steam"}
WHEELS = {"clear": "wheels_clear", "chocked": "wheels_chocked", "on_rail": "wheels_on_rail"}


class InvalidFacts(ValueError):
    """A fact about the engine that cannot be; names it and what was expected."""


@dataclass(frozen=True, slots=True)
class EngineFacts:
    """Facts of the moment; every default is the careful one.

    `off` holds placed part ids taken off, slackened or hung up; `soaking` the texts of places left to soak;
    `go_aheads` and `consents` the placed ids of actions allowed by a mentor (or inspector) and by the owner.
    """

    off: frozenset[str] = frozenset()
    conditions: Mapping[str, str] = field(default_factory=dict)
    turns_freely: bool = False
    volatile_solvent: bool = False
    soaking: frozenset[str] = frozenset()
    certificate_in_date: bool = False
    boiler: str = "cold"
    wheels: str = "on_rail"
    tied_down: bool = False
    air_isolated: bool = False
    go_aheads: frozenset[str] = frozenset()
    consents: frozenset[str] = frozenset()

    def __post_init__(self) -> None:
        for name, value, lawful in (("boiler", self.boiler, BOILER), ("wheels", self.wheels, WHEELS)):
            if value not in lawful:
                raise InvalidFacts(f"{name} {value!r}: expected one of {', '.join(lawful)}")
        for text in self.soaking:
            try:
                Place.parse(text)
            except ValueError as error:
                raise InvalidFacts(f"soaking: {error}") from None

    def holding(self, place: Place) -> frozenset[str]:
        """Return the gate facts that are so, for an action at a place (only soaking differs by place)."""
        told = {
            "turns_freely_by_hand": self.turns_freely,
            "certificate_in_date": self.certificate_in_date,
            "air_isolated": self.air_isolated,
            "tied_down": self.tied_down,
            "volatile_solvent": self.volatile_solvent,
            "soaking": any(Place.parse(text).meets(place) for text in self.soaking),
            "under_pressure": self.boiler != "cold",
        }
        return frozenset({fact for fact, so in told.items() if so} | {BOILER[self.boiler], WHEELS[self.wheels]})
