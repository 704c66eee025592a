"""The outline drawing: every engine can be drawn, every part has its place, suspicion is ringed where it is."""

from itertools import combinations
from xml.etree import ElementTree

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from restorations.knowledge.configuration import CHOICES, Configuration
from restorations.knowledge.places import AT
from restorations.web.outline import Mark, anchor, draw_outline, facing, regions
from restorations.web.outline.sheet import HEIGHT, TAP, WIDTH

SVG = "{http://www.w3.org/2000/svg}"
TANK = Configuration(
    kind="tank_locomotive",
    cylinder_layout="two_outside",
    valve_gear="walschaerts",
    reverser="lever",
    truck="leading",
    coupled_axles=3,
)
TENDER = Configuration(
    kind="tender_locomotive", cylinder_layout="three", valve_gear="stephenson", truck="both", coupled_axles=2
)


@st.composite
def configurations(draw: st.DrawFn) -> Configuration:
    answers = {field: draw(st.sampled_from(sorted(choices))) for field, choices in CHOICES.items()}
    axles = draw(st.none() | st.integers(1, 6))
    return Configuration(**answers, coupled_axles=axles, driving_axle=draw(st.none() | st.integers(1, axles or 1)))


def parsed(drawing: str) -> ElementTree.Element:
    return ElementTree.fromstring(drawing)  # noqa: S314 - our own drawing


def leads(drawing: str) -> list[ElementTree.Element]:
    return [group for group in parsed(drawing).iter(f"{SVG}g") if group.get("class") == "outline-ring"]


@settings(derandomize=True, deadline=None, max_examples=60)
@given(configuration=configurations(), side=st.sampled_from(["left", "right"]))
def test_every_lawful_configuration_is_drawn_on_its_sheet(configuration: Configuration, side: str) -> None:
    links = {region.id: f"/{region.id}/" for region in regions(configuration, side=side)}
    marks = [Mark(number, at) for number, at in enumerate(AT, start=1)]
    drawing = draw_outline(configuration, side=side, marks=marks, links=links)
    assert not [element for element in parsed(drawing).iter() if "style" in element.attrib]
    assert "nan" not in drawing
    for at in AT:
        place = anchor(configuration, at, side=side)
        assert place is None or (0 <= place.x <= WIDTH and 0 <= place.y <= HEIGHT and place.radius > 0), at


@settings(derandomize=True, deadline=None, max_examples=60)
@given(configuration=configurations())
def test_parts_to_tap_are_a_thumb_wide_and_never_overlap(configuration: Configuration) -> None:
    areas = regions(configuration)
    assert 7 <= len(areas) <= 21
    for one in areas:
        assert min(one.width, one.height) >= TAP - 0.01, one
        assert one.x >= -0.01
        assert one.x + one.width <= WIDTH + 0.01
        assert one.y + one.height <= HEIGHT + 0.01
    for one, other in combinations(areas, 2):
        apart_across = one.x + one.width <= other.x + 0.01 or other.x + other.width <= one.x + 0.01
        apart_along = one.y + one.height <= other.y + 0.01 or other.y + other.height <= one.y + 0.01
        assert apart_across or apart_along, (one, other)


def test_a_thumb_on_the_sheet_is_44_pixels_on_a_390_pixel_phone() -> None:
    page_margin = 17  # one rem at the base size, both sides
    assert TAP * (390 - 2 * page_margin) / WIDTH >= 44


@pytest.mark.parametrize("at", sorted(AT))
def test_every_place_of_the_knowledge_can_be_ringed_on_some_engine(at: str) -> None:
    assert anchor(TENDER if at == "tender" else TANK, at) is not None or anchor(TENDER, at) is not None


@pytest.mark.parametrize(
    ("configuration", "at"),
    [
        (TANK, "tender"),
        (Configuration(kind="tank_locomotive", truck="none"), "truck"),
        (Configuration(kind="tank_locomotive", drain_cocks="none"), "drain_cocks"),
        (Configuration(kind="tank_locomotive", coupled_axles=1), "coupling_rod"),
        (Configuration(kind="tank_locomotive", valve_gear="stephenson"), "return_crank"),
        (Configuration(kind="stationary_engine", cylinder_mounting="oscillating"), "crosshead"),
        (Configuration(kind="stationary_engine", boiler="none"), "boiler"),
    ],
)
def test_a_part_the_engine_has_not_is_nowhere(configuration: Configuration, at: str) -> None:
    assert anchor(configuration, at) is None
    assert not leads(draw_outline(configuration, marks=[Mark(1, at)]))


def test_the_front_is_on_the_left_of_the_left_side_and_on_the_right_of_the_right() -> None:
    for at, ahead_of in (("smokebox", "cab"), ("cylinder", "crankpin")):
        left, right = (
            anchor(TANK, at, side=side).x - anchor(TANK, ahead_of, side=side).x for side in ("left", "right")
        )
        assert left < 0 < right
    assert facing(TANK, "left") == "Left side, smokebox to the left"
    assert facing(TANK, "right") == "Right side, smokebox to the right"


def test_axles_ends_and_gears_have_places_of_their_own() -> None:
    axles = [anchor(TANK, "wheels", f"axle{number}").x for number in (1, 2, 3)]
    assert axles == sorted(axles)
    assert len(set(axles)) == 3
    assert anchor(TANK, "axlebox", "left.axle2").x == axles[1]
    assert anchor(TANK, "cylinder_cover", "left.front").x < anchor(TANK, "cylinder_cover", "left.back").x
    assert anchor(TANK, "drain_cocks", "right.front").x < anchor(TANK, "drain_cocks", "right.back").x
    assert anchor(TENDER, "eccentric", "fore_gear") != anchor(TENDER, "eccentric", "back_gear")


def test_what_lies_on_the_other_side_or_in_the_middle_has_a_dashed_ring() -> None:
    marks = [
        Mark(1, "cylinder", "left"),
        Mark(2, "crosshead", "right"),
        Mark(3, "crankpin", "middle"),
        Mark(4, "boiler"),
    ]
    dashed = {}
    for group in leads(draw_outline(TENDER, marks=marks, side="left")):
        dashed[group.find(f"{SVG}text").text] = group.find(f"{SVG}circle").get("stroke-dasharray") is not None
    assert dashed == {"1": False, "2": True, "3": True, "4": False}


def test_balloons_stand_clear_of_one_another_and_on_the_sheet() -> None:
    marks = [Mark(number, "crankpin", "left.axle2") for number in range(1, 21)]
    balloons = [group.findall(f"{SVG}circle")[-1] for group in leads(draw_outline(TANK, marks=marks))]
    spots = [(float(one.get("cx")), float(one.get("cy")), float(one.get("r"))) for one in balloons]
    assert len(spots) == 20
    for (x, y, radius), (other_x, other_y, _) in combinations(spots, 2):
        assert abs(x - other_x) >= 2 * radius or abs(y - other_y) >= 2 * radius
    assert all(radius <= x <= WIDTH - radius and y <= HEIGHT - radius for x, y, radius in spots)


def test_words_and_addresses_are_escaped() -> None:
    words = 'left <b>cylinder</b> & "rod" 😀'
    drawing = draw_outline(TANK, marks=[Mark(1, "cylinder", words=words)], links={"wheels": '/x?a="1"&b=<2>'})
    tree = parsed(drawing)
    assert leads(drawing)[0].find(f"{SVG}title").text == words
    assert words in tree.find(f"{SVG}desc").text
    assert tree.find(f"{SVG}a").get("href") == '/x?a="1"&b=<2>'


def test_a_drawing_is_an_image_and_with_links_a_group_whose_links_have_names() -> None:
    assert parsed(draw_outline(TANK)).get("role") == "img"
    tree = parsed(draw_outline(TANK, links={"wheels": "/wheels/", "truck": "/truck/"}))
    assert tree.get("role") == "group"
    assert {link.get("aria-label") for link in tree.iter(f"{SVG}a")} == {"Wheels, axles and axleboxes", "Leading truck"}


def test_the_title_says_what_is_drawn_and_the_description_what_is_ringed() -> None:
    tree = parsed(draw_outline(TANK, marks=[Mark(3, "oil_pipe", "left", "Oil pipe blocked, left")]))
    assert tree.find(f"{SVG}title").text == "Outline of a tank locomotive, 3 driven axles"
    assert "3: Oil pipe blocked, left" in tree.find(f"{SVG}desc").text
    assert "not yet known" in parsed(draw_outline(Configuration())).find(f"{SVG}title").text


def test_inside_cylinders_are_hidden_detail_and_outside_ones_are_not() -> None:
    outside = draw_outline(
        Configuration(kind="tank_locomotive", cylinder_layout="two_outside", valve_gear="stephenson")
    )
    inside = draw_outline(Configuration(kind="tank_locomotive", cylinder_layout="two_inside", valve_gear="stephenson"))
    assert inside.count("stroke-dasharray") > outside.count("stroke-dasharray") + 20


def test_a_side_that_is_neither_left_nor_right_is_refused() -> None:
    with pytest.raises(ValueError, match="'top' is none of left, right"):
        draw_outline(TANK, side="top")
