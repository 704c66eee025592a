"""What would tell A from B: the widest gaps first, examinations by their minutes."""

from __future__ import annotations

from pathlib import Path

from restorations.knowledge.comparing import tell_apart, tell_apart_on
from tests.knowledge.samples import engine, knowledge, sample


def test_two_causes_are_held_against_each_other_at_the_level_where_they_differ_most(tmp_path: Path) -> None:
    telling = tell_apart(knowledge(tmp_path), "axlebox_tight", "pump_stiff")
    assert [(gap.finding, gap.level, gap.first, gap.second) for gap in telling.gaps] == [
        ("stiff_one_axle", 1, 0.8, 0.0),
        ("wheels_stiff", 1, 0.7, 0.4),
    ]
    assert [(one.check, one.cause) for one in telling.examinations] == [("feel_pump", "pump_stiff")]


def test_the_same_cause_on_two_sides_of_one_engine_is_told_apart_by_what_shows_on_a_side(tmp_path: Path) -> None:
    on_one = engine(tmp_path)
    assert tell_apart_on(on_one, "piston_gummed@left", "piston_gummed@right").gaps == ()
    telling = tell_apart_on(on_one, "axlebox_tight@left.axle1", "axlebox_tight@left.axle2")
    assert {gap.finding for gap in telling.gaps} == {"stiff_one_axle@axle1", "stiff_one_axle@axle2"}


def test_examinations_come_with_the_cheapest_first(tmp_path: Path) -> None:
    files = sample()
    for name, minutes in (("see_pump", 3), ("weigh_pump", 40)):
        files["motion/checks"][name] = {**files["motion/checks"]["feel_pump"], "minutes": minutes}
    telling = tell_apart(knowledge(tmp_path, files), "pump_stiff", "piston_gummed")
    assert [one.check for one in telling.examinations] == ["see_pump", "feel_pump", "weigh_pump"]
