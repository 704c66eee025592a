"""The knowledge in the open: found by the words members use, every number in words with where it comes from."""

import re
from html import unescape
from io import BytesIO
from pathlib import Path
from uuid import uuid4
from zipfile import ZipFile

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from restorations.faults import knowledge_pages as pages
from restorations.faults.club_knowledge import club_knowledge
from restorations.faults.knowledge_search import Asked, find
from restorations.faults.knowledge_words import how_common, how_strong, per_cent
from restorations.faults.services.knowledge_changes import About, begin_change
from restorations.faults.wording import as_fraction
from restorations.knowledge import load, read
from restorations.knowledge.files import KINDS
from restorations.members.doing import Doing
from tests.cast import Cast
from tests.factories import NOON
from tests.faults.builders import bench_sheet, see, two_sided
from tests.faults.builders import make_sheet as sheet_of
from tests.faults.changing import PACKING, accept, accepted, change_of

CODES = re.compile(
    r"\b(?:in_use|common_practice|judgement\b(?=<)|club_record|risk_\w+|by_hand|on_air|in_steam|idle_for_years|"
    r"in_regular_use|wheels_clear|tied_down|other_side|cylinder_mounting|coupled_axles)\b"
)
ONE_OF_EACH = (
    "/knowledge/causes/coupling_rod_bent/", "/knowledge/findings/wheels_stiff/", "/knowledge/remedies/soak_cylinder/",
    "/knowledge/checks/turn_wheels_all_on/", "/knowledge/parts/", "/knowledge/sources/", "/knowledge/changes/",
    "/knowledge/?q=wheels", "/knowledge/?system=cylinders", "/knowledge/?at=lubricator", "/knowledge/",
)  # fmt: skip


def plain(text: str) -> str:
    """What is read on the page, in one line; files as files left out."""
    return " ".join(re.sub(r"<pre.*?</pre>|<[^>]+>", " ", text, flags=re.DOTALL).split())


def page(cast: Cast, address: str, who: str = "stranger") -> str:
    answer = cast.browser(who).get(address)
    assert answer.status_code == 200
    return unescape(answer.content.decode())


def titles(**asked: str) -> list[str]:
    return [entry.title for group in find(load(), Asked(**asked)) for entry in group.entries]


@pytest.mark.parametrize("address", ONE_OF_EACH)
def test_every_member_reads_it_and_no_code_reaches_the_screen(cast: Cast, address: str) -> None:
    assert CODES.findall(plain(page(cast, address))) == []


@pytest.mark.parametrize("kind", KINDS)
def test_every_entry_can_be_shown_whole(kind: str) -> None:
    known = load()
    for entry in getattr(known, kind).values():
        shown = pages.shown(kind, entry, known)
        assert shown["origin"].title
        assert shown["origin"].basis


def test_a_cause_says_how_common_it_is_what_it_shows_in_and_where_each_number_comes_from(cast: Cast) -> None:
    known = [cause for cause in load().causes.values() if cause.when and cause.source == "common_practice"]
    cause = next(cause for cause in known if cause.basis == "judgement" and cause.is_in_use)
    text = plain(page(cast, f"/knowledge/causes/{cause.id}/"))
    for rate in cause.rate.values():
        assert f"{how_common(rate)}, {as_fraction(rate)} engines {per_cent(rate)}".replace("\u00a0", " ") in text
    assert "Judgement: our best estimate, nobody has counted it; common practice, no source." in text
    assert re.search(r"(nearly always|mostly|half the time|sometimes|seldom), [\d.]+ %", text)
    assert f"odds × {cause.when[0].times:g}" in text


def test_a_source_can_be_followed_to_its_address_and_to_the_entries_that_name_it(cast: Cast) -> None:
    text = page(cast, "/knowledge/sources/")
    assert 'href="https://' in text
    key = re.findall(r"\?source=(\w+)", text)[0]
    assert 'class="row-name"' in page(cast, f"/knowledge/?source={key}")


@pytest.mark.parametrize(
    ("typed", "found"),
    [
        ("throttle sticks", "Regulator"),
        ("check valve", "clack"),
        ("wheels will not turn", "Wheels stiff"),
        ("old steam oil piston", "Old steam oil holds the piston"),
    ],
)
def test_words_of_the_trade_and_of_others_find_it(typed: str, found: str) -> None:
    assert any(found.lower() in title.lower() for title in titles(text=typed))


def test_what_is_not_there_and_what_is_no_system_is_answered(cast: Cast) -> None:
    assert "Nothing found" in page(cast, "/knowledge/?q=zeppelin")
    assert "By system" in page(cast, "/knowledge/?system=attic&at=moon&source=hearsay")
    assert titles(text="\x00 ; -- '") == []
    for address in ("causes/no_such/", "ghosts/piston_gummed/", "parts/brake/", "compare/?a=no_such", "compare/"):
        assert cast.browser("member").get(f"/knowledge/{address}").status_code == 404


def test_a_place_or_system_or_source_keeps_to_its_own() -> None:
    assert {entry.system for group in find(load(), Asked(system="lubrication")) for entry in group.entries} == {
        "lubrication"
    }
    assert {entry.at for group in find(load(), Asked(at="lubricator")) for entry in group.entries} == {"lubricator"}  # type: ignore[attr-defined]


def test_two_causes_are_compared_in_words_with_the_quickest_look_first(cast: Cast) -> None:
    text = page(cast, "/knowledge/compare/?a=piston_gummed&b=piston_rusted")
    minutes = [int(found) for found in re.findall(r'data-label="At the bench">(\d+)\u00a0min', text)]
    assert minutes == sorted(minutes) != []
    assert re.search(r'data-label="With A">(nearly always|mostly|about half|sometimes|seldom|never)', text)
    assert "Choose two different causes" in page(cast, "/knowledge/compare/?a=piston_gummed&b=piston_gummed")


def test_two_suspicions_of_a_sheet_are_compared_at_their_places(cast: Cast) -> None:
    sheet = sheet_of(two_sided(cast), opened_by=cast.member)
    text = page(cast, f"/sheets/{sheet.pk}/compare/?a=piston_gummed@left&b=piston_gummed@right", "member")
    assert "left side" in text
    assert "right side" in text
    assert cast.browser("member").get(f"/sheets/{sheet.pk}/compare/?a=piston_gummed@left&b=x").status_code == 404


def test_the_files_taken_out_load_with_the_clubs_entry_in_its_place(cast: Cast, tmp_path: Path) -> None:
    accepted(cast.mentor, cast.mentor2)
    answer = cast.browser("stranger").get("/knowledge/files/")
    assert answer["Content-Type"] == "application/zip"
    with ZipFile(BytesIO(answer.content)) as archive:
        archive.extractall(tmp_path)
    again = read(tmp_path)
    assert again.causes == club_knowledge().causes
    assert again.causes[PACKING[1]].rate["idle_for_years"] == 0.6
    assert "Five of our seven engines had it." in (tmp_path / "CHANGES.txt").read_text(encoding="utf-8")


def test_a_club_entry_is_marked_as_the_clubs_own_with_who_when_and_why(cast: Cast) -> None:
    accepted(cast.mentor, cast.mentor2)
    text = page(cast, "/knowledge/causes/piston_packing_hard/")
    assert "the club's own" in text
    assert f"Proposed by {cast.mentor}, accepted by {cast.mentor2}." in text
    assert "very common, about 3 in 5 engines" in text


def test_a_withdrawn_cause_stays_readable_and_a_sheet_that_names_it_still_opens(cast: Cast) -> None:
    sheet = bench_sheet(cast)
    see(sheet, cast.member, "wheels_stiff", 2)
    about = About("withdraw", *PACKING, heir="piston_gummed")
    change = begin_change(about=about, doing=Doing(cast.mentor, NOON), mark=uuid4())
    change.state, change.reason = "waits", "One cause, not two."
    change.save()
    accept(change, cast.mentor2)
    text = page(cast, "/knowledge/causes/piston_packing_hard/")
    assert "Withdrawn." in text
    assert "/knowledge/causes/piston_gummed/" in text
    shown = page(cast, sheet.get_absolute_url(), "member")
    assert "Piston packing hardened" in page(cast, f"{sheet.get_absolute_url()}causes/", "member")
    assert "Something it rests on has changed since" in shown
    assert cast.browser("member").post(f"/sheets/{sheet.pk}/rank/", {"submission": str(uuid4())}).status_code == 302
    assert "Piston packing hardened" not in page(cast, f"{sheet.get_absolute_url()}causes/", "member")


def test_lists_of_changes_take_as_many_queries_for_one_as_for_ten(cast: Cast) -> None:
    counted = []
    for more in (1, 9):
        for _ in range(more):
            change_of(cast.mentor)
            change_of(cast.mentor, state="draft")
            change_of(cast.mentor, state="declined", answered_by=cast.mentor2, answered_at=NOON)
        browser = cast.browser("mentor")
        for address in ("/knowledge/changes/", "/knowledge/causes/piston_packing_hard/"):
            browser.get(address)
            with CaptureQueriesContext(connection) as queries:
                assert browser.get(address).status_code == 200
            counted.append(len(queries))
    assert counted[:2] == counted[2:]


def test_words_for_numbers_have_no_gaps() -> None:
    assert [how_common(rate) for rate in (0.2, 0.05, 0.015, 0.004, 1e-9)] == [
        "very common", "common", "occasional", "rare", "rare",
    ]  # fmt: skip
    assert [how_strong(chance) for chance in (0.95, 0.7, 0.5, 0.2, 0.01)] == [
        "nearly always", "mostly", "about half the time", "sometimes", "seldom",
    ]  # fmt: skip
    assert [per_cent(chance) for chance in (0.8, 0.015, 0.004, 0.999)] == [
        "80\u00a0%",
        "1.5\u00a0%",
        "0.4\u00a0%",
        "99.9\u00a0%",
    ]
