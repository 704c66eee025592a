"""The owner is asked before what cannot be undone: told, answers on a page of their own, and whoever asked hears."""

from typing import Any

import pytest
from django.utils import timezone

from restorations.engines.models import ConsentRequest, Engine, OwnerConsent
from restorations.home.bench import my_bench
from restorations.members.models import Message
from tests.cast import Cast
from tests.engines.sent import error_beside
from tests.factories import make_guest
from tests.faults.builders import bench_engine, make_sheet
from tests.faults.sent import page_of, post

ACTION = "restore_bore@middle"


def _ask(cast: Cast, engine: Engine, who: str = "member", **changes: str) -> Any:
    sheet = make_sheet(engine, opened_by=cast.member)
    data = {"action": ACTION, "reason": "Scored its whole length.", **changes}
    return post(cast, who, f"/sheets/{sheet.pk}/ask-owner/", **data)


def _answer(cast: Cast, who: str, said: str, **data: Any) -> Any:
    row = ConsentRequest.objects.get()
    return post(cast, who, row.get_absolute_url(), answer=said, **data)


def _waits_for(cast: Cast) -> set[str]:
    today = timezone.localdate()
    return {name for name in cast.people if ConsentRequest.objects.for_speaker(cast[name], on=today).exists()}


def test_the_owner_is_asked_once_told_and_consents_in_plain_words(cast: Cast) -> None:
    engine = bench_engine(cast)
    assert _ask(cast, engine).status_code == 302
    assert _ask(cast, engine, "mate").status_code == 302
    row = ConsentRequest.objects.get()
    assert [message.to for message in Message.objects.all()] == [cast.owner]
    assert _waits_for(cast) == {"owner"}
    assert my_bench(cast.owner, at=timezone.now()).consents == [row]
    page = cast.browser("owner").get(row.get_absolute_url()).text
    for words in ("This cannot be undone.", "Scored its whole length.", "Care: ", "I consent"):
        assert words in page
    assert "waits for the owner" in page_of(cast, engine.fault_sheets.first())
    assert _answer(cast, "owner", "given", words="Not below 25 mm.").status_code == 302
    consent = OwnerConsent.objects.get()
    assert (consent.action, consent.given_by, consent.recorded_by) == (ACTION, "Kester Willowdene", cast.owner)
    assert "Not below 25 mm." in Message.objects.get(to=cast.member).body
    assert _waits_for(cast) == set()


def test_no_mentor_for_whom_a_private_engine_does_not_exist_hears_that_its_owner_is_asked(cast: Cast) -> None:
    engine = bench_engine(cast)
    Engine.objects.filter(pk=engine.pk).update(is_private=True, owner_member=None, owner_name="An estate")
    make_guest(engine, cast.mentor2, invited_by=cast.member)
    assert _ask(cast, engine).status_code == 302
    assert {message.to for message in Message.objects.all()} <= {cast.mentor2}


def test_an_owner_who_asks_is_taken_to_the_page_of_the_answer(cast: Cast) -> None:
    response = _ask(cast, bench_engine(cast), "owner")
    assert response["Location"] == ConsentRequest.objects.get().get_absolute_url()
    assert not Message.objects.exists()


def test_an_owner_who_does_not_consent_says_why_and_may_be_asked_again(cast: Cast) -> None:
    engine = bench_engine(cast)
    _ask(cast, engine)
    response = _answer(cast, "owner", "refused")
    assert response.status_code == 422
    assert "Say why not" in error_beside(response.content.decode(), "words")
    assert _answer(cast, "owner", "refused", words="Leave the bore as it is.").status_code == 302
    assert not OwnerConsent.objects.exists()
    address = f"/sheets/{engine.fault_sheets.first().pk}/actions/{ACTION}/"
    assert "Leave the bore as it is." in cast.browser("member").get(address).text
    _ask(cast, engine)
    assert ConsentRequest.objects.waiting().count() == 1


@pytest.mark.parametrize(
    ("owner", "speaks"),
    [
        ({"owner_member": None, "owner_is_club": True}, {"secretary"}),
        ({"owner_member": None, "owner_name": "An estate"}, {"mentor", "mentor2"}),
    ],
    ids=["the club", "an outsider"],
)
def test_for_the_club_the_secretary_answers_and_for_an_outsider_a_mentor_writes_it_down(
    cast: Cast, owner: dict[str, Any], speaks: set[str]
) -> None:
    engine = bench_engine(cast, **owner)
    _ask(cast, engine)
    assert _waits_for(cast) == speaks
    assert _answer(cast, "owner", "given").status_code == 403
    who = min(speaks)
    assert _answer(cast, who, "given").status_code == 422  # who said it, how and when
    said = {"given_by": "Mrs Fennimore", "how": "telephone", "on": timezone.localdate().isoformat()}
    assert _answer(cast, who, "given", **said).status_code == 302
    assert (OwnerConsent.objects.get().given_by, OwnerConsent.objects.get().how) == ("Mrs Fennimore", "telephone")


def test_the_second_answer_is_told_the_first(cast: Cast) -> None:
    _ask(cast, bench_engine(cast))
    _answer(cast, "owner", "refused", words="Leave it.")
    response = _answer(cast, "owner", "given", words="Or do.")
    assert response.status_code == 409
    assert "has answered meanwhile: not consented" in response.content.decode()
    assert "Or do.</textarea>" in response.content.decode()
    assert not OwnerConsent.objects.exists()


def test_a_consent_recorded_otherwise_answers_what_was_asked(cast: Cast) -> None:
    engine = bench_engine(cast)
    _ask(cast, engine)
    data = {"what": "Bore it", "action": ACTION, "on": timezone.localdate().isoformat()}
    assert post(cast, "owner", f"/engines/{engine.pk}/consents/", **data).status_code == 302
    assert ConsentRequest.objects.get().answer == "given"
    assert Message.objects.filter(to=cast.member).count() == 1


@pytest.mark.parametrize("action", ["no_such_step", "ease_piston_gland@middle"])
def test_what_needs_no_consent_is_not_asked(cast: Cast, action: str) -> None:
    response = _ask(cast, bench_engine(cast), action=action)
    assert response.status_code == 422
    assert "needs no consent" in response.content.decode()
    assert not ConsentRequest.objects.exists()
