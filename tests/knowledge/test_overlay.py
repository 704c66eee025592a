"""A club's own entries over the shipped ones: they take their places, or are refused with every reason."""

from __future__ import annotations

import tempfile
import tomllib
from dataclasses import replace
from functools import cache
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from restorations.knowledge import KnowledgeError, load, read
from restorations.knowledge.entry_text import as_club_record, entry_text, with_link, with_values
from restorations.knowledge.exporting import file_texts
from restorations.knowledge.files import KINDS, Files, read_files
from restorations.knowledge.loader import shipped_files, survey_files
from restorations.knowledge.overlay import LONGEST_ENTRY, EntryText, laid_over, lay_over, overlay, survey_over
from restorations.knowledge.skeletons import skeleton
from restorations.knowledge.withdrawing import withdraw
from tests.knowledge.samples import sample, write

PUMP = ("causes", "pump_stiff")
TEXTS = {
    "nothing": ("", "the shipped one holds"),
    "no table": ("title = 'x'", "expected the one table [pump_stiff] and nothing beside it"),
    "another table": ("[pump_dry]\nbasis = 'club_record'", "expected the one table [pump_stiff]"),
    "a second table": ("[pump_stiff]\n[water_trapped]", "expected the one table [pump_stiff]"),
    "a key twice": ("[pump_stiff]\na = 1\na = 2", "not readable as TOML"),
    "a syntax error": ("[pump_stiff\n", "not readable as TOML"),
    "arrays without end": ("[pump_stiff]\na = " + "[" * 5000, "nested too deeply"),
    "tables without end": ("[pump_stiff]\n" + ".".join("a" * 2000) + " = 1", "nested too deeply"),
    "a huge whole number": ("[pump_stiff]\nminutes = " + "9" * 6000, "not readable as TOML"),
    "a huge number in another notation": ("[pump_stiff]\nminutes = 0x" + "f" * 6000, "a whole number beyond 1e+12"),
    "not a number": ("[pump_stiff]\nrate = { idle_for_years = nan }", "rate.idle_for_years: nan: expected a prob"),
    "infinity": ("[pump_stiff]\nrate = { idle_for_years = inf }", "rate.idle_for_years: inf: expected a probability"),
    "a date for a number": ("[pump_stiff]\nrate = 2026-01-01", "rate: datetime.date(2026, 1, 1): expected a table"),
    "a control character": ('[pump_stiff]\ntitle = "a\\u0000b"', "control characters"),
    "too much": ("[pump_stiff]\ntitle = '" + "x" * LONGEST_ENTRY + "'", f"expected at most {LONGEST_ENTRY} letters"),
    "a title too long": ("[pump_stiff]\ntitle = '" + "x" * 500 + "'", "title: 500 letters: expected at most 120"),
    "somebody else's basis": ("[pump_stiff]\nbasis = 'published'", "basis: expected 'club_record'"),
}


@pytest.fixture
def files(tmp_path: Path) -> Files:
    return read_files(write(tmp_path, sample()))


def pump(files: Files, **rates: float) -> EntryText:
    """The pump's cause as the club would have it."""
    text = as_club_record(entry_text(files, *PUMP), PUMP[1])
    return EntryText(
        "causes", "motion", "pump_stiff", with_values(text, PUMP[1], {("rate", k): v for k, v in rates.items()})
    )


def test_an_entry_takes_the_place_of_the_shipped_one_and_nothing_else_changes(files: Files) -> None:
    found, shipped = overlay(files, [pump(files, idle_for_years=0.31)]), overlay(files, [])
    assert found.causes["pump_stiff"].rate["idle_for_years"] == 0.31
    assert found.causes["pump_stiff"].basis == "club_record"
    assert found.findings == shipped.findings
    assert {key: found.causes[key] for key in shipped.causes if key != "pump_stiff"}.items() <= shipped.causes.items()
    assert found.checksum != shipped.checksum == files.checksum


def test_a_later_entry_replaces_an_earlier_one_and_none_at_all_is_the_shipped_knowledge(files: Files) -> None:
    first, second = pump(files, idle_for_years=0.2), pump(files, idle_for_years=0.3)
    back = EntryText("causes", "motion", "pump_stiff", "")
    assert overlay(files, [first, second]).checksum == overlay(files, [second]).checksum
    assert overlay(files, [first, back]).checksum == files.checksum


@pytest.mark.parametrize(("text", "expected"), list(TEXTS.values())[1:], ids=list(TEXTS)[1:])
def test_a_text_that_breaks_the_rules_is_refused_in_words(files: Files, text: str, expected: str) -> None:
    with pytest.raises(KnowledgeError) as caught:
        overlay(files, [EntryText("causes", "motion", "pump_stiff", text)])
    assert any(expected in str(offender) for offender in caught.value.offenders)


def test_all_that_is_wrong_is_named_at_once_also_in_entries_that_nobody_touched(files: Files) -> None:
    text = with_values(pump(files).text, PUMP[1], {("remedies",): ["pray"], ("title",): "", ("rate", "per"): "dozen"})
    _, offenders = survey_over(files, [EntryText("causes", "motion", "pump_stiff", text)])
    said = [str(offender) for offender in offenders]
    assert len(said) == 3
    finding = as_club_record(entry_text(files, "findings", "wheels_stiff"), "wheels_stiff")
    without = with_values(finding, "wheels_stiff", {("levels",): ["free", "stiff"]})
    _, offenders = survey_over(files, [EntryText("findings", "motion", "wheels_stiff", without)])
    assert any("motion/checks.toml [turn_wheels] meaning" in str(offender) for offender in offenders)


@pytest.mark.parametrize(
    ("entry", "expected"),
    [
        (EntryText("parts", "motion", "fire", "[fire]"), "kind: 'parts' is none of"),
        (EntryText("causes", "attic", "ghost", "[ghost]"), "system: 'attic' is none of"),
        (EntryText("causes", "motion", "Ghost", "[Ghost]"), "id: expected small letters"),
        (EntryText("causes", "motion", "g" * 80, "x"), "id: expected small letters"),
    ],
)
def test_an_entry_that_belongs_nowhere_is_refused(files: Files, entry: EntryText, expected: str) -> None:
    assert any(expected in str(offender) for offender in survey_over(files, [entry])[1])


def test_naming_every_field_of_the_build_is_answered_at_once(files: Files) -> None:
    applies = {"kind": "tank_locomotive", "valve": "slide", "valve_gear": "joy", "reverser": "lever", "boiler": "steel"}
    applies |= {"lubricator": "none", "truck": "none", "brake": "none", "fuel": "coal", "piston_sealing": "plain"}
    text = with_values(pump(files).text, PUMP[1], {("applies",): applies})
    remedy = with_values(entry_text(files, "remedies", "ease_axlebox"), "ease_axlebox", {("applies",): applies})
    entries = [
        EntryText("causes", "motion", "pump_stiff", text),
        EntryText("remedies", "motion", "ease_axlebox", as_club_record(remedy, "ease_axlebox")),
    ]
    assert any("too many fields of the build" in str(offender) for offender in survey_over(files, entries)[1])


def test_a_new_cause_comes_with_the_finding_it_shows_in(files: Files) -> None:
    cause = with_values(pump(files).text.replace("[pump_stiff]", "[pump_dry]"), "pump_dry", {("title",): "Pump dry"})
    new = EntryText("causes", "motion", "pump_dry", cause)
    assert any("no finding in use" in str(offender) for offender in survey_over(files, [new])[1])
    finding = with_link(entry_text(files, "findings", "wheels_stiff"), "wheels_stiff", "pump_dry", [0.45, 0.05])
    shows = EntryText("findings", "motion", "wheels_stiff", as_club_record(finding, "wheels_stiff"))
    assert overlay(files, [new, shows]).findings["wheels_stiff"].links[-1].strengths == (0.45, 0.05)


def test_what_named_a_withdrawn_cause_names_its_heir(files: Files) -> None:
    texts = {(kind, entry): entry_text(files, kind, entry) for kind in KINDS for entry in _ids(files, kind)}
    changed = withdraw(files, texts, "causes", "pump_stiff", "axlebox_tight")
    found = overlay(files, changed)
    assert [entry.key for entry in changed] == [PUMP, ("findings", "wheels_stiff"), ("checks", "feel_pump")]
    assert (found.causes["pump_stiff"].status, found.causes["pump_stiff"].replaced_by) == (
        "withdrawn",
        ("axlebox_tight",),
    )
    assert [link.cause for link in found.findings["wheels_stiff"].links].count("axlebox_tight") == 1
    assert found.checks["feel_pump"].examines == "axlebox_tight"


def test_a_withdrawn_remedy_gives_its_causes_to_its_heir_and_a_cause_its_remedies(files: Files) -> None:
    texts = {(kind, entry): entry_text(files, kind, entry) for kind in KINDS for entry in _ids(files, kind)}
    found = overlay(files, withdraw(files, texts, "remedies", "drain_cylinder", "soak_cylinder"))
    assert found.causes["water_trapped"].remedies == ("soak_cylinder",)
    found = overlay(files, withdraw(files, texts, "causes", "water_trapped", "piston_gummed"))
    assert found.causes["piston_gummed"].remedies == ("soak_cylinder", "drain_cylinder")


def test_a_change_that_no_longer_holds_is_left_out_and_the_others_go_on(files: Files) -> None:
    good = [pump(files, idle_for_years=0.3)]
    bad = [EntryText("causes", "cylinders", "water_trapped", "[water_trapped]\nbasis = 'club_record'\n")]
    check = as_club_record(entry_text(files, "checks", "feel_pump"), "feel_pump")
    also = [EntryText("checks", "motion", "feel_pump", with_values(check, "feel_pump", {("minutes",): 25}))]
    laid = lay_over(files, [good, bad, also])
    assert [left.number for left in laid.left_out] == [1]
    assert any("water_trapped" in str(offender) for offender in laid.left_out[0].offenders)
    assert laid.knowledge.causes["pump_stiff"].rate["idle_for_years"] == 0.3
    assert laid.knowledge.checks["feel_pump"].minutes == 25
    assert laid.knowledge.checksum == overlay(files, [*good, *also]).checksum


def test_the_files_with_the_clubs_entries_load_as_the_same_knowledge(files: Files, tmp_path: Path) -> None:
    new = EntryText("checks", "cylinders", "look_in", skeleton("checks", "look_in"))
    entries = [pump(files, idle_for_years=0.3), new]
    for name, text in file_texts(files, entries).items():
        path = tmp_path / "out" / name
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_text(text, encoding="utf-8")
    assert read_files(tmp_path / "out").tables == laid_over(files, entries).tables
    entries = entries[:1]
    (tmp_path / "out" / "cylinders" / "checks.toml").unlink()
    again, meant = read(tmp_path / "out"), overlay(files, entries)
    assert (again.causes, again.findings, again.checks) == (meant.causes, meant.findings, meant.checks)


@pytest.mark.parametrize("kind", KINDS)
def test_every_shipped_entry_is_cut_out_whole(kind: str) -> None:
    shipped = shipped_files()
    for entry in getattr(load(), kind):
        assert tomllib.loads(entry_text(shipped, kind, entry)) == {entry: shipped.raw(kind, entry)}


def test_a_form_changes_a_value_and_leaves_the_rest_of_the_text_alone() -> None:
    text = '# why\n[a]\nx = { y = 0.2, z = 1 }  # kept\nwords = ["b"]\n\n[[a.links]]\nc = "d"\n'
    assert with_values(text, "a", {("x", "y"): 0.25}) == text.replace("0.2,", "0.25,")
    changed = with_values(text, "a", {("links", 0, "c"): 'say "no"', ("status",): "withdrawn", ("words",): None})
    assert tomllib.loads(changed) == {
        "a": {"x": {"y": 0.2, "z": 1}, "status": "withdrawn", "links": [{"c": 'say "no"'}]}
    }


VALUES = st.recursive(
    st.one_of(st.text(max_size=12), st.integers(), st.floats(), st.booleans(), st.sampled_from(["engine", "side"])),
    lambda inner: st.one_of(st.lists(inner, max_size=3), st.dictionaries(st.text(max_size=6), inner, max_size=3)),
    max_leaves=6,
)
FIELDS = ["title", "place", "at", "rate", "when", "remedies", "explain", "applies", "links", "levels", "leak", "words"]
FIELDS += ["minutes", "needs", "risk_person", "meaning", "conditions", "examines", "answers", "status", "replaced_by"]


@given(kind=st.sampled_from(KINDS), field=st.sampled_from(FIELDS), value=VALUES)
@settings(max_examples=60)
def test_whatever_stands_in_a_field_is_read_or_refused_in_words(kind: str, field: str, value: object) -> None:
    files = _sample_files()
    entry = next(iter(_ids(files, kind)))
    raw = {**files.raw(kind, entry), field: value}
    tables = {name: dict(of_file) for name, of_file in files.tables.items()}
    tables[files.file_of(kind, entry)][entry] = raw
    _, offenders = survey_files(replace(files, tables=tables))
    assert all(len(str(offender)) < 1000 for offender in offenders)


@given(text=st.one_of(st.text(max_size=300), st.text("[]{}=.\"'#,a1 \n", max_size=300)))
@settings(max_examples=80)
def test_whatever_is_typed_is_answered(text: str) -> None:
    _, offenders = survey_over(_sample_files(), [EntryText("causes", "motion", "pump_stiff", text)])
    assert offenders or not text


def _ids(files: Files, kind: str) -> list[str]:
    return [entry for tables in files.of_kind(kind).values() for entry in tables]


@cache
def _sample_files() -> Files:
    """Read once: what is tried over them is never written."""
    with tempfile.TemporaryDirectory() as folder:
        return read_files(write(Path(folder), sample()))
