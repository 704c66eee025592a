"""Reading a folder: what is lawful loads, what is not is listed, all of it at once."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest

from restorations.knowledge import KnowledgeError, load, read
from tests.knowledge.samples import Files, knowledge, sample, write

MISSING = object()
MOTION, CYLINDERS = "motion", "cylinders"


def changed(path: str, value: Any) -> Files:
    """Return the lawful sample with one field set (or taken away): "motion/causes|axlebox_tight|rate|per"."""
    files: Any = sample()
    *steps, last = path.split("|")
    target = files
    for step in steps:
        target = target[int(step)] if isinstance(target, list) else target[step]
    key: Any = int(last) if isinstance(target, list) else last
    if value is MISSING:
        del target[key]
    else:
        target[key] = value
    return files


def offenders(folder: Path, files: Files) -> list[str]:
    with pytest.raises(KnowledgeError) as caught:
        read(write(folder, files))
    return [str(offender) for offender in caught.value.offenders]


def test_lawful_folder_loads_sorted_with_its_systems(tmp_path: Path) -> None:
    found = knowledge(tmp_path)
    assert list(found.causes) == ["axlebox_tight", "piston_gummed", "pump_stiff", "water_trapped"]
    assert {cause.id: cause.system for cause in found.causes.values()}["water_trapped"] == CYLINDERS
    assert found.conditions["drain_cocks"].absent == "shut"
    assert found.findings["wheels_stiff"].links[0].through == (("coupling_rod@left", "coupling_rod@right"),)
    assert found.sources["bench_book"].details == {"year": "1931"}


def test_link_inherits_basis_and_source_unless_it_has_its_own(tmp_path: Path) -> None:
    links = {link.cause: (link.basis, link.source) for link in knowledge(tmp_path).findings["wheels_stiff"].links}
    assert links["piston_gummed"] == ("judgement", "common_practice")
    assert links["water_trapped"] == ("published", "bench_book")


ONE_TABLE = {
    "a field nobody knows": ("motion/causes|pump_stiff|colour", "red", "motion/causes.toml [pump_stiff] colour"),
    "a missing title": ("motion/causes|pump_stiff|title", MISSING, "title: missing"),
    "an empty title": ("motion/causes|pump_stiff|title", "  ", "title: expected a text that is not empty"),
    "no basis": ("motion/checks|feel_pump|basis", MISSING, "motion/checks.toml [feel_pump] basis: missing"),
    "an unlawful basis": ("motion/checks|feel_pump|basis", "hearsay", "basis: 'hearsay' is none of"),
    "no source": ("parts|connecting_rod|source", MISSING, "parts.toml [connecting_rod] source: missing"),
    "an unlawful status": ("motion/causes|pump_stiff|status", "perhaps", "status: 'perhaps' is none of"),
    "withdrawn without heir": ("parts|fire|status", "withdrawn", "[fire] replaced_by: a withdrawn entry names"),
    "heir of a living entry": ("parts|fire|replaced_by", "connecting_rod", "[fire] replaced_by: a withdrawn entry"),
    "a rate of 0": ("motion/causes|pump_stiff|rate|idle_for_years", 0, "rate.idle_for_years: 0: expected"),
    "a rate of 1": ("motion/causes|pump_stiff|rate|idle_for_years", 1, "rate.idle_for_years: 1: expected"),
    "a rate that is true": ("motion/causes|pump_stiff|rate|in_regular_use", True, "rate.in_regular_use: True"),
    "a missing rate": ("motion/causes|pump_stiff|rate|freshly_assembled", MISSING, "rate.freshly_assembled: missing"),
    "a rate for nothing": ("motion/causes|pump_stiff|rate|sunday", 0.1, "rate.sunday: unknown field"),
    "rate per dozen": ("motion/causes|pump_stiff|rate|per", "dozen", "rate.per: 'dozen' is none of"),
    "no rate": ("motion/causes|pump_stiff|rate", MISSING, "rate: missing"),
    "an unknown place on the outline": ("motion/causes|pump_stiff|at", "moon", "at: 'moon' is none of"),
    "an unknown coordinate": ("motion/causes|pump_stiff|place", "corner", "place: 'corner': expected 'engine'"),
    "coordinates out of order": ("motion/causes|axlebox_tight|place", "axle.side", "place: 'axle.side': expected"),
    "sides of nothing": ("motion/causes|axlebox_tight|sides", "doors", "sides: 'doors' is none of"),
    "a feed nobody knows": ("motion/causes|pump_stiff|feeds", ["bucket"], "feeds: 'bucket' is none of"),
    "feeds of the whole engine": ("motion/causes|pump_stiff|feeds", ["hand_pump"], "feeds: belongs to an entry"),
    "an unknown configuration field": ("parts|coupling_rod|applies", {"colour": "red"}, "applies.colour: no such"),
    "an unknown configuration value": ("parts|coupling_rod|applies", {"valve": "flap"}, "applies.valve: ['flap']"),
    "not known as a value": ("parts|coupling_rod|applies", {"valve": "not_known"}, "applies.valve: ['not_known']"),
    "too many axles": ("parts|coupling_rod|applies", {"coupled_axles": [7]}, "applies.coupled_axles: [7]"),
    "an unknown history key": ("cylinders/causes|piston_gummed|when|0|weather", "wet", "when[1].weather: unknown"),
    "an unknown history answer": ("cylinders/causes|piston_gummed|when|0|stored", "wet", "when[1].stored: 'wet'"),
    "no history key": ("cylinders/causes|piston_gummed|when|0|stored", MISSING, "when[1].: expected at least one"),
    "times nothing": ("cylinders/causes|piston_gummed|when|0|times", 0, "when[1].times: 0: expected a number from"),
    "no remedy": ("motion/causes|pump_stiff|remedies", [], "remedies: expected a list of 1 or more"),
    "one level": ("motion/findings|stiff_one_axle|levels", ["free"], "levels: expected a list of 2 or more"),
    "five levels": ("motion/findings|wheels_stiff|levels", list("abcde"), "levels: expected at most 4"),
    "leak too short": ("motion/findings|wheels_stiff|leak", [0.02], "leak: [0.02]: expected 2 number(s)"),
    "leak of 0": ("motion/findings|wheels_stiff|leak", [0.02, 0], "leak: [0.02, 0]: expected probabilities"),
    "strengths of 1": ("motion/findings|wheels_stiff|links|1|strengths", [1.0, 0.4], "links[2].strengths: [1.0, 0.4]"),
    "strengths that rise": ("motion/findings|wheels_stiff|links|1|strengths", [0.4, 0.8], "do not rise with the level"),
    "strengths too long": ("motion/findings|wheels_stiff|links|1|strengths", [0.4] * 3, "expected 2 number(s)"),
    "strengths in words": ("motion/findings|wheels_stiff|links|1|strengths", ["a", "b"], "expected 2 number(s)"),
    "a link across nothing": ("motion/findings|wheels_stiff|links|1|across", "river", "links[2].across: 'river'"),
    "through a number": ("motion/findings|wheels_stiff|links|1|through", [3], "links[2].through: 3: expected a part"),
    "stop without danger": ("motion/findings|wheels_stiff|stop", "Stand back.", "stop: only a dangerous finding"),
    "check of nothing": ("motion/checks|turn_wheels|answers", MISSING, "answers: expected either"),
    "check of two things": ("motion/checks|turn_wheels|examines", "pump_stiff", "answers: expected either"),
    "a look with sensitivity": ("motion/checks|turn_wheels|sensitivity", 0.9, "sensitivity: belongs to"),
    "sensitivity of 1": ("motion/checks|feel_pump|sensitivity", 1, "sensitivity: 1: expected a probability"),
    "an examination that tells nothing": ("motion/checks|feel_pump|false_alarm", 0.95, "sensitivity: expected more"),
    "minutes below 0": ("motion/checks|feel_pump|minutes", -1, "minutes: -1: expected a number from 0 to 10000"),
    "minutes in words": ("motion/checks|feel_pump|minutes", "ten", "minutes: 'ten': expected a number"),
    "risk of 4": ("motion/checks|feel_pump|risk_person", 4, "risk_person: 4: expected 0, 1, 2 or 3"),
    "no risk given": ("motion/checks|feel_pump|risk_engine", MISSING, "risk_engine: missing"),
    "a risk without caution": ("motion/checks|run_on_air|cautions", [], "cautions: a step with a risk of 2 or 3"),
    "authority of nobody": ("motion/checks|feel_pump|authority", "postman", "authority: 'postman' is none of"),
    "a gate fact nobody knows": ("motion/checks|feel_pump|needs", ["full_moon"], "needs: 'full_moon' is none of"),
    "a use nobody knows": ("motion/checks|feel_pump|uses", ["magic"], "uses: 'magic' is none of"),
    "certain success": ("motion/remedies|ease_axlebox|success", 1, "success: 1: expected a probability"),
    "a flag in words": ("cylinders/remedies|soak_cylinder|puts_solvent", "yes", "puts_solvent: 'yes': expected true"),
    "a condition assumed wrongly": ("parts|drain_cocks|assumed", "ajar", "assumed: 'ajar' is none of open, shut"),
    "a condition of one side": ("parts|drain_cocks|place", "side", "place: expected 'engine'"),
    "a source without title": ("sources|bench_book|title", MISSING, "sources.toml [bench_book] title: missing"),
    "a source with more": ("sources|bench_book|price", 3, "sources.toml [bench_book] price: unknown field"),
}

REFERENCES = {
    "an unknown remedy": ("motion/causes|pump_stiff|remedies", ["pray"], "remedies: 'pray' does not exist"),
    "an unknown cause": ("motion/findings|wheels_stiff|links|2|cause", "ghost", "links[3].cause: 'ghost' does not"),
    "an unknown part in through": ("motion/findings|wheels_stiff|links|1|through", ["belt"], "through: 'belt' does"),
    "a part at a place it has not": (
        "motion/findings|wheels_stiff|links|1|through",
        ["connecting_rod@axle1"],
        "'connecting_rod' is placed by side, not by axle1",
    ),
    "a part nowhere": (
        "motion/findings|wheels_stiff|links|1|through",
        ["connecting_rod@attic"],
        "'attic' is not a place",
    ),
    "an unknown condition": ("motion/findings|wheels_stiff|requires", {"mood": "good"}, "requires: 'mood' does not"),
    "an unknown value of a condition": (
        "motion/findings|wheels_stiff|links|3|when",
        {"drain_cocks": "ajar"},
        "links[4].when.drain_cocks: ['ajar']: expected some of open, shut",
    ),
    "an unknown part off": ("motion/checks|turn_wheels_one_rod_off|needs_off", ["belt"], "needs_off: 'belt' does not"),
    "an unknown expected part": ("motion/findings|stiff_one_axle|expects_off", ["belt"], "expects_off: 'belt' does"),
    "an unknown finding": ("motion/checks|turn_wheels|answers", "heat", "answers: 'heat' does not exist"),
    "an unknown examined cause": ("motion/checks|feel_pump|examines", "ghost", "examines: 'ghost' does not exist"),
    "an unknown source": ("motion/causes|pump_stiff|source", "hearsay", "source: 'hearsay' is neither"),
    "published without a source": ("motion/causes|pump_stiff|basis", "published", "a published basis names its"),
    "a link's unknown source": ("motion/findings|wheels_stiff|links|3|source", "lore", "links[4].source: 'lore' is"),
    "part both off and fitted": (
        "motion/checks|turn_wheels|needs_off",
        ["connecting_rod"],
        "needs_off: 'connecting_rod' cannot be off and fitted at once",
    ),
    "two links of one cause": (
        "motion/findings|wheels_stiff|links|2|cause",
        "piston_gummed",
        "links: 'piston_gummed' is linked 2 times",
    ),
    "across without sides": ("motion/findings|wheels_stiff|links|1|across", "other_side", "across: expected a side"),
    "no links": ("motion/findings|stiff_one_axle|links", [], "links: expected at least one cause"),
    "a level without meaning": ("motion/checks|turn_wheels|meaning", {"free": "Good."}, "meaning: ['free']: expected"),
    "an outcome unheard of": (
        "motion/checks|feel_pump|meaning",
        {"found": "Yes.", "not found": "No.", "perhaps": "Perhaps."},
        "expected one for each of found, not found",
    ),
    "a check that leaves open what drives the engine": (
        "motion/findings|wheels_stiff|requires",
        {"driven_by": "on_air"},
        "[turn_wheels] conditions: 'wheels_stiff' is judged on_air: expected driven_by",
    ),
    "needed and excluded": ("motion/checks|run_on_air|excludes", ["tied_down"], "'tied_down' is both needed and"),
    "air excludes what air needs": (
        "motion/checks|run_on_air|excludes",
        ["turns_freely_by_hand"],
        "'turns_freely_by_hand' is both needed and excluded",
    ),
    "air with wheels neither chocked nor tied": (
        "motion/checks|run_on_air|needs",
        ["wheels_clear"],
        "air turns wheels: expected wheels_chocked, or wheels_clear and tied_down",
    ),
    "chocked and clear": (
        "motion/checks|run_on_air|needs",
        ["wheels_clear", "wheels_chocked"],
        "are never so together",
    ),
    "steam with a cold boiler": (
        "motion/checks|run_on_air",
        {**sample()["motion/checks"]["run_on_air"], "conditions": {"driven_by": "in_steam"}, "needs": ["boiler_cold"]},
        "boiler_cold and in_steam are never so together",
    ),
    "heat with its own solvent": ("cylinders/remedies|soak_cylinder|uses", ["heat"], "heat and steam never meet"),
    "an heir that does not exist": (
        "parts|fire",
        {**sample()["parts"]["fire"], "status": "withdrawn", "replaced_by": "furnace"},
        "replaced_by: 'furnace' does not exist",
    ),
}


@pytest.mark.parametrize(("path", "value", "expected"), ONE_TABLE.values(), ids=ONE_TABLE.keys())
def test_what_is_wrong_in_a_table_is_named(tmp_path: Path, path: str, value: Any, expected: str) -> None:
    assert any(expected in line for line in offenders(tmp_path, changed(path, value)))


@pytest.mark.parametrize(("path", "value", "expected"), REFERENCES.values(), ids=REFERENCES.keys())
def test_what_does_not_fit_together_is_named(tmp_path: Path, path: str, value: Any, expected: str) -> None:
    assert any(expected in line for line in offenders(tmp_path, changed(path, value)))


def test_all_offenders_are_listed_at_once_with_their_files(tmp_path: Path) -> None:
    files = changed("motion/causes|pump_stiff|title", MISSING)
    files["cylinders/remedies"]["soak_cylinder"]["minutes"] = -3
    files["parts"]["fire"]["colour"] = "red"
    lines = offenders(tmp_path, files)
    assert [line.split("]")[0] for line in lines] == [
        "cylinders/remedies.toml [soak_cylinder",
        "motion/causes.toml [pump_stiff",
        "parts.toml [fire",
    ]


def test_cause_without_a_link_is_named(tmp_path: Path) -> None:
    files = sample()
    del files["motion/findings"]["wheels_stiff"]["links"][2]
    assert "motion/causes.toml [pump_stiff] : no finding in use has a link to this cause" in offenders(tmp_path, files)


def test_cause_that_no_remedy_fits_on_some_engine_is_named(tmp_path: Path) -> None:
    files = sample()
    files["cylinders/remedies"]["soak_cylinder"]["applies"] = {"piston_sealing": ["iron_rings", "plain"]}
    assert (
        "cylinders/causes.toml [piston_gummed] remedies: none of them applies to an engine with "
        "cylinder_mounting fixed, piston_sealing packing"
    ) in offenders(tmp_path, files)


def test_cause_that_no_finding_shows_on_some_engine_is_named(tmp_path: Path) -> None:
    files = sample()
    files["motion/findings"]["wheels_stiff"]["applies"] = {"kind": "tank_locomotive"}
    lines = offenders(tmp_path, files)
    assert any(
        "[water_trapped] findings: none of them applies to an engine with kind tender_locomotive" in line
        for line in lines
    )
    assert not any("axlebox_tight" in line for line in lines)  # it shows in another finding too


def test_remedy_that_no_cause_names_is_named(tmp_path: Path) -> None:
    files = changed("cylinders/causes|water_trapped|remedies", ["soak_cylinder"])
    assert any("[drain_cylinder] : no cause in use names" in line for line in offenders(tmp_path, files))


def test_entry_in_use_must_not_name_a_withdrawn_one(tmp_path: Path) -> None:
    files = sample()
    files["cylinders/remedies"]["drain_cylinder"] |= {"status": "withdrawn", "replaced_by": "soak_cylinder"}
    assert any("'drain_cylinder' is withdrawn; see soak_cylinder" in line for line in offenders(tmp_path, files))


def test_withdrawn_entry_stays_readable(tmp_path: Path) -> None:
    files = sample()
    files["motion/remedies"]["file_axlebox"] = {
        **files["motion/remedies"]["ease_axlebox"],
        "status": "withdrawn",
        "replaced_by": "ease_axlebox",
    }
    assert knowledge(tmp_path, files).remedies["file_axlebox"].replaced_by == ("ease_axlebox",)


def test_check_and_remedy_must_not_share_an_id(tmp_path: Path) -> None:
    files = sample()
    files["motion/checks"]["ease_axlebox"] = files["motion/checks"]["feel_pump"]
    assert any("[ease_axlebox] id: a remedy has the same id" in line for line in offenders(tmp_path, files))


def test_id_in_two_systems_is_named(tmp_path: Path) -> None:
    files = sample()
    files["motion/causes"]["piston_gummed"] = files["cylinders/causes"]["piston_gummed"]
    assert any("[piston_gummed] : this id is already one of the causes" in line for line in offenders(tmp_path, files))


@pytest.mark.parametrize("entry_id", ["Piston", "1piston", "piston-gummed", "kolben_fräst"])
def test_id_that_is_not_words_is_named(tmp_path: Path, entry_id: str) -> None:
    path = write(tmp_path, sample()) / "sources.toml"
    path.write_text(f'["{entry_id}"]\ntitle = "A book"\n["zz"]\ntitle = "Another"\n["bench_book"]\ntitle = "B"\n')
    with pytest.raises(KnowledgeError, match="expected small letters, digits and underscores"):
        read(tmp_path)


@pytest.mark.parametrize("entry_id", ["unlisted", "hand_over"])
def test_id_kept_for_every_engine_is_refused(tmp_path: Path, entry_id: str) -> None:
    files = sample()
    files["motion/causes"][entry_id] = files["motion/causes"]["pump_stiff"]
    assert any(f"[{entry_id}] id: this id is kept" in line for line in offenders(tmp_path, files))


def test_ids_out_of_order_are_named(tmp_path: Path) -> None:
    path = write(tmp_path, sample()) / "sources.toml"
    path.write_text('[zebra]\ntitle = "Z"\n[bench_book]\ntitle = "B"\n')
    with pytest.raises(KnowledgeError, match=r"sources.toml \[zebra\] id: expected the ids sorted"):
        read(tmp_path)


@pytest.mark.parametrize(
    "content", [b"[broken\n", b"\xff\xfe", b"[a]\nb = 1\nb = 2\n"], ids=["syntax", "bytes", "twice"]
)
def test_file_that_cannot_be_read_is_named(tmp_path: Path, content: bytes) -> None:
    (write(tmp_path, sample()) / "motion" / "causes.toml").write_bytes(content)
    with pytest.raises(KnowledgeError, match=r"motion/causes.toml \[\] : not readable as TOML"):
        read(tmp_path)


def test_file_in_no_lawful_place_is_named(tmp_path: Path) -> None:
    (write(tmp_path, sample()) / "motion" / "rumours.toml").write_text("")
    with pytest.raises(KnowledgeError, match=r"motion/rumours.toml"):
        read(tmp_path)


def test_value_where_a_table_should_be_is_named(tmp_path: Path) -> None:
    (write(tmp_path, sample()) / "sources.toml").write_text('bench_book = "B"\n')
    with pytest.raises(KnowledgeError, match=r"sources.toml \[bench_book\] : expected a table"):
        read(tmp_path)


def twins(strengths: list[float]) -> Files:
    """Return the sample with a second pump fault that acts like the first, but for its strengths."""
    files = sample()
    files["motion/causes"]["pump_dry"] = {**files["motion/causes"]["pump_stiff"], "title": "Feed pump dry"}
    files["motion/findings"]["wheels_stiff"]["links"].append({"cause": "pump_dry", "strengths": strengths})
    return files


def test_causes_that_nothing_tells_apart_are_named(tmp_path: Path) -> None:
    files = twins([0.55, 0.05])
    files["motion/checks"]["feel_pump"]["sensitivity"] = 0.7
    assert any("[pump_dry] : not told apart from 'pump_stiff'" in line for line in offenders(tmp_path, files))


@pytest.mark.parametrize(
    ("strengths", "sensitivity"),
    [([0.6, 0.05], 0.7), ([0.41, 0.25], 0.7), ([0.4, 0.05], 0.8)],
    ids=["first level", "second level", "examined"],
)
def test_causes_are_told_apart_by_strengths_or_examination(
    tmp_path: Path, strengths: list[float], sensitivity: float
) -> None:
    files = twins(strengths)
    files["motion/checks"]["feel_pump"]["sensitivity"] = sensitivity
    assert "pump_dry" in knowledge(tmp_path, files).causes


def test_examination_that_often_cries_wolf_tells_nothing_apart(tmp_path: Path) -> None:
    files = twins([0.4, 0.05])
    files["motion/checks"]["feel_pump"]["false_alarm"] = 0.3
    assert any("not told apart" in line for line in offenders(tmp_path, files))


def test_finding_that_only_one_of_them_shows_in_tells_them_apart(tmp_path: Path) -> None:
    files = twins([0.4, 0.05])
    files["motion/checks"]["feel_pump"]["sensitivity"] = 0.7
    files["motion/findings"]["stiff_one_axle"]["links"].append({"cause": "pump_dry", "strengths": [0.2]})
    assert "pump_dry" in knowledge(tmp_path, files).causes


def test_checksum_follows_the_bytes_of_the_files(tmp_path: Path) -> None:
    first = knowledge(tmp_path / "a").checksum
    assert knowledge(tmp_path / "b").checksum == first
    path = tmp_path / "b" / "sources.toml"
    path.write_text(path.read_text() + "# one more line\n")
    assert read(tmp_path / "b").checksum != first


def test_another_folder_is_read_anew(tmp_path: Path) -> None:
    write(tmp_path, sample())
    assert load(tmp_path) is not load(tmp_path)
