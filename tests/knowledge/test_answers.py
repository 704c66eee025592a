"""Answers about an engine's build and past, and places in words."""

from __future__ import annotations

import pytest

from restorations.knowledge import (
    CHOICES,
    LABELS,
    Configuration,
    History,
    HistoryAnswers,
    InvalidConfiguration,
    InvalidHistoryAnswers,
    Place,
    class_shares,
    history_class,
    in_words,
    placed_id,
    split_id,
)
from restorations.knowledge.wording import titled_at


def test_every_field_of_the_build_may_be_not_known_and_has_a_label() -> None:
    fields = set(Configuration().as_mapping())
    assert fields == set(LABELS) == set(CHOICES) | {"coupled_axles", "driving_axle"}
    assert all(next(iter(choices)) == "not_known" for choices in CHOICES.values())


def test_unlawful_build_names_every_field() -> None:
    with pytest.raises(InvalidConfiguration) as caught:
        Configuration(kind="spaceship", valve="flap", coupled_axles=7)
    assert sorted(caught.value.offenders) == ["coupled_axles", "kind", "valve"]


@pytest.mark.parametrize("axles", [0, 7, 2.0, True, "2"])
def test_unlawful_number_of_axles_is_refused(axles: object) -> None:
    with pytest.raises(InvalidConfiguration, match="coupled_axles: expected 1 to 6"):
        Configuration(coupled_axles=axles)  # type: ignore[arg-type]


def test_driving_axle_must_be_one_of_the_driven_axles() -> None:
    with pytest.raises(InvalidConfiguration, match="driving_axle: expected 1 to 2"):
        Configuration(coupled_axles=2, driving_axle=3)


def test_build_comes_back_from_plain_data() -> None:
    build = Configuration(kind="tank_locomotive", coupled_axles=3)
    assert Configuration.from_mapping(build.as_mapping()) == build
    with pytest.raises(InvalidConfiguration, match="colour: no such field"):
        Configuration.from_mapping({"colour": "red"})


def test_share_multiplies_over_fields_not_known() -> None:
    build = Configuration(valve="slide")
    assert build.share({"valve": ("slide",)}) == 1
    assert build.share({"valve": ("piston",)}) == 0
    assert build.share({"piston_sealing": ("iron_rings", "packing"), "drain_cocks": ("fitted",)}) == 0.25


def test_feeds_are_those_fitted_or_not_known() -> None:
    assert Configuration(feed_pump="none", hand_pump="none", injector="one").feeds == ("injector1",)
    assert Configuration(injector="none").feeds == ("engine_pump", "hand_pump")


CLASSES = {
    "never ran": (HistoryAnswers(ever_ran="no", years=30), "freshly_assembled"),
    "built and run in": (HistoryAnswers(ever_ran="no", first_run_done="yes", years=0), "in_regular_use"),
    "rebuilt, not yet run": (HistoryAnswers(rebuilt_since="yes", first_run_done="no", years=5), "freshly_assembled"),
    "rebuilt and run": (HistoryAnswers(rebuilt_since="yes", first_run_done="yes", years=5), "idle_for_years"),
    "two years": (HistoryAnswers(ever_ran="yes", years=2), "idle_for_years"),
    "one year": (HistoryAnswers(ever_ran="yes", years=1), "in_regular_use"),
    "only the years are known": (HistoryAnswers(years=25), "idle_for_years"),
    "nothing is known": (HistoryAnswers(), None),
    "rebuilt, perhaps run": (HistoryAnswers(rebuilt_since="yes", years=25), None),
}


@pytest.mark.parametrize(("answers", "expected"), CLASSES.values(), ids=CLASSES.keys())
def test_history_class_follows_from_the_answers(answers: HistoryAnswers, expected: str | None) -> None:
    assert history_class(answers) == expected


def test_classes_still_possible_share_equally() -> None:
    assert class_shares(HistoryAnswers(ever_ran="yes", rebuilt_since="no")) == {
        "idle_for_years": 0.5,
        "in_regular_use": 0.5,
    }
    assert class_shares(HistoryAnswers(rebuilt_since="yes", years=25)) == {
        "freshly_assembled": 0.5,
        "idle_for_years": 0.5,
    }


@pytest.mark.parametrize(
    ("answers", "expected"),
    [
        ({"ever_ran": "perhaps"}, "ever_ran: 'perhaps' is none of"),
        ({"stored": frozenset({"wet"})}, "stored: .*may hold only"),
        ({"stored": frozenset({"damp", "dry"})}, "damp and dry cannot both"),
        ({"years": -1.0}, "years: -1.0 should be 0 or more"),
        ({"years": float("nan")}, "years: nan should be 0 or more"),
    ],
)
def test_unlawful_history_is_refused(answers: dict[str, object], expected: str) -> None:
    with pytest.raises(InvalidHistoryAnswers, match=expected):
        HistoryAnswers(**answers)  # type: ignore[arg-type]


def test_history_comes_back_from_plain_data() -> None:
    history = History(HistoryAnswers(years=4, stored=frozenset({"dry"})), {"motion": HistoryAnswers(ever_ran="no")})
    assert History.from_mapping(history.as_mapping()) == history
    assert History.from_mapping({}) == History()


@pytest.mark.parametrize("text", ["engine", "left", "left.front", "axle2", "right.axle6", "middle.back.fore_gear"])
def test_place_comes_back_from_its_text(text: str) -> None:
    assert str(Place.parse(text)) == text


@pytest.mark.parametrize("text", ["port", "left.right", "axle7", "left..front", "left,front"])
def test_text_that_is_no_place_is_refused(text: str) -> None:
    with pytest.raises(ValueError, match="is not a place, or is given twice"):
        Place.parse(text)


def test_place_with_a_value_of_another_coordinate_is_refused() -> None:
    with pytest.raises(ValueError, match="side 'front': expected one of left, middle, right"):
        Place(side="front")


def test_id_carries_its_place() -> None:
    assert placed_id("valve_displaced", Place(side="left", end="front")) == "valve_displaced@left.front"
    assert placed_id("pump_stiff", Place()) == "pump_stiff"
    assert split_id("valve_displaced@left.front") == ("valve_displaced", Place(side="left", end="front"))


WORDS = {
    "side and end": ("left.front", {}, "left side, front end"),
    "whole engine": ("engine", {}, ""),
    "only cylinder": ("middle.back", {"cylinder_layout": "one"}, "back end"),
    "middle of three": ("middle", {"cylinder_layout": "three"}, "inside, in the middle"),
    "first of three": ("axle1", {"coupled_axles": 3}, "leading axle"),
    "second of three": ("axle2", {"coupled_axles": 3, "driving_axle": 2}, "driving axle"),
    "last of three": ("left.axle3", {"coupled_axles": 3}, "left side, trailing axle"),
    "third of five": ("axle3", {"coupled_axles": 5}, "third axle"),
    "single axle": ("axle1", {"coupled_axles": 1, "kind": "tank_locomotive"}, "driving axle"),
    "crankshaft": ("axle1", {"kind": "stationary_engine"}, "crankshaft"),
    "the only injector": ("injector1", {"injector": "one"}, "injector"),
    "gear": ("left.back_gear", {}, "left side, back gear"),
}


@pytest.mark.parametrize(("text", "build", "expected"), WORDS.values(), ids=WORDS.keys())
def test_place_in_words(text: str, build: dict[str, object], expected: str) -> None:
    assert in_words(Place.parse(text), Configuration(**build)) == expected  # type: ignore[arg-type]


SAID = {
    "a side": ("Turn with this side's rods off", "right side", "Turn with the right side's rods off"),
    "an end of a side": ("Feel this end of this side", "left side, back end", "Feel the back end of the left side"),
    "a capital": ("This end gives no push", "left side, front end", "The front end gives no push (left side)"),
    "the middle": ("Slide this side's crosshead", "inside, in the middle", "Slide the inside crosshead"),
    "an axle": ("Shake this axle in its boxes", "driving axle", "Shake the driving axle in its boxes"),
    "no word for it": ("Gland leaks", "left side", "Gland leaks (left side)"),
    "the only one": ("Slide this side's crosshead", "", "Slide the crosshead"),
    "the only one, after it": ("Tap the cover of this side", "front end", "Tap the cover (front end)"),
    "the only one, by itself": ("This side gives no push", "", "It gives no push"),
}


@pytest.mark.parametrize(("title", "where", "expected"), SAID.values(), ids=SAID.keys())
def test_title_names_its_place_once(title: str, where: str, expected: str) -> None:
    assert titled_at(title, where) == expected
