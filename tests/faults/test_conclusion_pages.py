"""The pages of closing: prefilled, refused in words with what was typed, closed sheets that are read only, the list."""

from typing import Any
from uuid import uuid4

import pytest
from django.db import connection, transaction
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from restorations.faults.models import Conclusion, FaultSheet
from restorations.members.models import Changed
from tests.access.faults import ROWS
from tests.access.table import Row, World
from tests.cast import Cast
from tests.factories import NOON
from tests.faults.builders import make_go_ahead, make_step
from tests.faults.concluding import GUMMED, RUSTED, close, closed_sheet, cured_sheet, propose, sign, treated_sheet
from tests.faults.sent import SHEET, page_of, post


def conclude(cast: Cast, sheet: FaultSheet, who: str = "mentor", **data: Any) -> Any:
    plain = {"outcome": "found", f"verdict:{GUMMED}": "cause.cured", "act": "close", "version": sheet.version}
    return post(cast, who, f"/sheets/{sheet.pk}/conclude/", **{**plain, **data})


def form_of(cast: Cast, sheet: FaultSheet, who: str = "mentor") -> str:
    return str(cast.browser(who).get(f"/sheets/{sheet.pk}/conclude/").text)


def test_the_form_is_filled_in_from_the_sheet(cast: Cast) -> None:
    text = form_of(cast, cured_sheet(cast))
    assert '<option value="cause.cured" selected>' in text
    assert "checked" in text.partition('value="found"')[2][:60]


def test_what_somebody_proposed_fills_it_in_for_the_mentor(cast: Cast) -> None:
    sheet = cured_sheet(cast)
    conclude(cast, sheet, "member", act="propose", words="Black and hard as varnish.")
    assert "Black and hard as varnish." in form_of(cast, sheet)
    assert "Proposed conclusion" in page_of(cast, sheet)
    assert conclude(cast, sheet, words="Black and hard as varnish.").status_code == 302
    assert Conclusion.objects.get().closed_by == cast.mentor


def test_hands_may_propose_and_not_close(cast: Cast) -> None:
    sheet = cured_sheet(cast)
    assert conclude(cast, sheet, "member").status_code == 403
    assert conclude(cast, sheet, "member", act="propose").status_code == 302
    assert conclude(cast, sheet, "stranger", act="propose").status_code == 403


def test_what_is_refused_is_said_and_what_was_typed_is_kept(cast: Cast) -> None:
    sheet = treated_sheet(cast)
    answer = conclude(cast, sheet, words="It went after the oil.")
    assert answer.status_code == 422
    text = answer.content.decode()
    assert "its own remedy would be its proof" in text
    assert "looked at again and gone" in text
    assert "It went after the oil." in text
    assert '<option value="cause.cured" selected>' in text


def test_one_more_cause_is_put_on_the_list_and_nothing_typed_is_lost(cast: Cast) -> None:
    sheet = cured_sheet(cast)
    answer = conclude(cast, sheet, add="yes", another=RUSTED, words="Black and hard.")
    text = answer.content.decode()
    assert answer.status_code == 200
    assert f'name="verdict:{RUSTED}"' in text
    assert "Black and hard." in text
    assert FaultSheet.objects.still_open().count() == 1


def test_a_line_written_meanwhile_is_a_conflict_that_keeps_what_was_typed(cast: Cast) -> None:
    sheet = cured_sheet(cast)
    answer = conclude(cast, sheet, version=sheet.version - 1, words="Black and hard.")
    text = answer.content.decode()
    assert answer.status_code == 409
    assert "while you were at this form" in text
    assert "Black and hard." in text


def test_the_sheet_says_how_it_was_closed_and_whose_signature_is_missing(cast: Cast) -> None:
    sheet = closed_sheet(cast)
    text = page_of(cast, sheet)
    assert "Closed: the cause was found." in text
    assert "waits for the sign-off of a mentor" in text
    assert "Something else was seen" not in text
    post(cast, "mentor2", f"/conclusions/{sheet.conclusions.get().pk}/sign/", words="Turned it myself.")
    assert "signed off" in page_of(cast, sheet)


# Every form on a closed sheet

ON_CONCLUSIONS = {"faults:sign", "faults:reopen"}
WRITING = [
    row for row in ROWS
    if row.post and not row.why and row.route not in ON_CONCLUSIONS and row.route.startswith("faults:")
]  # fmt: skip


@pytest.mark.parametrize("row", WRITING, ids=lambda row: row.route)
def test_every_form_that_writes_on_a_sheet_is_answered_in_words_when_it_is_closed(row: Row, cast: Cast) -> None:
    with transaction.atomic():
        world = World(cast)
        address = reverse(row.route, args=row.args(world))
        if not FaultSheet.objects.exists():
            return  # nothing of a sheet
        FaultSheet.objects.update(closed_at=NOON)
        answer = cast.browser("mentor").post(address, {**row.data(world), "note": "The left one was loose."})
        assert answer.status_code == 409
        text = answer.content.decode()
        assert "Nothing was written on it" in text
        assert "You wrote: The left one was loose." in text
        transaction.set_rollback(True)


def test_a_form_that_was_dealt_with_before_the_sheet_was_closed_is_not_refused(cast: Cast) -> None:
    sheet, mark = cured_sheet(cast), str(uuid4())
    post(cast, "member", f"/sheets/{sheet.pk}/note/", note="Left as it stands.", submission=mark)
    close(sheet, cast.mentor)
    again = post(cast, "member", f"/sheets/{sheet.pk}/note/", note="Left as it stands.", submission=mark)
    assert again.status_code == 302


def test_htmx_gets_the_closed_sheet_in_place(cast: Cast) -> None:
    sheet = closed_sheet(cast)
    answer = post(cast, "member", f"/sheets/{sheet.pk}/note/", note="Once more.", headers=SHEET)
    assert answer.status_code == 409
    assert answer.content.decode().lstrip().startswith('<div id="sheet">')


# The list


def test_sheets_are_listed_by_how_they_stand(cast: Cast) -> None:
    waits, signed, proposed = closed_sheet(cast), closed_sheet(cast), cured_sheet(cast)
    sign(signed.conclusions.get(), cast.mentor2)
    propose(proposed, cast.member)
    browser = cast.browser("member")
    listed = {shown: browser.get(f"/sheets/?show={shown}").text for shown in ("open", "waits", "closed")}
    assert [shown for shown, text in listed.items() if waits.get_absolute_url() in text] == ["waits", "closed"]
    assert [shown for shown, text in listed.items() if signed.get_absolute_url() in text] == ["closed"]
    assert "conclusion proposed" in listed["open"]
    assert "Dried oil in axleboxes" in listed["closed"]
    assert "Dried oil in axleboxes" in browser.get("/sheets/?show=closed&as=csv").text


@pytest.mark.parametrize(
    "address", ["/sheets/?show=closed", "/sheets/{}/", "/sheets/{}/conclude/", "/sheets/{}/causes/"]
)
def test_pages_ask_as_many_questions_for_ten_as_for_one(address: str, cast: Cast) -> None:
    first = closed_sheet(cast)
    sheet = cured_sheet(cast) if "conclude" in address else first
    browser, where = cast.browser("mentor"), address.format(sheet.pk)
    browser.get(where)
    with CaptureQueriesContext(connection) as one:
        assert browser.get(where).status_code == 200
    for number in range(4):
        closed_sheet(cast)
        make_step(sheet, cast.member, accepted=number % 2 > 0)
        make_go_ahead(sheet, cast.member, action=f"no_such_step{number}")
    browser.get(where)  # what was learned meanwhile is read once
    with CaptureQueriesContext(connection) as more:
        assert browser.get(where).status_code == 200
    assert len(more) == len(one)


def test_a_sheet_that_others_write_on_without_end_is_said_to_be_busy(
    cast: Cast, monkeypatch: pytest.MonkeyPatch
) -> None:
    sheet = closed_sheet(cast)

    def never(self: FaultSheet, *given: Any, **columns: Any) -> None:
        raise Changed(self)

    monkeypatch.setattr(FaultSheet, "save_from", never)
    row = Conclusion.objects.get()
    answer = post(cast, "mentor", f"/conclusions/{row.pk}/reopen/", reason="It came back.")
    assert answer.status_code == 409
    assert "It came back." in answer.content.decode()
    assert FaultSheet.objects.get(pk=sheet.pk).closed_at is not None
