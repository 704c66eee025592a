"""Pipit in the shop: boxes with what came off, a pipe parted, tags, attempts at freeing the rod that is fast."""

from typing import Any
from uuid import uuid4

from restorations.engines.models import Engine
from restorations.home.demo.teller import Teller
from restorations.photos.models import Photo
from restorations.photos.services import add_mark, add_photos, pair
from restorations.photos.services.marks import MarkPlan
from restorations.tasks import services
from restorations.tasks.models import StrippedPart
from restorations.web.units import read_quantity

BOXES = ((3, "Pipit, right side", 6), (4, "Pipit, left side", 6), (5, "Pipit, odds and ends", 12))
RODS: dict[str, dict[str, Any]] = {
    "right": {
        "tray_place": 1, "orientation": "oil hole up, R stamped outwards", "mates": "its own two cotters, marked R",
        "shim_typed": "4 thou", "shim_mm": 0.1016, "who": "mate", "days_ago": 26, "fixings": "",
    },
    "left": {
        "tray_place": 1, "orientation": "oil hole up, two dots on the big end to the front",
        "mates": "the left crankpin", "shim_typed": "", "shim_mm": None, "who": "member", "days_ago": 25,
        "fixings": "both big end bolts, either hole",
    },
}  # fmt: skip


def make_boxes(teller: Teller) -> None:
    """Made and labelled before anything came off."""
    for number, label, places in BOXES:
        plan = services.BoxPlan(number=number, label=label, where="shelf above the lathe", places=places)
        services.add_box(plan=plan, doing=teller.doing("member", 34), mark=uuid4())


def strip_pipit(engine: Engine, teller: Teller) -> None:
    """What the sheet does not tell: how the rods sat, a part nobody can name, the feed pipe."""
    for side, said in RODS.items():
        _describe_rod(engine, side, dict(said), teller)
    doing = teller.doing("mate", 24)
    services.strip_part(
        engine=engine, stripping=services.Stripping(box="5", tray_place=3), doing=doing, mark=uuid4(),
        photos=[teller.photo(engine, "small lever", "Fell out behind the left hanging bracket", doing)],
    )  # fmt: skip
    _part_the_feed_pipe(engine, teller)


def _describe_rod(engine: Engine, side: str, said: dict[str, Any], teller: Teller) -> None:
    doing, holes = teller.doing(said.pop("who"), said.pop("days_ago")), said.pop("fixings")
    rod = StrippedPart.objects.off().get(engine=engine, component="connecting_rod", place=side)
    photo = teller.photo(engine, f"{side} rod", f"Connecting rod, {side}, as it sat", doing)
    services.add_part_photos(part=rod, photos=[photo], doing=doing, mark=uuid4())
    unchanged = {name: getattr(rod, name) for name in ("component", "place", "name", "gasket_typed", "gasket_mm")}
    services.describe_part(
        part=rod, fields=unchanged | said, box=rod.box, version=rod.version, doing=doing, mark=uuid4()
    )
    if holes:
        fixings = services.Fixings(2, "5 BA hexagon", "7/8 in", 22.225, holes, "tin lid in the same place")
        services.note_fixings(part=rod, fixings=fixings, doing=doing, mark=uuid4())


def _part_the_feed_pipe(engine: Engine, teller: Teller) -> None:
    doing = teller.doing("member", 3)
    parting = services.Parting(
        carries="water", end_a="axle pump", end_b="left clack", name="feed pipe, left", flow="a_to_b",
        closed_a="plugged", closed_b="capped", made_safe=("tank_valve_shut", "no_pressure", "drained"),
    )  # fmt: skip
    photo = teller.photo(engine, "feed pipe", "Feed pipe, both ends, plugged below", doing)
    services.part_connection(engine=engine, parting=parting, doing=doing, mark=uuid4(), photos=[photo])


def hang_tags(engine: Engine, teller: Teller) -> None:
    for kind, reason, who, days_ago in (
        ("do_not_turn", "axle pump is plugged: take the plug out before the wheels turn", "member", 3),
        ("soaking", "left cylinder: nothing is warmed, nothing is pulled until it was looked at", "member", 4),
    ):
        services.hang_tag(engine=engine, kind=kind, reason=reason, doing=teller.doing(who, days_ago), mark=uuid4())


def try_the_gland(engine: Engine, teller: Teller) -> None:
    """Looked at, wiped, and tried by hand twice while it soaks, photographed from the same spot each time."""
    found = _photo_of_gland(engine, "gland as found", "Left gland as found", 5, teller)
    plan = MarkPlan("running rust where the rod goes in", (0.66, 0.52))
    add_mark(photo=found, plan=plan, doing=teller.doing("mate", 5), mark=uuid4())
    wiped = _photo_of_gland(engine, "gland wiped", "Left gland wiped with paraffin", 4, teller)
    pair(photo=wiped, before=found, member=teller.people["mate"], mark=uuid4(), version=wiped.version)
    for days_ago, gained, picture, note in (
        (3, "0 mm", "rod at first", "Not a hair. Oil stands in the gland cup."),
        (1, "0.4 mm", "rod later", "Moved and went back. Brown oil came out round the rod."),
    ):
        _try_once(engine, days_ago, gained, (picture, note), teller)


def _photo_of_gland(engine: Engine, name: str, caption: str, days_ago: float, teller: Teller) -> Photo:
    doing = teller.doing("mate", days_ago)
    return add_photos(photos=[teller.photo(engine, name, caption, doing)], doing=doing, mark=uuid4())


def _try_once(engine: Engine, days_ago: float, gained: str, told: tuple[str, str], teller: Teller) -> None:
    doing, (picture, note) = teller.doing("member", days_ago), told
    attempt = services.Attempt(
        place="left", method="crosshead rocked by hand, both ways", push="strong", note=note,
        forward=read_quantity(gained, "length"), back=read_quantity("0 mm", "length"),
    )  # fmt: skip
    photo = teller.photo(engine, picture, "Left rod against the rule", doing)
    services.note_attempt(engine=engine, attempt=attempt, doing=doing, mark=uuid4(), photos=[photo])
