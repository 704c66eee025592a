"""A mentor at the elbow: name and six digits on the member's phone; recorded as the mentor's, never one's own."""

from datetime import timedelta
from typing import Any
from uuid import uuid4

import pytest
from django.utils import timezone

from restorations.faults.models import FaultSheet, GoAhead
from restorations.members.models import Act, Member, Message, ShortCodeAttempt
from restorations.members.services.short_codes import set_short_code
from tests.cast import Cast
from tests.engines.sent import error_beside
from tests.faults.builders import bench_engine, bench_sheet, do, make_go_ahead, make_sheet
from tests.faults.sent import page_of, post

HAND, INSPECTORS, CODE = "rebush_big_end@middle", "watch_parted_pipe_in_hydraulic_test", "402917"


@pytest.fixture
def sheet(cast: Cast) -> FaultSheet:
    for who in ("mentor", "mentor2", "inspector"):
        set_short_code(member=cast[who], code=CODE, at=timezone.now())
    return bench_sheet(cast)


def _tap(cast: Cast, sheet: FaultSheet, who: str = "member", mentor: str = "mentor", **changes: Any) -> Any:
    number = cast[mentor].pk
    data = {"action": HAND, "mentor": number, "code": CODE, "conditions": "Not alone.", "lasts": "evening"}
    return post(cast, who, f"/sheets/{sheet.pk}/elbow/", **{**data, **changes})


def _offered(cast: Cast, sheet: FaultSheet, action: str = HAND, who: str = "member") -> list[str]:
    page = cast.browser(who).get(f"/sheets/{sheet.pk}/actions/{action}/").text
    form = page.partition("/elbow/")[2].partition("</form>")[0]
    return [name for name in (str(cast[who]) for who in ("mentor", "mentor2", "inspector", "mate")) if name in form]


def test_the_right_digits_give_it_as_the_mentors_on_this_phone(cast: Cast, sheet: FaultSheet) -> None:
    assert _tap(cast, sheet).status_code == 302
    row = GoAhead.objects.get()
    assert (row.answer, row.answered_by, row.asked_by, row.on_phone_of) == (
        "given", cast.mentor, cast.member, cast.member,
    )  # fmt: skip
    assert row.facts["holding"]
    assert row.until is not None
    assert timezone.localtime(row.until).date() == timezone.localdate()
    act = Act.objects.about(row).get(verb="go-ahead given")
    assert (act.member, act.after["on_phone_of"]) == (cast.mentor, "Anneli Thwaite")
    assert "given by Mungo Askerrigg on the phone of Anneli Thwaite" in page_of(cast, sheet)
    assert not do(sheet, cast.member, HAND, "done", at=timezone.now()).without_go_ahead
    assert "go-ahead of Mungo Askerrigg, given on the phone of Anneli Thwaite" in page_of(cast, sheet)


def test_the_mentor_hears_that_the_code_was_used(cast: Cast, sheet: FaultSheet) -> None:
    _tap(cast, sheet)
    message = Message.objects.get()
    assert message.to == cast.mentor
    assert "with the short code of Mungo Askerrigg on the phone of Anneli Thwaite" in message.body


def test_what_was_asked_before_is_answered_by_it(cast: Cast, sheet: FaultSheet) -> None:
    row = make_go_ahead(sheet, cast.mate, action=HAND, reason="It knocks.")
    assert _tap(cast, sheet).status_code == 302
    row.refresh_from_db()
    assert (row.answered_by, row.on_phone_of, GoAhead.objects.count()) == (cast.mentor, cast.member, 1)


def test_the_same_form_twice_gives_it_once_and_counts_no_try(cast: Cast, sheet: FaultSheet) -> None:
    mark = str(uuid4())
    for _ in range(2):
        assert _tap(cast, sheet, submission=mark).status_code == 302
    assert GoAhead.objects.count() == Message.objects.count() == 1
    assert not ShortCodeAttempt.objects.exists()


def test_wrong_digits_give_nothing_and_are_never_shown_again(cast: Cast, sheet: FaultSheet) -> None:
    response = _tap(cast, sheet, code="918273")
    page = response.content.decode()
    assert response.status_code == 422
    assert "This is not Mungo Askerrigg&#x27;s short code" in error_beside(page, "code")
    assert "Not alone.</textarea>" in page
    assert "918273" not in page
    assert not GoAhead.objects.exists()


def test_after_five_wrong_codes_even_the_right_one_waits(cast: Cast, sheet: FaultSheet) -> None:
    for _ in range(5):
        _tap(cast, sheet, code="918273")
    response = _tap(cast, sheet)
    assert response.status_code == 429
    assert "Too many wrong codes. Try again in 15 minutes" in response.content.decode()
    assert not GoAhead.objects.exists()


def test_a_mentor_is_offered_no_name_of_their_own_and_gives_none_to_themselves(cast: Cast, sheet: FaultSheet) -> None:
    assert _offered(cast, sheet, who="mentor") == ["Philippa Oxenhope"]
    assert _tap(cast, sheet, who="mentor").status_code == 422
    make_go_ahead(sheet, cast.mentor, action=HAND)
    assert _tap(cast, sheet).status_code == 403
    assert GoAhead.objects.waiting().count() == 1


def test_only_those_who_may_say_yes_to_the_step_and_have_a_code_are_offered(cast: Cast, sheet: FaultSheet) -> None:
    assert _offered(cast, sheet) == ["Mungo Askerrigg", "Philippa Oxenhope"]
    steam = make_sheet(bench_engine(cast, configuration={"kind": "tank_locomotive"}), opened_by=cast.member)
    assert _offered(cast, steam, INSPECTORS) == ["Ottoline Braithe"]
    assert _tap(cast, steam, action=INSPECTORS).status_code == 422
    assert _tap(cast, steam, action=INSPECTORS, mentor="inspector").status_code == 302
    Member.objects.filter(pk=cast.mentor2.pk).update(is_mentor=False)
    assert _offered(cast, sheet) == ["Mungo Askerrigg"]
    assert _tap(cast, sheet, mentor="mentor2").status_code == 422


def test_nobody_is_offered_where_nobody_has_a_code(cast: Cast) -> None:
    assert "stands beside you" not in cast.browser("member").get(f"/sheets/{bench_sheet(cast).pk}/actions/{HAND}/").text


@pytest.mark.parametrize("changes", [{"action": "no_such_step"}, {"action": "ease_piston_gland@middle"}, {"code": ""}])
def test_what_cannot_be_is_refused_in_words(cast: Cast, sheet: FaultSheet, changes: dict[str, Any]) -> None:
    assert _tap(cast, sheet, **changes).status_code == 422
    assert not GoAhead.objects.exists()


def test_on_a_closed_sheet_nothing_is_given(cast: Cast, sheet: FaultSheet) -> None:
    FaultSheet.objects.filter(pk=sheet.pk).update(closed_at=timezone.now() + timedelta(days=400))
    assert _tap(cast, sheet).status_code == 409
    assert not GoAhead.objects.exists()
