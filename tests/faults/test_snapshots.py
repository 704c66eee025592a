"""Rankings are made by the POST that changed the sheet; pages read them, and say when they no longer hold."""

from dataclasses import replace
from datetime import date
from math import e, log10
from typing import Any
from uuid import uuid4

import pytest
from django.urls import reverse

from restorations.calc.diagnosis import ImpossibleEvidence, Observed, Remedied, TooEntangled
from restorations.engines.models import Certificate, EngineConfiguration
from restorations.faults import page as page_module
from restorations.faults import ranking
from restorations.faults.afresh import looked_at_afresh
from restorations.faults.models import ExpandedModel, FaultSheet, Snapshot, Step
from restorations.faults.page import read_page
from restorations.knowledge import load
from restorations.tasks.models import StrippedPart
from tests.cast import Cast
from tests.engines.sent import once
from tests.factories import NOON, TODAY
from tests.faults.builders import (
    ONE_CYLINDER,
    bench_sheet,
    do,
    latest,
    make_go_ahead,
    make_part,
    make_sheet,
    make_soak,
    make_step,
    see,
    two_sided,
)
from tests.faults.sent import observe, page_of, post

NEVER = "inference in a page"
RISKY = "rebush_big_end@middle"


@pytest.fixture
def sheet(cast: Cast) -> FaultSheet:
    sheet = bench_sheet(cast)
    see(sheet, cast.member, "wheels_stiff", 1)
    return sheet


def _rank_anew(cast: Cast, sheet: FaultSheet) -> Any:
    return post(cast, "member", f"/sheets/{sheet.pk}/rank/")


def _is_stale(sheet: FaultSheet) -> bool:
    return read_page(FaultSheet.objects.get(pk=sheet.pk), at=NOON).is_stale


def _corrected(cast: Cast, sheet: FaultSheet, **fields: Any) -> EngineConfiguration:
    """The next version of how the engine is built."""
    version = EngineConfiguration.objects.create(
        engine=sheet.engine, number=2, made_by=cast.mate, reason="looked under the lagging", **fields
    )
    sheet.refresh_from_db()
    return version


# Made once, linked to its step


def test_each_step_is_linked_to_the_ranking_before_and_after_it(cast: Cast) -> None:
    sheet = bench_sheet(cast)
    opened = latest(sheet)
    first = see(sheet, cast.member, "wheels_stiff", 1)
    second = do(sheet, cast.mate, "turn_wheels_all_on", "1")
    assert (first.before, first.after) == (opened, second.before)
    assert second.after == latest(sheet)
    assert Snapshot.objects.filter(sheet=sheet).count() == 3


def test_a_ranking_keeps_what_it_rests_on(sheet: FaultSheet) -> None:
    snapshot = latest(sheet)
    assert snapshot.knowledge_checksum == load().checksum
    assert snapshot.configuration_number == 1
    assert snapshot.events == [1]
    assert snapshot.model.mapping
    assert not _is_stale(sheet)


def test_the_expanded_model_is_stored_once_for_all_its_rankings(cast: Cast, sheet: FaultSheet) -> None:
    do(sheet, cast.member, "turn_wheels_all_on", "1")
    assert ExpandedModel.objects.count() == 1


def test_what_each_line_gave_adds_up_to_the_whole(cast: Cast, sheet: FaultSheet) -> None:
    do(sheet, cast.member, "turn_wheels_one_rod_off@middle", "0", taken_off=("connecting_rod@middle",))
    for suspect in read_page(sheet, at=NOON).suspects:
        opened = sheet.snapshots.order_by("pk")[0].log_odds[suspect.id]
        gained = sum(latest(sheet).weights[suspect.id]) / (10 * log10(e))
        assert latest(sheet).log_odds[suspect.id] == pytest.approx(opened + gained, abs=1e-3)


def test_no_page_ever_infers(cast: Cast, sheet: FaultSheet, monkeypatch: pytest.MonkeyPatch) -> None:
    row = make_go_ahead(sheet, cast.member, action=RISKY)
    step = Step.objects.get()
    make_part(sheet.engine, cast.member, component="connecting_rod", place="middle")

    def never(*args: Any, **options: Any) -> Any:
        raise AssertionError(NEVER)

    for name in ("posterior", "look_ahead", "weights_of_evidence"):
        monkeypatch.setattr(ranking, name, never)
    addresses = [
        reverse("home:front"), reverse("home:engine", args=[sheet.engine_id]), reverse("faults:sheets"),
        *(reverse(f"faults:{name}", args=[sheet.pk]) for name in ("sheet", "state", "history", "causes", "findings")),
        reverse("faults:actions", args=[sheet.pk]), reverse("faults:finding", args=[sheet.pk, "wheels_stiff"]),
        reverse("faults:action", args=[sheet.pk, RISKY]), reverse("faults:strike", args=[step.pk]),
        reverse("faults:go_ahead", args=[row.pk]), reverse("faults:open", args=[sheet.engine_id]),
    ]  # fmt: skip
    for who in ("member", "mentor"):
        for address in addresses:
            assert cast.browser(who).get(address).status_code == 200, address
    with pytest.raises(AssertionError, match=NEVER):
        _rank_anew(cast, sheet)


# Stale, and ranked anew


def test_a_part_put_back_makes_it_stale_and_ranking_anew_mends_it(cast: Cast) -> None:
    sheet = bench_sheet(cast)
    part = make_part(sheet.engine, cast.member, component="connecting_rod", place="middle")
    assert _is_stale(sheet)
    assert _rank_anew(cast, sheet).status_code == 302
    assert not _is_stale(sheet)
    StrippedPart.objects.filter(pk=part.pk).update(ended_at=NOON, ended_by=cast.mate, ending="refitted")
    assert f'action="/sheets/{sheet.pk}/rank/"' in page_of(cast, sheet)
    _rank_anew(cast, sheet)
    assert f'action="/sheets/{sheet.pk}/rank/"' not in page_of(cast, sheet)
    assert not sheet.steps.exists()


def test_a_soak_makes_it_stale(cast: Cast, sheet: FaultSheet) -> None:
    make_soak(sheet.engine, cast.member, place="middle")
    assert _is_stale(sheet)


def test_a_helpers_part_off_does_not_make_it_stale(cast: Cast, sheet: FaultSheet) -> None:
    make_part(sheet.engine, cast.stranger, accepted=False, component="connecting_rod", place="middle")
    assert not _is_stale(sheet)


def test_a_certificate_that_allows_steam_makes_it_stale_and_so_does_its_lapse(cast: Cast, sheet: FaultSheet) -> None:
    for kind in ("hydraulic_test", "steam_test"):
        assert not _is_stale(sheet)
        Certificate.objects.create(
            engine=sheet.engine, kind=kind, passed_on=date(2026, 1, 1), lapses_on=TODAY, by_whom="the inspector",
            recorded_by=cast.inspector,
        )  # fmt: skip
    assert _is_stale(sheet)


def test_other_knowledge_makes_it_stale(cast: Cast, sheet: FaultSheet) -> None:
    Snapshot.objects.filter(sheet=sheet).update(knowledge_checksum="0" * 64)
    assert _is_stale(sheet)
    _rank_anew(cast, sheet)
    assert not _is_stale(sheet)


def test_knowledge_changed_while_the_club_runs_is_noticed(
    cast: Cast, sheet: FaultSheet, monkeypatch: pytest.MonkeyPatch
) -> None:
    changed = replace(load(), checksum="1" * 64)
    monkeypatch.setattr(page_module, "in_force", lambda engine: changed)
    assert _is_stale(sheet)


def test_a_corrected_configuration_makes_it_stale_and_ranking_anew_writes_a_line(cast: Cast, sheet: FaultSheet) -> None:
    version = _corrected(cast, sheet, **{**ONE_CYLINDER, "piston_sealing": "soft_rings"})
    assert _is_stale(sheet)
    assert _rank_anew(cast, sheet).status_code == 302
    sheet.refresh_from_db()
    line = sheet.steps.get(kind="configuration")
    assert sheet.configuration == version
    assert line.words == "Configuration corrected: version 2. looked under the lagging"
    assert not _is_stale(sheet)
    assert "Configuration corrected" in page_of(cast, sheet)
    _rank_anew(cast, sheet)
    assert sheet.steps.filter(kind="configuration").count() == 1


def test_the_next_thing_seen_moves_the_sheet_to_the_corrected_configuration_too(cast: Cast, sheet: FaultSheet) -> None:
    version = _corrected(cast, sheet, **{**ONE_CYLINDER, "piston_sealing": "soft_rings"})
    observe(cast, sheet, finding="knock", level="0")
    sheet.refresh_from_db()
    assert sheet.configuration == version
    assert [step.kind for step in sheet.steps.order_by("number")] == ["observation", "configuration", "observation"]
    assert not _is_stale(sheet)


def test_the_same_press_twice_ranks_once(cast: Cast, sheet: FaultSheet) -> None:
    mark = str(uuid4())
    for _ in range(2):
        assert post(cast, "member", f"/sheets/{sheet.pk}/rank/", submission=mark).status_code == 302
    assert sheet.snapshots.count() == 3


# Places that are no more


@pytest.fixture
def narrowed(cast: Cast) -> FaultSheet:
    """Thought to have two sides, seen on one of them, then found to have one cylinder."""
    sheet = make_sheet(two_sided(cast), opened_by=cast.member)
    see(sheet, cast.member, "rod_play@left", 1)
    see(sheet, cast.member, "wheels_stiff", 1)
    do(sheet, cast.member, "soak_cylinder@right", "done")
    do(sheet, cast.member, "look_at_rod_in_gland@left", "not_found")
    _corrected(cast, sheet, **ONE_CYLINDER)
    _rank_anew(cast, sheet)
    return FaultSheet.objects.get(pk=sheet.pk)


def test_what_was_seen_at_a_place_that_is_no_more_is_kept_and_named_but_not_counted(
    cast: Cast, narrowed: FaultSheet
) -> None:
    snapshot, page = latest(narrowed), page_of(cast, narrowed)
    assert (snapshot.problem, snapshot.events) == ("", [2])
    kept = [note for note in snapshot.notes if "kept but not counted" in note]
    assert len(kept) == 3
    assert "Lost motion along the connecting rod" in kept[0]
    assert page.count("kept but not counted") == 3
    assert narrowed.steps.standing().count() == 5


@pytest.mark.parametrize("route", ["state", "history", "causes", "findings", "actions"])
def test_every_page_of_such_a_sheet_opens(cast: Cast, narrowed: FaultSheet, route: str) -> None:
    assert cast.browser("member").get(reverse(f"faults:{route}", args=[narrowed.pk])).status_code == 200


def test_such_a_sheet_goes_on(cast: Cast, narrowed: FaultSheet) -> None:
    assert observe(cast, narrowed, finding="rod_play@middle").status_code == 302
    assert observe(cast, narrowed, finding="rod_play@left").status_code == 422
    assert latest(narrowed).events == [2, 6]


def test_a_state_that_the_engine_can_no_longer_be_in_does_not_stop_the_ranking(cast: Cast, sheet: FaultSheet) -> None:
    conditions = {**sheet.state["conditions"], "gear": "sideways", "drain_cocks": "ajar", "moon": "full"}
    make_step(sheet, cast.member, at=NOON, state={"off": ["funnel@left"], "conditions": conditions})
    FaultSheet.objects.filter(pk=sheet.pk).update(state={**sheet.state, "conditions": conditions})
    assert _rank_anew(cast, sheet).status_code == 302
    assert latest(sheet).problem == ""
    assert cast.browser("member").get(f"/sheets/{sheet.pk}/state/").status_code == 200


# What cannot be computed


@pytest.mark.parametrize(
    ("error", "words"),
    [
        (
            ImpossibleEvidence([Observed("wheels_stiff", level=1)]),
            "cannot all be so: “Wheels stiff to turn by hand: stiff”",
        ),
        (ImpossibleEvidence([]), "cannot all be so: one of the lines is wrong."),
        (TooEntangled(40.0, 0.06), "Too many findings hang together"),
    ],
)
def test_what_cannot_be_worked_out_is_kept_and_said(
    cast: Cast, sheet: FaultSheet, monkeypatch: pytest.MonkeyPatch, error: Exception, words: str
) -> None:
    def raises(*args: Any) -> Any:
        raise error

    monkeypatch.setattr(ranking, "posterior", raises)
    assert observe(cast, sheet, finding="knock", level="2").status_code == 302
    step = sheet.steps.in_order().last()
    assert (step.finding, step.stands) == ("knock", True)
    assert (step.after, latest(sheet).log_odds) == (latest(sheet), {})
    assert words in latest(sheet).problem
    for who in ("member", "mentor", "stranger"):
        assert words in page_of(cast, sheet, who)
    for route in ("causes", "findings", "actions", "state"):
        assert cast.browser("member").get(reverse(f"faults:{route}", args=[sheet.pk])).status_code == 200
    assert cast.browser("member").get("/").status_code == 200


def test_striking_out_the_line_that_made_it_impossible_brings_the_ranking_back(
    cast: Cast, sheet: FaultSheet, monkeypatch: pytest.MonkeyPatch
) -> None:
    def raises(*args: Any) -> Any:
        raise ImpossibleEvidence([])

    with monkeypatch.context() as broken:
        broken.setattr(ranking, "posterior", raises)
        observe(cast, sheet, finding="knock", level="2")
    wrong = sheet.steps.in_order().last()
    cast.browser("member").post(f"/steps/{wrong.pk}/strike/", once(reason="another engine"))
    assert latest(sheet).problem == ""
    assert latest(sheet).log_odds
    assert "cannot all be so" not in page_of(cast, sheet)


def test_what_each_line_did_may_be_too_entangled_while_the_ranking_is_not(
    cast: Cast, sheet: FaultSheet, monkeypatch: pytest.MonkeyPatch
) -> None:
    def raises(*args: Any, **options: Any) -> Any:
        raise TooEntangled(40.0, 0.06)

    monkeypatch.setattr(ranking, "weights_of_evidence", raises)
    assert observe(cast, sheet, finding="knock", level="2").status_code == 302
    assert latest(sheet).advice
    assert "So many lines hang together" in page_of(cast, sheet)


def test_seen_stiff_and_then_free_with_nothing_done_is_a_new_look_and_noted(cast: Cast, sheet: FaultSheet) -> None:
    see(sheet, cast.member, "wheels_stiff", 0)
    assert latest(sheet).problem == ""
    assert [note for note in latest(sheet).notes if "Wheels stiff to turn by hand” seen at level 0" in note]


def test_a_cause_settled_by_its_cure_is_kept_as_a_number(cast: Cast) -> None:
    """Packed anew and dry: no leak of the air goes away by packing, so it was the packing, beyond all odds."""
    sheet = bench_sheet(cast)
    see(sheet, cast.member, "gland_leak@middle", 1)
    do(sheet, cast.member, "repack_piston_gland@middle", "done")
    see(sheet, cast.member, "gland_leak@middle", 0, reported=False)
    assert max(latest(sheet).weights["piston_gland_worn@middle"]) == ranking.MOST_DECIBANS
    assert "The complaint is gone" in page_of(cast, sheet)


def test_what_went_and_came_back_can_be_cured_again(cast: Cast) -> None:
    sheet = bench_sheet(cast)
    for _ in range(2):
        see(sheet, cast.member, "gland_leak@middle", 1)
        do(sheet, cast.member, "repack_piston_gland@middle", "done")
        see(sheet, cast.member, "gland_leak@middle", 0, reported=False)
    assert latest(sheet).problem == ""
    notes = " ".join(latest(sheet).notes)
    assert "went and came back" in notes
    assert "gland_leak" not in notes


def test_free_with_a_part_off_and_stiff_with_it_on_is_no_coming_back() -> None:
    whole, parted = frozenset[str](), frozenset({"gum"})
    looks = [
        Observed("stiff", 1, whole), Observed("stiff", 0, parted), Observed("stiff", 1, whole), Remedied("gum", 0.9),
        Observed("stiff", 0, whole),
    ]  # fmt: skip
    assert looked_at_afresh(looks) == looks
