"""Who works on an engine and who is invited: from today, until ended, and no longer."""

from datetime import timedelta
from typing import Any

import pytest
from django.utils import timezone

from restorations.engines.access import is_guest, is_hand
from restorations.engines.models import Engine
from restorations.members.models import Act
from tests.cast import Cast
from tests.engines.sent import HTMX, error_beside, once, told
from tests.factories import make_engine, make_guest, make_hand


def _private(cast: Cast) -> Engine:
    return make_engine(is_private=True, owner_member=cast.owner, hands=(cast.member,))


def _post(cast: Cast, name: str, engine: Engine, act: str, **data: Any) -> Any:
    return cast.browser(name).post(f"/engines/{engine.pk}/people/{act}/", once(**data))


def test_whoever_is_put_on_the_engine_works_on_it_from_today(cast: Cast) -> None:
    engine = make_engine()
    assert _post(cast, "mentor", engine, "hands", member=cast.mate.pk).status_code == 302
    assert is_hand(cast.mate, engine, timezone.localdate())
    assert Act.objects.about(engine).get().after == {"hands": cast.mate.full_name}


def test_nobody_is_put_on_twice(cast: Cast) -> None:
    engine = make_engine(hands=(cast.mate,))
    response = _post(cast, "mentor", engine, "hands", member=cast.mate.pk)
    assert response.status_code == 422
    assert engine.hands.count() == 1


def test_whoever_left_the_club_is_not_offered(cast: Cast) -> None:
    engine = make_engine()
    cast.mate.left_on = cast.mate.joined_on
    cast.mate.save()
    page = cast.browser("mentor").get(f"/engines/{engine.pk}/people/").text
    assert cast.stranger.full_name in page
    assert cast.mate.full_name not in page


def test_whoever_is_taken_off_may_do_nothing_more_today(cast: Cast) -> None:
    engine = make_engine()
    hand = make_hand(engine, cast.mate)
    assert _post(cast, "secretary", engine, f"hands/{hand.pk}/end").status_code == 302
    assert not is_hand(cast.mate, engine, timezone.localdate())
    assert cast.browser("mate").get(f"/engines/{engine.pk}/history/").status_code == 403


def test_taken_off_and_put_on_again_the_same_day(cast: Cast) -> None:
    engine = make_engine()
    hand = make_hand(engine, cast.mate)
    _post(cast, "mentor", engine, f"hands/{hand.pk}/end")
    _post(cast, "mentor", engine, "hands", member=cast.mate.pk)
    assert is_hand(cast.mate, engine, timezone.localdate())


def test_a_second_end_is_refused_in_words(cast: Cast) -> None:
    engine = make_engine()
    hand = make_hand(engine, cast.mate)
    _post(cast, "mentor", engine, f"hands/{hand.pk}/end")
    again = _post(cast, "mentor", engine, f"hands/{hand.pk}/end")
    assert again.status_code == 422
    assert "This has ended already." in again.text


def test_anybody_may_take_themselves_off(cast: Cast) -> None:
    engine = _private(cast)
    hand = engine.hands.get()
    response = _post(cast, "member", engine, f"hands/{hand.pk}/end")
    assert response.url == "/engines/"
    assert not is_hand(cast.member, engine, timezone.localdate())


def test_a_guest_sees_a_private_engine_until_the_invitation_ends(cast: Cast) -> None:
    engine = _private(cast)
    page = f"/engines/{engine.pk}/past-work/"
    assert cast.browser("mentor").get(page).status_code == 404
    _post(cast, "member", engine, "guests", member=cast.mentor.pk, why="advice on the valve gear")
    assert cast.browser("mentor").get(page).status_code == 200
    _post(cast, "owner", engine, f"guests/{engine.guests.get().pk}/end")
    assert cast.browser("mentor").get(page).status_code == 404


def test_an_invitation_holds_on_its_last_day_and_not_after(cast: Cast) -> None:
    engine, today = _private(cast), timezone.localdate()
    _post(cast, "owner", engine, "guests", member=cast.inspector.pk, why="test", last_day=today.isoformat())
    stands = [is_guest(cast.inspector, engine, today + timedelta(days=days)) for days in (0, 1)]
    assert stands == [True, False]
    assert f"until {today.day} " in cast.browser("owner").get(f"/engines/{engine.pk}/people/").text


@pytest.mark.parametrize(
    ("data", "field", "words"),
    [
        ({"member": "", "why": "test"}, "guest_member", "required"),
        ({"member": "987654321", "why": "test"}, "guest_member", "not one of the available"),
        ({"member": "9" * 400, "why": "test"}, "guest_member", "not one of the available"),
        ({"why": ""}, "guest_why", "required"),
        ({"why": "test", "last_day": "2001-01-01"}, "guest_last_day", "This day has passed"),
        ({"why": "test", "last_day": "tomorrow"}, "guest_last_day", "valid date"),
    ],
)
def test_an_invitation_that_cannot_be_is_refused(cast: Cast, data: dict[str, str], field: str, words: str) -> None:
    engine = _private(cast)
    response = cast.browser("owner").post(
        f"/engines/{engine.pk}/people/guests/", once(**{"member": cast.mentor.pk, **data}), headers=HTMX
    )
    assert response.status_code == 422
    assert response.text.strip().startswith('<div id="people-desk">')
    assert words in error_beside(response.text, field)
    assert not engine.guests.exists()


def test_the_same_invitation_twice_is_one(cast: Cast) -> None:
    engine, data = _private(cast), once(member=cast.mentor.pk, why="advice")
    for _ in range(2):
        cast.browser("owner").post(f"/engines/{engine.pk}/people/guests/", data)
    assert engine.guests.count() == 1


def test_what_was_done_is_told(cast: Cast) -> None:
    engine, browser = make_engine(), cast.browser("mentor")
    browser.post(f"/engines/{engine.pk}/people/hands/", once(member=cast.mate.pk))
    assert f"{cast.mate} works on Wren from today." in told(browser)


def test_a_spell_of_another_engine_is_not_ended_from_here(cast: Cast) -> None:
    guest = make_guest(_private(cast), cast.mentor)
    other = make_engine(owner_member=cast.owner)
    assert _post(cast, "owner", other, f"guests/{guest.pk}/end").status_code == 404
