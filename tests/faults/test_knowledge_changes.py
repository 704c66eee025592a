"""Changing the knowledge two by two: nothing half done, nothing lost, rankings always go on."""

from dataclasses import replace
from datetime import timedelta
from functools import cache
from html import unescape
from typing import Any
from uuid import uuid4

import pytest
from django.http import HttpResponse

from restorations.faults import club_knowledge as clubs
from restorations.faults import effects
from restorations.faults.club_knowledge import club, club_knowledge
from restorations.faults.knowing import in_force
from restorations.faults.models import ClubEntry, KnowledgeChange
from restorations.faults.page import read_page
from restorations.faults.services.knowledge_changes import About, begin_change
from restorations.knowledge import load
from restorations.knowledge.files import Files
from restorations.knowledge.loader import shipped_files
from restorations.knowledge.overlay import LONGEST_ENTRY
from restorations.members.doing import Doing
from restorations.members.models import Member, Message
from tests.cast import Cast
from tests.engines.sent import once
from tests.factories import NOON
from tests.faults.builders import bench_engine, bench_sheet, make_sheet, make_step, see
from tests.faults.changing import PACKING, WHY, accept, accepted, change_of, text_with
from tests.faults.sent import post

KIND, ENTRY = PACKING
OTHER = ("causes", "piston_rod_bent")
ADDRESS = f"/knowledge/{KIND}/{ENTRY}/"


def on(cast: Cast, who: str, change: KnowledgeChange, act: str, **data: Any) -> HttpResponse:
    change.refresh_from_db()
    return post(cast, who, f"{change.get_absolute_url()}{act}/", **{"version": change.version, **data})


def words(answer: HttpResponse) -> str:
    return unescape(answer.content.decode())


def draft(by: Member, **fields: Any) -> KnowledgeChange:
    return change_of(by, **{"state": "draft", **fields})


def test_a_mentor_proposes_sees_its_effect_and_another_accepts(cast: Cast) -> None:
    sheet = bench_sheet(cast)
    see(sheet, cast.member, "wheels_stiff", 1)
    begun = post(cast, "mentor", f"{ADDRESS}change/")
    change = KnowledgeChange.objects.get()
    assert begun["Location"] == f"{change.get_absolute_url()}0/numbers/"
    form = cast.browser("mentor").get(begun["Location"]).context["form"]
    sent = {name: form[name].value() for name in form.asked} | {"value_rate_idle_for_years": "0.6"}
    sent = {name: "" if value is None else value for name, value in sent.items() if value is not False}
    assert on(cast, "mentor", change, "0/numbers", **sent).status_code == 302
    change.refresh_from_db()
    assert change.problems == []
    assert "0.6" in change.texts[0].text
    assert on(cast, "mentor", change, "send", reason=WHY).status_code == 422  # its effect was not looked at
    assert on(cast, "mentor", change, "effect").status_code == 302
    page = words(cast.browser("mentor").get(change.get_absolute_url()))  # type: ignore[arg-type]
    assert "<b>Piston packing hardened or overfilled</b>: likely" in page
    assert on(cast, "mentor", change, "send", reason=WHY).status_code == 302
    assert Message.objects.get(to=cast.mentor2).body.startswith(f"{cast.mentor} proposes")
    assert club_knowledge() == load()
    assert on(cast, "mentor2", change, "answer", decision="accepted").status_code == 302
    assert in_force(sheet.engine).causes[ENTRY].rate["idle_for_years"] == 0.6
    assert read_page(sheet, at=NOON).is_stale
    row = ClubEntry.objects.get()
    assert (row.proposed_by, row.accepted_by, row.reason) == (cast.mentor, cast.mentor2, WHY)
    assert row.shipped_checksum == shipped_files().checksum_of(*PACKING)
    assert Message.objects.filter(to=cast.mentor, subject__contains="accepted").exists()


def test_nobody_accepts_their_own_and_a_decline_says_why(cast: Cast) -> None:
    change = change_of(cast.mentor)
    assert on(cast, "mentor", change, "answer", decision="accepted").status_code == 403
    refused = on(cast, "mentor2", change, "answer", decision="declined")
    assert refused.status_code == 422
    assert "Say why not." in words(refused)
    assert on(cast, "mentor2", change, "answer", decision="declined", answer="Two are not five.").status_code == 302
    change.refresh_from_db()
    assert (change.state, change.answer) == ("declined", "Two are not five.")
    assert "not open any more: declined" in words(on(cast, "mentor2", change, "answer", decision="accepted"))
    assert club_knowledge() == load()


def test_a_second_sending_of_the_answer_writes_the_entry_once(cast: Cast) -> None:
    change, data = change_of(cast.mentor), once(decision="accepted")
    for _ in range(2):
        assert cast.browser("mentor2").post(f"{change.get_absolute_url()}answer/", data).status_code == 302
    assert ClubEntry.objects.count() == 1


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("[piston_packing_hard]\n" + "a.b.c.d." * 400 + "e = 1", "nested too deeply"),
        ("[piston_packing_hard]\nrate = " + "[" * 9000, "nested too deeply"),
        ("[piston_packing_hard]\nrate = 1\nrate = 2", "not readable as TOML"),
        (" ", "expected the one table [piston_packing_hard]"),
        ("[piston_packing_hard]\ntitle = 'ü'", "missing; expected a text"),
    ],
    ids=["dotted", "nested", "twice", "nothing", "little"],
)
def test_what_breaks_the_rules_is_kept_as_a_draft_with_all_that_is_wrong(cast: Cast, text: str, said: str) -> None:
    change = draft(cast.mentor)
    assert on(cast, "mentor", change, "0/text", text=text).status_code == 302
    change.refresh_from_db()
    assert change.entries[0]["text"].strip() == text.strip()
    page = words(cast.browser("mentor").get(f"{change.get_absolute_url()}0/text/"))  # type: ignore[arg-type]
    assert said in page
    assert "Send to another mentor" not in words(cast.browser("mentor").get(change.get_absolute_url()))  # type: ignore[arg-type]
    assert on(cast, "mentor", change, "send", reason=WHY).status_code == 422
    assert cast.browser("mentor").get(f"{change.get_absolute_url()}0/numbers/").status_code in {200, 302}


@pytest.mark.parametrize("text", ["x" * 1_000_000, "[piston_packing_hard]\x00", "y" * (LONGEST_ENTRY + 1)])
def test_what_cannot_be_kept_is_given_back_whole(cast: Cast, text: str) -> None:
    change = draft(cast.mentor)
    answer = on(cast, "mentor", change, "0/text", text=text)
    assert answer.status_code == 422
    assert text.strip("\x00") in words(answer)


def test_numbers_that_are_none_are_asked_for_again(cast: Cast) -> None:
    change = draft(cast.mentor)
    answer = on(cast, "mentor", change, "0/numbers", value_rate_idle_for_years="nan", value_title="Packing")
    assert answer.status_code == 422
    assert "Enter a number." in words(answer)


def test_a_draft_saved_in_two_windows_shows_both(cast: Cast) -> None:
    change = draft(cast.mentor)
    text = change.texts[0].text
    stale = {"version": change.version, "text": text.replace("0.6", "0.33")}
    assert on(cast, "mentor", change, "0/text", text=text.replace("0.6", "0.44")).status_code == 302
    answer = post(cast, "mentor", f"{change.get_absolute_url()}0/text/", **stale)
    assert answer.status_code == 409
    assert "0.44" in words(answer)
    assert "0.33" in words(answer)


def test_a_change_over_an_entry_that_another_changed_shows_both_and_is_proposed_anew_on_top(cast: Cast) -> None:
    first, second = change_of(cast.mentor), change_of(cast.mentor2, values={("explain",): "Packing sets hard."})
    accept(first, cast.mentor2)
    answer = on(cast, "mentor", second, "answer", decision="accepted")
    assert answer.status_code == 409
    assert "Came meanwhile" in words(answer)
    assert "Packing sets hard." in words(answer)
    assert KnowledgeChange.objects.get(pk=second.pk).state == "waits"
    assert on(cast, "mentor2", second, "anew").status_code == 302
    fresh = KnowledgeChange.objects.get(state="draft")
    assert KnowledgeChange.objects.get(pk=second.pk).state == "overtaken"
    assert on(cast, "mentor2", fresh, "effect").status_code == 302
    assert on(cast, "mentor2", fresh, "send", reason=WHY).status_code == 302
    assert on(cast, "mentor", fresh, "answer", decision="accepted").status_code == 302
    assert club_knowledge().causes[ENTRY].explain == "Packing sets hard."


def test_a_change_of_nothing_or_without_a_reason_is_not_sent(cast: Cast) -> None:
    same = draft(cast.mentor, values={})
    assert "Nothing is changed" in words(on(cast, "mentor", same, "send", reason=WHY))
    assert "Say why" in words(on(cast, "mentor", draft(cast.mentor, key=OTHER), "send", reason=" "))


def test_the_clubs_own_is_taken_back_by_two_as_it_was_accepted(cast: Cast) -> None:
    accepted(cast.mentor, cast.mentor2)
    assert post(cast, "mentor2", f"{ADDRESS}change/", act="take_back").status_code == 302
    change = KnowledgeChange.objects.get(act="take_back")
    change.state, change.reason = "waits", "It was counted twice."
    change.save()
    accept(change, cast.mentor)
    assert club_knowledge().checksum == load().checksum
    assert [row.text != "" for row in ClubEntry.objects.all()] == [True, False]
    assert "taken back" in words(cast.browser("member").get(ADDRESS))  # type: ignore[arg-type]


def test_a_new_cause_brings_the_finding_it_shows_in_along(cast: Cast) -> None:
    data = {"kind": "causes", "system": "cylinders", "entry": "packing_too_thick"}
    assert post(cast, "mentor", "/knowledge/changes/new/", **data).status_code == 302
    change = KnowledgeChange.objects.get()
    made = text_with(KIND, ENTRY, {}).replace(ENTRY, "packing_too_thick")
    assert on(cast, "mentor", change, "0/text", text=made).status_code == 302
    change.refresh_from_db()
    assert any("no finding in use" in said["expected"] for said in change.problems)
    assert on(cast, "mentor", change, "along", kind="findings", entry="wheels_stiff").status_code == 302
    change.refresh_from_db()
    assert not any("no finding in use" in said["expected"] for said in change.problems)
    assert 'cause = "packing_too_thick"' in change.texts[1].text
    assert on(cast, "mentor", change, "leave-out/1").status_code == 302
    change.refresh_from_db()
    assert len(change.entries) == 1
    again = post(cast, "mentor", "/knowledge/changes/new/", **{**data, "entry": ENTRY})
    assert again.status_code == 422
    assert "a name is never used again" in words(again)


def test_what_the_club_added_and_took_back_stays_readable(cast: Cast) -> None:
    check = {"kind": "checks", "system": "cylinders", "id": "feel_packing", "base": "", "before": ""}
    check["text"] = text_with("checks", "turn_wheels_all_on", {}).replace("turn_wheels_all_on", "feel_packing")
    change = change_of(cast.mentor, kind="checks", entry="feel_packing", act="new", entries=[check])
    change.entries[0]["base"] = club().base_of("checks", "feel_packing")
    change.save()
    accept(change, cast.mentor2)
    assert "feel_packing" in club_knowledge().checks
    back = change_of(cast.mentor, kind="checks", entry="feel_packing", act="take_back", entries=[{**check, "text": ""}])
    back.entries[0] |= {"base": club().base_of("checks", "feel_packing"), "before": check["text"]}
    back.save()
    accept(back, cast.mentor2)
    assert "feel_packing" not in club_knowledge().checks
    page = words(cast.browser("stranger").get("/knowledge/checks/feel_packing/"))  # type: ignore[arg-type]
    assert "The club's own, taken back." in page


def test_private_sheets_show_in_the_effect_only_to_those_who_see_them(cast: Cast) -> None:
    open_one = bench_sheet(cast)
    private = make_sheet(bench_engine(cast, name="Dot", is_private=True), opened_by=cast.owner)
    for sheet in (open_one, private):
        make_step(sheet, cast.member)
    cast.owner.is_mentor = True
    cast.owner.save()
    change = change_of(cast.mentor)
    assert on(cast, "owner", change, "effect").status_code == 302
    change.refresh_from_db()
    assert set(change.effects["sheets"]) == {str(open_one.pk), str(private.pk)}
    assert "Dot" in words(cast.browser("owner").get(change.get_absolute_url()))  # type: ignore[arg-type]
    assert "Dot" not in words(cast.browser("mentor2").get(change.get_absolute_url()))  # type: ignore[arg-type]


def test_the_effect_is_worked_out_a_few_seconds_at_a_time_and_says_what_is_left_out(
    cast: Cast, monkeypatch: pytest.MonkeyPatch
) -> None:
    engine = bench_engine(cast)
    for days in range(4):
        make_sheet(engine, opened_by=cast.owner, at=NOON - timedelta(days=days))
    monkeypatch.setattr(effects, "SECONDS", 0.0)
    monkeypatch.setattr(effects, "MOST_SHEETS", 3)
    monkeypatch.setattr("restorations.faults.change_pages.MOST_SHEETS", 3)
    change = change_of(cast.mentor)
    for left in (2, 1, 0):
        on(cast, "mentor", change, "effect")
        page = words(cast.browser("mentor").get(change.get_absolute_url()))  # type: ignore[arg-type]
        assert (f"Go on with the other {left}" in page) == bool(left)
    assert "1 older sheet left out" in page


def test_a_club_with_one_mentor_waits_and_says_so(cast: Cast) -> None:
    cast.mentor2.is_mentor = False
    cast.mentor2.save()
    change = change_of(cast.mentor)
    page = words(cast.browser("mentor").get(change.get_absolute_url()))  # type: ignore[arg-type]
    assert "There is no second mentor in the club now" in page


def test_a_draft_is_seen_by_its_writer_only_and_a_sent_one_is_not_rewritten(cast: Cast) -> None:
    change = draft(cast.mentor)
    assert cast.browser("mentor2").get(change.get_absolute_url()).status_code == 404
    change.state = "waits"
    change.save()
    assert cast.browser("stranger").get(change.get_absolute_url()).status_code == 200
    assert on(cast, "mentor", change, "0/text", text="x").status_code == 403
    assert on(cast, "mentor2", change, "let-go").status_code == 403
    assert on(cast, "mentor", change, "let-go").status_code == 302


def _with_shipped(monkeypatch: pytest.MonkeyPatch, changed: dict[tuple[str, str], dict[str, Any]]) -> None:
    """The program came out anew, with other entries shipped."""
    was = shipped_files()
    tables = {name: dict(of_file) for name, of_file in was.tables.items()}
    for (kind, entry), fields in changed.items():
        tables[was.file_of(kind, entry)][entry] = {**was.raw(kind, entry), **fields}
    now: Files = replace(was, tables=tables, checksum="1" * 64)
    monkeypatch.setattr(clubs, "shipped_files", lambda: now)
    monkeypatch.setattr(clubs, "_club_at", cache(clubs._club_at.__wrapped__))  # kept for this test only


def test_an_entry_over_a_shipped_one_that_came_out_anew_still_holds_and_is_listed(
    cast: Cast, monkeypatch: pytest.MonkeyPatch
) -> None:
    accepted(cast.mentor, cast.mentor2)
    waiting = change_of(cast.mentor, values={("explain",): "Set hard."})
    _with_shipped(monkeypatch, {PACKING: {"explain": "As the program has it now."}})
    assert [own.entry.id for own in club().to_look_at_again] == [ENTRY]
    assert club_knowledge().causes[ENTRY].rate["idle_for_years"] == 0.6
    assert "To be looked at again" in words(cast.browser("member").get("/knowledge/changes/"))  # type: ignore[arg-type]
    assert on(cast, "mentor2", waiting, "answer", decision="accepted").status_code == 409


def test_an_entry_that_no_longer_holds_is_left_out_and_named_and_rankings_go_on(
    cast: Cast, monkeypatch: pytest.MonkeyPatch
) -> None:
    accepted(cast.mentor, cast.mentor2)
    accepted(cast.mentor, cast.mentor2, key=OTHER, values={("rate", "idle_for_years"): 0.3})
    remedy = load().causes[ENTRY].remedies[0]
    sheet = bench_sheet(cast)
    others = [cause.id for cause in load().causes.values() if remedy in cause.remedies]
    gone = {("remedies", remedy): {"status": "withdrawn", "replaced_by": "soak_cylinder"}}
    _with_shipped(monkeypatch, gone | {("causes", cause): {"remedies": ["soak_cylinder"]} for cause in others})
    left = club().not_held
    assert [ClubEntry.objects.get(pk=left[0].rows[0]).entry, len(left)] == [ENTRY, 1]
    assert club_knowledge().causes[OTHER[1]].rate["idle_for_years"] == 0.3
    page = words(cast.browser("member").get("/knowledge/changes/"))  # type: ignore[arg-type]
    assert "Left out now." in page
    see(sheet, cast.member, "wheels_stiff", 1)
    assert sheet.latest_snapshot.log_odds


def test_a_draft_is_gone_on_with_and_not_begun_twice(cast: Cast) -> None:
    doing = Doing(cast.mentor, NOON)
    first = begin_change(about=About("change", *PACKING), doing=doing, mark=uuid4())
    assert begin_change(about=About("change", *PACKING), doing=doing, mark=uuid4()) == first
