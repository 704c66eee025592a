"""What one engine's knowledge holds: places, probabilities, links, and what silences them."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest

from restorations.knowledge import (
    Configuration,
    EngineKnowledge,
    History,
    HistoryAnswers,
    UnknownCondition,
    UnknownEntry,
    expand,
)
from tests.knowledge.samples import IDLE, SIX_COUPLED, Files, engine, knowledge, sample


def expanded(folder: Path, files: Files, **build: Any) -> EngineKnowledge:
    return expand(knowledge(folder, files), Configuration(**{**SIX_COUPLED, **build}), IDLE)


def ids_of(entry_id: str, placed: Any) -> list[str]:
    return [placed_id for placed_id, item in placed.items() if item.entry.id == entry_id]


def test_cause_of_a_side_stands_once_for_each_cylinder(tmp_path: Path) -> None:
    assert ids_of("piston_gummed", engine(tmp_path).causes) == ["piston_gummed@left", "piston_gummed@right"]


@pytest.mark.parametrize(
    ("layout", "sides"),
    [
        ("one", ["middle"]),
        ("two_inside", ["left", "right"]),
        ("three", ["left", "middle", "right"]),
        ("not_known", ["left", "right"]),
    ],
)
def test_cylinder_layout_decides_the_sides(tmp_path: Path, layout: str, sides: list[str]) -> None:
    found = engine(tmp_path, cylinder_layout=layout)
    assert ids_of("piston_gummed", found.causes) == [f"piston_gummed@{side}" for side in sides]
    assert ids_of("coupling_rod", found.parts) == ["coupling_rod@left", "coupling_rod@right"]


def test_ends_and_axles_stand_in_the_order_of_the_coordinates(tmp_path: Path) -> None:
    found = engine(tmp_path, coupled_axles=2).causes
    assert ids_of("water_trapped", found) == [
        f"water_trapped@{side}.{end}" for side in ("left", "right") for end in ("back", "front")
    ]
    assert ids_of("axlebox_tight", found) == [
        f"axlebox_tight@{side}.axle{n}" for side in ("left", "right") for n in (1, 2)
    ]


@pytest.mark.parametrize(
    ("kind", "axles"), [("tank_locomotive", 3), ("not_known", 3), ("stationary_engine", 1), ("traction_engine", 1)]
)
def test_axles_not_known_are_assumed_by_the_kind_of_engine(tmp_path: Path, kind: str, axles: int) -> None:
    found = engine(tmp_path, kind=kind, coupled_axles=None, driving_axle=None)
    assert len(ids_of("stiff_one_axle", found.findings)) == axles
    assert bool(ids_of("coupling_rod", found.parts)) == (axles > 1)


def test_rate_per_engine_is_divided_by_its_places_after_history_has_moved_the_odds(tmp_path: Path) -> None:
    causes = engine(tmp_path).causes
    # Odds 0.25 halved (ran well, dry store): 0.125 / 1.125 = 1/9, over two sides.
    assert causes["piston_gummed@left"].probability == pytest.approx(1 / 18)
    assert causes["axlebox_tight@right.axle3"].probability == pytest.approx(0.06 / 6)


def test_damp_store_multiplies_the_odds(tmp_path: Path) -> None:
    damp = History(replace(IDLE.general, stored=frozenset({"damp"}), ran_well_when_put_away="no"))
    # Odds 0.25 times 3: 0.75 / 1.75.
    assert engine(tmp_path, damp).causes["piston_gummed@left"].probability == pytest.approx(0.75 / 1.75 / 2)


def test_answers_not_known_give_the_mean_over_their_alternatives(tmp_path: Path) -> None:
    unknown = History(HistoryAnswers(ever_ran="yes", rebuilt_since="no", years=9))
    by_hand = [odds / (1 + odds) for odds in (0.25 * 3 * 0.5, 0.25 * 3, 0.25 * 0.5, 0.25)]
    found = engine(tmp_path, unknown).causes["piston_gummed@left"].probability
    assert found == pytest.approx(sum(by_hand) / 4 / 2)


def test_history_of_a_system_goes_before_the_general_one(tmp_path: Path) -> None:
    rebuilt = History(IDLE.general, {"motion": HistoryAnswers(rebuilt_since="yes", first_run_done="no")})
    causes = engine(tmp_path, rebuilt).causes
    assert causes["axlebox_tight@left.axle1"].probability == pytest.approx(0.12 / 6)
    assert causes["water_trapped@left.front"].probability == pytest.approx(0.04 / 4)


def test_history_class_not_known_takes_the_mean_of_the_rates(tmp_path: Path) -> None:
    found = engine(tmp_path, History()).causes["pump_stiff"].probability
    assert found == pytest.approx((0.1 + 0.01 + 0.01) / 3)


def test_part_of_the_build_not_known_keeps_its_share(tmp_path: Path) -> None:
    causes = engine(tmp_path, piston_sealing="not_known", feed_pump="not_known").causes
    assert causes["piston_gummed@left"].probability == pytest.approx(1 / 18 * 2 / 4)
    assert causes["pump_stiff"].probability == pytest.approx(0.1 * 2 / 3)


def test_entry_at_some_feeds_only_is_placed_at_those_the_engine_has(tmp_path: Path) -> None:
    files = sample()
    files["motion/causes"]["pump_stiff"] |= {"place": "feed", "feeds": ["hand_pump", "injector2"], "applies": {}}
    found = expanded(tmp_path, files, hand_pump="fitted", injector="one")
    assert ids_of("pump_stiff", found.causes) == ["pump_stiff@hand_pump"]


def test_cause_that_does_not_apply_is_absent_with_its_checks_and_remedies(tmp_path: Path) -> None:
    found = engine(tmp_path, feed_pump="none", cylinder_mounting="oscillating")
    assert not ids_of("pump_stiff", found.causes)
    assert "feel_pump" not in found.checks
    assert not ids_of("soak_cylinder", found.remedies)
    assert "pump_stiff" not in found.findings["wheels_stiff"].links


def test_unlisted_cause_is_linked_to_every_finding_and_never_silenced(tmp_path: Path) -> None:
    found = engine(tmp_path)
    assert found.causes["unlisted"].probability == 0.05
    assert found.findings["wheels_stiff"].links["unlisted"].strengths == (0.3, 0.1)
    assert found.findings["stiff_one_axle@axle2"].links["unlisted"].strengths == (0.3,)
    everything_off = frozenset(found.parts)
    assert all("unlisted" not in found.inactive(name, off=everything_off) for name in found.findings)


def test_link_acts_where_the_coordinates_both_have_are_equal(tmp_path: Path) -> None:
    links = engine(tmp_path).findings["stiff_one_axle@axle2"].links
    assert sorted(links) == ["axlebox_tight@left.axle2", "axlebox_tight@right.axle2", "unlisted"]


def test_link_across_acts_on_the_other_side_only(tmp_path: Path) -> None:
    files = sample()
    files["motion/findings"]["side_weak"] = {
        **files["motion/findings"]["stiff_one_axle"],
        "place": "side",
        "links": [
            {"cause": "piston_gummed", "strengths": [0.6]},
            {"cause": "piston_gummed", "strengths": [0.3], "across": "other_side"},
        ],
    }
    two = expanded(tmp_path / "two", files).findings["side_weak@left"].links
    assert {name: link.strengths for name, link in two.items() if "piston" in name} == {
        "piston_gummed@left": (0.6,),
        "piston_gummed@right": (0.3,),
    }
    one = expanded(tmp_path / "one", files, cylinder_layout="one").findings["side_weak@middle"].links
    assert sorted(one) == ["piston_gummed@middle", "unlisted"]


def test_the_one_inside_cylinder_goes_with_the_wheels_of_both_sides(tmp_path: Path) -> None:
    files = sample()
    files["motion/findings"]["side_drags"] = {
        **files["motion/findings"]["stiff_one_axle"],
        "place": "side",
        "sides": "wheels",
        "links": [{"cause": "piston_gummed", "strengths": [0.6], "through": ["connecting_rod", "coupling_rod"]}],
    }
    found = expanded(tmp_path, files, cylinder_layout="one").findings
    for side in ("left", "right"):
        link = found[f"side_drags@{side}"].links["piston_gummed@middle"]
        assert link.through == (
            frozenset({"connecting_rod@middle"}),
            frozenset({"coupling_rod@left", "coupling_rod@right"}),
        )


def test_plain_part_name_is_found_at_the_place_of_cause_and_finding_together(tmp_path: Path) -> None:
    files = sample()
    files["motion/findings"]["rod_tight"] = {
        **files["motion/findings"]["stiff_one_axle"],
        "place": "side",
        "sides": "wheels",
        "links": [{"cause": "pump_stiff", "strengths": [0.6], "through": ["coupling_rod"]}],
    }
    found = expanded(tmp_path, files)
    assert found.findings["rod_tight@left"].links["pump_stiff"].through == (frozenset({"coupling_rod@left"}),)


def test_part_that_the_engine_does_not_have_silences_nothing(tmp_path: Path) -> None:
    links = engine(tmp_path, coupled_axles=1, driving_axle=1).findings["wheels_stiff"].links
    assert links["axlebox_tight@left.axle1"].through == ()


def test_rod_off_silences_the_causes_behind_it_on_its_side(tmp_path: Path) -> None:
    found = engine(tmp_path)
    shut = {"drain_cocks": "shut"}
    assert found.inactive("wheels_stiff", conditions=shut) == frozenset()
    assert found.inactive("wheels_stiff", off=frozenset({"connecting_rod@left"}), conditions=shut) == {
        "piston_gummed@left",
        "water_trapped@left.back",
        "water_trapped@left.front",
    }


def test_any_one_of_several_parts_carries_a_cause(tmp_path: Path) -> None:
    found = engine(tmp_path)
    boxes = set(ids_of("axlebox_tight", found.causes))
    one, both = frozenset({"coupling_rod@left"}), frozenset({"coupling_rod@left", "coupling_rod@right"})
    assert not boxes & found.inactive("wheels_stiff", off=one)
    assert boxes <= found.inactive("wheels_stiff", off=both)


def test_condition_that_does_not_hold_silences_a_link(tmp_path: Path) -> None:
    found = engine(tmp_path)
    water = set(ids_of("water_trapped", found.causes))
    assert found.inactive("wheels_stiff") == water  # the cocks are taken to be open
    assert found.inactive("wheels_stiff", conditions={"drain_cocks": "shut"}) == frozenset()


def test_engine_without_the_thing_has_its_absent_condition_whatever_is_said(tmp_path: Path) -> None:
    found = engine(tmp_path, drain_cocks="none")
    assert found.conditions["drain_cocks"].values == ("shut",)
    assert found.inactive("wheels_stiff", conditions={"drain_cocks": "open"}) == frozenset()


def test_part_off_that_nobody_knows_silences_nothing(tmp_path: Path) -> None:
    found = engine(tmp_path)
    assert found.inactive("wheels_stiff", off=frozenset({"whistle"})) == found.inactive("wheels_stiff")


def test_unknown_finding_and_condition_are_named(tmp_path: Path) -> None:
    found = engine(tmp_path)
    with pytest.raises(UnknownEntry, match="no finding 'smell'"):
        found.inactive("smell")
    with pytest.raises(UnknownCondition, match="no condition 'mood'"):
        found.inactive("wheels_stiff", conditions={"mood": "good"})
    with pytest.raises(UnknownCondition, match="drain_cocks 'ajar': expected one of open, shut"):
        found.inactive("wheels_stiff", conditions={"drain_cocks": "ajar"})


def test_causes_that_explain_findings_are_those_linked_to_them(tmp_path: Path) -> None:
    found = engine(tmp_path)
    assert found.explaining(["stiff_one_axle@axle1"]) == {
        "axlebox_tight@left.axle1",
        "axlebox_tight@right.axle1",
        "unlisted",
    }
    assert found.explaining([]) == frozenset()


def test_check_stands_once_for_each_place_with_its_parts(tmp_path: Path) -> None:
    checks = engine(tmp_path).checks
    assert ids_of("turn_wheels_one_rod_off", checks) == [
        "turn_wheels_one_rod_off@left",
        "turn_wheels_one_rod_off@right",
    ]
    assert checks["turn_wheels_one_rod_off@left"].needs_off == {"connecting_rod@left"}
    assert checks["turn_wheels_one_rod_off@left"].target == "wheels_stiff"
    assert checks["turn_wheels"].needs_fitted == {"connecting_rod@left", "connecting_rod@right"}


def test_check_of_the_whole_engine_is_made_at_each_place_of_its_finding(tmp_path: Path) -> None:
    checks = engine(tmp_path).checks
    assert checks["turn_wheels_rods_off@axle2"].target == "stiff_one_axle@axle2"
    assert checks["turn_wheels_rods_off@axle2"].needs_off == {"coupling_rod@left", "coupling_rod@right"}


def test_look_with_a_part_off_that_the_engine_has_not_is_not_offered(tmp_path: Path) -> None:
    assert not ids_of("turn_wheels_rods_off", engine(tmp_path, coupled_axles=1, driving_axle=1).checks)


def test_examination_is_made_once_for_each_place_of_its_cause(tmp_path: Path) -> None:
    files = sample()
    files["motion/checks"]["feel_box"] = {
        **files["motion/checks"]["feel_pump"],
        "place": "engine",
        "examines": "axlebox_tight",
    }
    checks = expanded(tmp_path, files, coupled_axles=1, driving_axle=1).checks
    assert {name: check.target for name, check in checks.items() if "feel_box" in name} == {
        "feel_box@left.axle1": "axlebox_tight@left.axle1",
        "feel_box@right.axle1": "axlebox_tight@right.axle1",
    }


def test_remedy_is_shared_by_the_causes_at_its_place_that_name_it(tmp_path: Path) -> None:
    files = sample()
    files["motion/causes"]["axlebox_tight"] |= {"place": "engine", "sides": "cylinders"}
    remedies = expanded(tmp_path, files).remedies
    assert remedies["ease_axlebox"].causes == {"axlebox_tight", "pump_stiff"}
    assert remedies["soak_cylinder@left"].causes == {"piston_gummed@left"}
    assert remedies["soak_cylinder@left"].needs_off == {"connecting_rod@left"}


def test_names_carry_the_place_in_words(tmp_path: Path) -> None:
    found = engine(tmp_path)
    assert found.causes["water_trapped@left.front"].name == "Water trapped in the cylinder (left side, front end)"
    assert found.findings["stiff_one_axle@axle2"].name == "One axle stiff (driving axle)"
    assert found.causes["pump_stiff"].name == "Feed pump stiff"


def test_stored_knowledge_comes_back_the_same(tmp_path: Path) -> None:
    import json

    found = engine(tmp_path)
    again = EngineKnowledge.from_mapping(json.loads(json.dumps(found.as_mapping())))
    assert again == found
    assert again.checksum == found.checksum
    assert again.mapping == found.mapping
    off = frozenset({"connecting_rod@left"})
    assert again.inactive("wheels_stiff", off=off) == found.inactive("wheels_stiff", off=off)


def test_stored_knowledge_of_another_form_is_refused(tmp_path: Path) -> None:
    stored = {**engine(tmp_path).as_mapping(), "form": 99}
    with pytest.raises(ValueError, match="form 99: expected 1"):
        EngineKnowledge.from_mapping(stored)


def test_checksum_changes_with_build_history_and_words(tmp_path: Path) -> None:
    files = sample()
    files["motion/causes"]["pump_stiff"]["explain"] = "Another sentence."
    sums = {
        engine(tmp_path / "a").checksum,
        engine(tmp_path / "b", History()).checksum,
        engine(tmp_path / "c", feed_pump="none").checksum,
        expanded(tmp_path / "d", files).checksum,
    }
    assert len(sums) == 4
    assert engine(tmp_path / "e").checksum in sums


def test_withdrawn_and_draft_entries_are_not_expanded(tmp_path: Path) -> None:
    files = sample()
    files["motion/checks"]["turn_wheels"]["status"] = "draft"
    assert "turn_wheels" not in expanded(tmp_path, files).checks


def test_model_holds_the_numbers_of_the_mapping(tmp_path: Path) -> None:
    found = engine(tmp_path)
    model = found.model
    assert set(model.causes) == set(found.causes)
    assert set(model.findings) == set(found.findings)
    assert found.mapping["findings"]["wheels_stiff"]["leak"] == [0.02, 0.005]
    assert found.mapping["findings"]["wheels_stiff"]["links"]["piston_gummed@left"] == [0.8, 0.4]
