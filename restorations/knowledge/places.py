"""Where a thing is on an engine: coordinates, their text form, and the places of the outline drawing."""

from __future__ import annotations

from dataclasses import dataclass

COORDINATES = ("side", "end", "axle", "gear", "feed")
MOST_AXLES = 6
VALUES: dict[str, tuple[str, ...]] = {
    "side": ("left", "middle", "right"),
    "end": ("front", "back"),
    "axle": tuple(f"axle{number}" for number in range(1, MOST_AXLES + 1)),
    # "back" alone is an end, so the two gears carry the word in their names.
    "gear": ("fore_gear", "back_gear"),
    "feed": ("engine_pump", "hand_pump", "injector1", "injector2"),
}
COORDINATE_OF = {value: coordinate for coordinate, values in VALUES.items() for value in values}
WHOLE_ENGINE = "engine"

# Where a cause or finding is ringed on the outline drawing.
AT = {
    "ashpan": "ashpan",
    "axlebox": "axleboxes",
    "blow_down": "blow-down valve",
    "blower": "blower",
    "boiler": "boiler",
    "brake": "brake",
    "burner": "burner",
    "cab": "cab",
    "chimney": "chimney",
    "clack": "clack valves",
    "connecting_rod": "connecting rod",
    "coupling_rod": "coupling rods",
    "crankpin": "crankpins",
    "crosshead": "crosshead",
    "cylinder": "cylinder",
    "cylinder_cover": "cylinder covers",
    "drain_cocks": "drain cocks",
    "eccentric": "eccentrics",
    "ejector": "ejector",
    "exhaust": "exhaust and blast pipe",
    "expansion_link": "expansion link",
    "feed_pump": "feed pump",
    "firebox": "firebox",
    "frame": "frame",
    "fusible_plug": "fusible plug",
    "gas_tank": "gas tank",
    "grate": "grate",
    "hand_pump": "hand pump",
    "hose": "water hose",
    "injector": "injector",
    "lubricator": "lubricator",
    "oil_pipe": "oil pipes",
    "piston_gland": "piston rod gland",
    "pressure_gauge": "pressure gauge",
    "regulator": "regulator",
    "return_crank": "return crank",
    "reverser": "reverser",
    "safety_valve": "safety valves",
    "slide_bars": "slide bars",
    "smokebox": "smokebox",
    "snifting_valve": "snifting valve",
    "spring": "springs",
    "steam_chest": "steam chest",
    "steam_pipe": "steam pipe",
    "tank": "water tank",
    "tender": "tender",
    "track": "track",
    "truck": "truck",
    "tubes": "tubes",
    "turret": "steam turret",
    "valve_spindle": "valve spindle",
    "water_gauge": "water gauge",
    "weighshaft": "weighshaft",
    "wheels": "wheels",
    "whistle": "whistle",
}


@dataclass(frozen=True, slots=True)
class Place:
    """A place on an engine; a coordinate left empty does not matter, so all empty is the whole engine."""

    side: str = ""
    end: str = ""
    axle: str = ""
    gear: str = ""
    feed: str = ""

    def __post_init__(self) -> None:
        for coordinate, value in self.coordinates().items():
            if value not in VALUES[coordinate]:
                raise ValueError(f"{coordinate} {value!r}: expected one of {', '.join(VALUES[coordinate])}")

    @classmethod
    def parse(cls, text: str) -> Place:
        """Read the text form: "left.front", "axle2", "engine"."""
        if text in ("", WHOLE_ENGINE):
            return cls()
        coordinates: dict[str, str] = {}
        for value in text.split("."):
            coordinate = COORDINATE_OF.get(value)
            if coordinate is None or coordinate in coordinates:
                raise ValueError(f"place {text!r}: {value!r} is not a place, or is given twice")
            coordinates[coordinate] = value
        return cls(**coordinates)

    def coordinates(self) -> dict[str, str]:
        """Return the coordinates that matter, in the order of the text form."""
        values = (self.side, self.end, self.axle, self.gear, self.feed)
        return {coordinate: value for coordinate, value in zip(COORDINATES, values, strict=True) if value}

    def __str__(self) -> str:
        return ".".join(self.coordinates().values()) or WHOLE_ENGINE

    def meets(self, other: Place) -> bool:
        """Say whether the coordinates that both places have are equal."""
        theirs = other.coordinates()
        return all(theirs.get(coordinate, value) == value for coordinate, value in self.coordinates().items())

    def joined(self, other: Place) -> Place:
        """Return the place with the coordinates of both, this one winning where they differ."""
        return Place(**{**other.coordinates(), **self.coordinates()})


def placed_id(entry_id: str, place: Place) -> str:
    """Return the id of an entry at a place: "piston_gummed@left", the plain id for the whole engine."""
    return f"{entry_id}@{place}" if place.coordinates() else entry_id


def split_id(text: str) -> tuple[str, Place]:
    """Split "piston_gummed@left" into the entry's id and the place."""
    entry_id, _, place = text.partition("@")
    return entry_id, Place.parse(place)
