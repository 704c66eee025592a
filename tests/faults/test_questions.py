"""Questions: a mentor's before a go-ahead, answered on the sheet; a helper's to the mentors, answered at the desk."""

from typing import Any
from uuid import uuid4

import pytest
from django.utils import timezone

from restorations.faults.models import FaultSheet, GoAhead, Question
from restorations.home.bench import my_bench
from restorations.members.models import Message
from tests.cast import Cast
from tests.faults.builders import bench_sheet, make_go_ahead
from tests.faults.sent import page_of, post, trouble

HAND = "rebush_big_end@middle"


@pytest.fixture
def asked(cast: Cast) -> GoAhead:
    return make_go_ahead(bench_sheet(cast), cast.member, action=HAND, reason="It knocks.")


def _ask(cast: Cast, row: GoAhead, **changes: Any) -> Any:
    data = {"answer": "asked", "conditions": "How much play?", **changes}
    return post(cast, "mentor", f"/go-aheads/{row.pk}/", **data)


def _reply(cast: Cast, row: Question, who: str = "member", words: str = "0.3 mm") -> Any:
    return post(cast, who, f"/questions/{row.pk}/answer/", words=words)


def test_a_mentor_asks_first_and_the_go_ahead_still_waits(cast: Cast, asked: GoAhead) -> None:
    mark = str(uuid4())
    for _ in range(2):
        assert _ask(cast, asked, submission=mark).status_code == 302
    question, message = Question.objects.get(), Message.objects.get()
    assert (question.go_ahead, question.asked_by, message.to) == (asked, cast.mentor, cast.member)
    assert "How much play?" in message.body
    asked.refresh_from_db()
    assert asked.is_waiting
    assert my_bench(cast.member, at=timezone.now()).questions == [question]
    assert "a question to you" in page_of(cast, asked.sheet)


def test_the_asker_answers_on_the_sheet_and_the_mentor_hears_and_decides(cast: Cast, asked: GoAhead) -> None:
    _ask(cast, asked)
    assert _reply(cast, Question.objects.get()).status_code == 302
    assert "0.3 mm" in Message.objects.get(to=cast.mentor).body
    assert "0.3 mm" in cast.browser("mentor").get("/desk/").text
    assert my_bench(cast.member, at=timezone.now()).questions == []
    assert post(cast, "mentor", f"/go-aheads/{asked.pk}/", answer="given").status_code == 302


def test_another_of_the_hands_may_answer_and_neither_the_mentor_nor_a_stranger(cast: Cast, asked: GoAhead) -> None:
    _ask(cast, asked)
    question = Question.objects.get()
    assert [_reply(cast, question, who).status_code for who in ("mentor", "mentor2", "stranger")] == [403, 403, 403]
    assert _reply(cast, question, "mate").status_code == 302


def test_the_second_answer_is_told_the_first(cast: Cast, asked: GoAhead) -> None:
    _ask(cast, asked)
    question = Question.objects.get()
    _reply(cast, question)
    response = _reply(cast, question, "mate", words="half a turn")
    assert response.status_code == 409
    assert "Anneli Thwaite has answered meanwhile: 0.3 mm" in trouble(response)
    assert "You wrote: half a turn" in response.content.decode()


def test_an_empty_question_or_answer_is_not_saved(cast: Cast, asked: GoAhead) -> None:
    response = _ask(cast, asked, conditions="")
    assert response.status_code == 422
    assert "Write what you want to know." in response.content.decode()
    _ask(cast, asked)
    assert _reply(cast, Question.objects.get(), words=" ").status_code == 422


def test_of_what_was_answered_nothing_is_asked_any_more(cast: Cast, asked: GoAhead) -> None:
    post(cast, "mentor2", f"/go-aheads/{asked.pk}/", answer="given")
    response = _ask(cast, asked)
    assert response.status_code == 409
    assert "nothing left to ask" in response.content.decode()
    assert not Question.objects.exists()


def test_a_question_left_open_asks_nobody_once_the_go_ahead_is_answered(cast: Cast, asked: GoAhead) -> None:
    _ask(cast, asked)
    post(cast, "mentor2", f"/go-aheads/{asked.pk}/", answer="refused", conditions="Measure it first.")
    assert my_bench(cast.member, at=timezone.now()).questions == []
    assert "a question to you" not in page_of(cast, asked.sheet)


# From the bench


def _put(cast: Cast, sheet: FaultSheet, who: str = "stranger", **changes: str) -> Any:
    data = {"question": "Pinned or keyed?", "action": HAND, **changes}
    return post(cast, who, f"/sheets/{sheet.pk}/question/", **data)


def test_a_helper_who_may_not_ask_for_a_go_ahead_asks_the_mentors(cast: Cast) -> None:
    sheet = bench_sheet(cast)
    page = cast.browser("stranger").get(f"/sheets/{sheet.pk}/actions/{HAND}/").text
    assert "is done by the hands of the engine or its owner" in page
    assert "Ask the mentors something" in page
    assert _put(cast, sheet).status_code == 302
    assert {message.to for message in Message.objects.all()} == {cast.mentor, cast.mentor2}
    question = Question.objects.get()
    assert question.about
    assert "Pinned or keyed?" in cast.browser("mentor").get("/desk/").text
    response = post(cast, "mentor", f"/questions/{question.pk}/answer/", words="Pinned, from below.", back="desk")
    assert response["Location"] == "/desk/"
    assert "Pinned, from below." in Message.objects.get(to=cast.stranger).body
    assert "Pinned, from below." in page_of(cast, sheet, "stranger")
    assert "Pinned or keyed?" not in cast.browser("mentor2").get("/desk/").text


def test_a_mentor_does_not_answer_their_own_question(cast: Cast) -> None:
    sheet = bench_sheet(cast)
    _put(cast, sheet, who="mentor")
    assert {message.to for message in Message.objects.all()} == {cast.mentor2}
    assert _reply(cast, Question.objects.get(), "mentor").status_code == 403
    assert "Pinned or keyed?" not in cast.browser("mentor").get("/desk/").text


@pytest.mark.parametrize("changes", [{"question": ""}, {"question": "x" * 2001}, {"question": "\x00"}])
def test_what_is_no_question_is_refused_in_words(cast: Cast, changes: dict[str, str]) -> None:
    response = _put(cast, bench_sheet(cast), **changes)
    assert response.status_code == 422
    assert trouble(response)
    assert not Question.objects.exists()
