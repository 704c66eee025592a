"""Opening a fault sheet."""

from typing import Any

import pytest

from restorations.engines.services import answer_history
from restorations.faults.models import FaultSheet, Snapshot
from restorations.faults.services.sheets import stored_knowledge
from restorations.members.models import Act
from tests.cast import Cast
from tests.engines.sent import error_beside, once, said_in_box
from tests.factories import make_guest
from tests.faults.builders import bench_engine
from tests.faults.sent import page_of

LONG = "It stops at the same place. " * 358
UNANSWERED = {"ever_ran": "not_known", "ran_well_when_put_away": "not_known", "rebuilt_since": "not_known"}


def _form(**changes: Any) -> dict[str, Any]:
    plain = {"complaint": "Will not turn", **UNANSWERED, "first_run_done": "not_known"}
    return once(**{**plain, **changes})


def _open(cast: Cast, who: str = "member", **changes: Any) -> FaultSheet:
    engine = bench_engine(cast)
    response = cast.browser(who).post(f"/engines/{engine.pk}/sheets/new/", _form(**changes))
    sheet = FaultSheet.objects.get()
    assert response.status_code == 302
    assert response.url == sheet.get_absolute_url()
    return sheet


def test_a_hand_opens_a_sheet_and_reads_it(cast: Cast) -> None:
    sheet = _open(cast)
    assert (sheet.opened_by, sheet.complaint, sheet.version) == (cast.member, "Will not turn", 1)
    assert Act.objects.about(sheet).get().verb == "opened a fault sheet"
    assert "<h1>Will not turn</h1>" in page_of(cast, sheet)


def test_a_new_sheet_has_its_first_ranking_and_advises_nothing_yet(cast: Cast) -> None:
    snapshot = Snapshot.objects.get(sheet=_open(cast))
    assert snapshot.log_odds.keys() == stored_knowledge(snapshot.model.checksum).causes.keys()
    assert (snapshot.advice, snapshot.problem) == ([], "")


@pytest.mark.parametrize("who", ["stranger", "secretary", "inspector", "administrator"])
def test_whoever_does_not_work_on_the_engine_is_told_who_may(cast: Cast, who: str) -> None:
    engine = bench_engine(cast)
    response = cast.browser(who).post(f"/engines/{engine.pk}/sheets/new/", _form())
    assert response.status_code == 403
    assert "Ask one of them." in response.text
    assert not FaultSheet.objects.exists()


def test_a_private_engine_is_not_there_for_others(cast: Cast) -> None:
    engine = bench_engine(cast, is_private=True, hands=(cast.member,))
    for who in ("mate", "mentor", "secretary", "administrator"):
        assert cast.browser(who).post(f"/engines/{engine.pk}/sheets/new/", _form()).status_code == 404
    assert not FaultSheet.objects.exists()


def test_an_invited_mentor_opens_a_sheet_on_a_private_engine(cast: Cast) -> None:
    engine = bench_engine(cast, is_private=True, hands=())
    make_guest(engine, cast.mentor)
    assert cast.browser("mentor").post(f"/engines/{engine.pk}/sheets/new/", _form()).status_code == 302


@pytest.mark.parametrize(
    ("changes", "field", "words"),
    [
        ({"complaint": " "}, "complaint", "Say in a few words"),
        ({"complaint": "x" * 12001}, "complaint", "at most 12000"),
        ({"complaint": "Will not\x00turn"}, "complaint", "Null characters"),
        ({"ever_ran": "perhaps"}, "ever_ran", "not one of the available"),
        ({"stored": ["attic"]}, "stored", "not one of the available"),
        ({"stored": ["damp", "dry"]}, "stored", "cannot both be so"),
        ({"years": "-1"}, "years", "greater than or equal to 0"),
        ({"years": "1e400"}, "years", "number"),
        ({"years": "nan"}, "years", "number"),
        ({"years": "a dozen"}, "years", "number"),
        ({"why_stopped": "x" * 201}, "why_stopped", "at most 200"),
    ],
)
def test_what_is_wrong_stands_beside_the_field_and_what_was_typed_is_kept(
    cast: Cast, changes: dict[str, Any], field: str, words: str
) -> None:
    engine = bench_engine(cast)
    data = _form(**{"complaint": "Knocks & rattles", "why_stopped": "moved away", **changes})
    response = cast.browser("member").post(f"/engines/{engine.pk}/sheets/new/", data)
    assert response.status_code == 422
    assert words in error_beside(response.text, field)
    if field not in {"complaint", "why_stopped"}:
        assert "Knocks &amp; rattles</textarea>" in response.text
        assert said_in_box(response.text, "why_stopped") == "moved away"
    assert not FaultSheet.objects.exists()


def test_an_empty_form_is_told_what_is_missing(cast: Cast) -> None:
    response = cast.browser("member").post(f"/engines/{bench_engine(cast).pk}/sheets/new/")
    assert response.status_code == 422
    assert "Say in a few words" in error_beside(response.text, "complaint")


def test_a_complaint_of_ten_thousand_characters_is_kept_whole(cast: Cast) -> None:
    sheet = _open(cast, complaint=LONG.strip())
    assert len(sheet.complaint) > 10000
    assert sheet.complaint == LONG.strip()
    assert len(sheet.title) <= 90
    assert LONG.strip() in page_of(cast, sheet)


def test_the_first_line_is_the_heading(cast: Cast) -> None:
    sheet = _open(cast, complaint="\n\nKnocks.\nOnly in fore gear.")
    assert sheet.title == "Knocks."
    assert "Only in fore gear." in page_of(cast, sheet)


def test_emoji_and_html_are_shown_as_they_were_typed(cast: Cast) -> None:
    sheet = _open(cast, complaint="<script>alert(1)</script> 🚂💨", why_stopped="<b>\u202e</b>")
    page = page_of(cast, sheet)
    assert "&lt;script&gt;alert(1)&lt;/script&gt; 🚂💨" in page
    assert "<script>alert" not in page
    assert "<b>\u202e" not in cast.browser("member").get(f"/sheets/{sheet.pk}/history/").text


def test_the_form_shows_the_engines_history_and_a_sheet_keeps_a_copy_of_it(cast: Cast) -> None:
    engine = bench_engine(cast)
    answers = {"ever_ran": "yes", "years": 14.0, "stored": ["damp"], "why_stopped": "its driver left"}
    answer_history(engine=engine, member=cast.member, mark=once()["submission"], system="general", answers=answers)
    page = cast.browser("member").get(f"/engines/{engine.pk}/sheets/new/").text
    assert said_in_box(page, "why_stopped") == "its driver left"
    cast.browser("member").post(f"/engines/{engine.pk}/sheets/new/", _form(ever_ran="yes", years="15", stored=["damp"]))
    general = FaultSheet.objects.get().history["general"]
    assert (general["ever_ran"], general["years"], general["stored"]) == ("yes", 15.0, ["damp"])
    assert engine.histories.get().years == 14.0


def test_an_engine_idle_for_years_is_suspected_of_other_things_than_one_just_assembled(cast: Cast) -> None:
    idle, new = _open(cast, ever_ran="yes", years="20"), None
    cast.browser("member").post(f"/engines/{idle.engine_id}/sheets/new/", _form(ever_ran="no", first_run_done="no"))
    new = FaultSheet.objects.exclude(pk=idle.pk).get()
    gummed, tight = "piston_gummed@middle", "big_end_tight@middle"
    assert idle.latest_snapshot.log_odds[gummed] > new.latest_snapshot.log_odds[gummed]
    assert idle.latest_snapshot.log_odds[tight] < new.latest_snapshot.log_odds[tight]


def test_the_same_form_sent_twice_opens_one_sheet(cast: Cast) -> None:
    engine, browser, data = bench_engine(cast), cast.browser("member"), _form()
    first = browser.post(f"/engines/{engine.pk}/sheets/new/", data)
    second = browser.post(f"/engines/{engine.pk}/sheets/new/", data)
    assert first.url == second.url
    assert (FaultSheet.objects.count(), Snapshot.objects.count()) == (1, 1)


@pytest.mark.parametrize("mark", ["", "17", "not-a-mark", "\x00"])
def test_a_form_without_its_mark_is_refused(cast: Cast, mark: str) -> None:
    engine = bench_engine(cast)
    response = cast.browser("member").post(f"/engines/{engine.pk}/sheets/new/", _form(submission=mark))
    assert response.status_code == 422
    assert not FaultSheet.objects.exists()
