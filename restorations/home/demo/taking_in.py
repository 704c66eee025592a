"""How Pipit came: its take-in sheet with what nobody looked for yet, and what it is oiled with and held together by."""

from typing import Any
from uuid import uuid4

from restorations.engines import services
from restorations.engines.models import Engine, Fastening, OilPoint
from restorations.home.demo.teller import Teller
from restorations.photos.services import add_photos, change_photo
from restorations.web.units import read_quantity

AS_IT_CAME: dict[str, Any] = {
    "brought_by": "Aldous Pell",
    "agreed_use": "The club restores it and keeps it. Mr Pell would like to drive it once before he is too old.",
    "keys": "one tommy bar, firing shovel, no key to the cab box",
    "stamped_number": "AP 17", "papers_number": "", "weight_typed": "38 kg", "weight_kg": 38.0,
    "lifting": "Two people, under the frames behind the buffer beams. Not by the chimney, not by the side tanks.",
    "fuel": "found", "fuel_note": "ash and half-burnt coal in the firebox",
    "water_in_boiler": "not_found", "water_in_tank": "found", "water_in_tank_note": "a cup of rust water, both sides",
    "water_in_pumps": "not_looked", "asbestos": "not_looked", "lead": "not_looked", "frost": "not_looked",
    "missing": "Whistle. One lamp bracket. Two nuts of the right steam chest.",
    "broken": "Left rear step bent.",
    "altered": "Safety valve is not the one on the drawing.",
    "loose_parts": "Bag A: six studs, a bell-crank nobody could place. Bag B: both coupling rod caps.",
    "marks": ["chewed_slots", "odd_screws"],
    "marks_note": "Right coupling rod: one screw of three is a wood screw.",
}  # fmt: skip
VIEWS = {"left": "left", "right": "right", "front": "front", "plate": "number"}
OILED = (
    ("Axleboxes, six", "motion oil 68", "each_run", "lift the keeps; four drops each"),
    ("Coupling rod bushes", "motion oil 68", "each_run", "two drops each, felt in the cup"),
    ("Big and little ends", "motion oil 68", "each_run", ""),
    ("Mechanical lubricator", "steam oil 460", "during_run", "fill before, look at the level each hour"),
    ("Weighshaft and lifting links", "motion oil 68", "monthly", ""),
)
FASTENED = (
    ("Cylinder covers, front", "6 BA hexagon", "3/8 in", 8, "6 BA box"),
    ("Steam chest covers", "6 BA studs and nuts", "1/2 in", 10, "6 BA box"),
    ("Gland nuts", "3/8 in x 32 ME", "", 2, "C spanner, thin"),
)
TRAPS = (
    ("trap", "The pump eccentric goes on both ways round. The right way has its grub screw to the front."),
    ("trap", "Coupling rods look alike. The right one has its oil hole 1 mm nearer the middle: mark them before."),
    ("right_assembly", "With the left crank on front dead centre, the left return crank leans to the back."),
)


def take_pipit_in(engine: Engine, teller: Teller) -> None:
    """Photographed, written down and signed by both on the day it came; one thing was found later."""
    doing = teller.doing("member", 40)
    for name, view in VIEWS.items():
        photo = teller.photo(engine, name, "", doing, view=view)
        add_photos(photos=[photo], doing=doing, mark=uuid4())
    member = teller.people["member"]
    facts = {**AS_IT_CAME, "came_on": teller.day(40)}
    sheet = services.write_take_in(engine=engine, member=member, mark=uuid4(), version=1, facts=facts)
    for sign, name, own in (("took_in", member.full_name, True), ("brought", "Aldous Pell", False)):
        signing = services.Signing(sign, sheet.version, name, own)
        services.sign_take_in(sheet=sheet, member=member, mark=uuid4(), signing=signing, at=doing.at)
    services.add_later_finding(
        sheet=sheet, member=teller.people["mate"], mark=uuid4(), found_on=teller.day(26),
        text="Hair crack in the left rear step bracket, under the paint. Old: the paint had run into it.",
    )  # fmt: skip


def keep_pipit_up(engine: Engine, teller: Teller) -> None:
    """Its oil chart and fastenings table."""
    member = teller.people["mate"]
    for point, oil, how_often, note in OILED:
        columns = {"point": point, "oil": oil, "how_often": how_often, "note": note}
        services.add_upkeep_row(kind=OilPoint, engine=engine, member=member, mark=uuid4(), columns=columns)
    for where, thread, length, how_many, spanner in FASTENED:
        fastening = {
            "where": where, "thread": thread, "length_typed": length, "how_many": how_many, "spanner": spanner,
            "length_mm": read_quantity(length, "length").to("millimeter") if length else None,
        }  # fmt: skip
        services.add_upkeep_row(kind=Fastening, engine=engine, member=member, mark=uuid4(), columns=fastening)


def know_the_design(sister: Engine, teller: Teller) -> None:
    """What the club learnt from the sister engine: traps, and a photo of how it goes together rightly."""
    doing, member, design = teller.doing("mentor2", 120), teller.people["mentor2"], sister.design
    if design is None:
        raise LookupError(f"{sister} has no design")
    for kind, text in TRAPS:
        services.add_design_note(design=design, member=member, mark=uuid4(), kind=kind, text=text)
    shown = teller.photo(sister, "left", "Left gear rightly together: the return crank leans back", doing, view="left")
    photo = add_photos(photos=[shown], doing=doing, mark=uuid4())
    change_photo(photo=photo, member=member, mark=uuid4(), version=photo.version, columns={"design": design})
