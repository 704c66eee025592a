"""Who holds which engine, key and box: handed on, given back, never by two at once."""

from datetime import date
from typing import Any

import pytest
from django.db import IntegrityError
from django.utils import timezone

from restorations.tasks.models import Box, Holding
from tests.cast import Cast
from tests.factories import make_engine
from tests.tasks.work_builders import error_beside, make_holding, once


def _hand(cast: Cast, who: str = "secretary", again: int | None = None, **data: Any) -> Any:
    said = {"kind": "key", "what": "Key of the shed", "holder": cast.mate.pk, "since": "2026-01-10", **data}
    return cast.browser(who).post(f"/holdings/new/{f'?again={again}' if again else ''}", once(**said))


def test_an_engine_goes_from_hand_to_hand(cast: Cast) -> None:
    engine = make_engine(hands=(cast.member,))
    assert _hand(cast, "member", kind="engine", engine=engine.pk, holder=cast.member.pk).status_code == 302
    assert _hand(cast, "member", kind="engine", engine=engine.pk, since="2026-02-01").status_code == 302
    first, second = Holding.objects.order_by("pk")
    assert (first.until, second.until) == (date(2026, 2, 1), None)
    assert (second.holder, second.handed_by) == (cast.mate, cast.member.full_name)
    page = cast.browser("stranger").get(f"/holdings/?engine={engine.pk}").text
    assert "10 Jan 2026 to 1 Feb 2026" in page


def test_it_is_not_handed_on_before_it_was_held(cast: Cast) -> None:
    row = make_holding(make_engine(), cast.mate, recorded_by=cast.member, since=date(2026, 2, 1))
    answer = _hand(cast, again=row.pk, engine=row.engine_id)
    assert answer.status_code == 422
    assert "not earlier than that" in error_beside(answer.text, "since")
    row.refresh_from_db()
    assert row.until is None
    assert Holding.objects.count() == 1


def test_a_key_handed_on_ends_the_spell_before(cast: Cast) -> None:
    row = make_holding(make_engine(), cast.mate, recorded_by=cast.member)
    assert _hand(cast, again=row.pk, engine=row.engine_id, holder="", holder_name="Ada Penhale").status_code == 302
    assert [str(held.holder_in_words) for held in Holding.objects.current()] == ["Ada Penhale"]


def test_two_holders_of_one_box_cannot_be(cast: Cast) -> None:
    box = Box.objects.create(number=9, code="K7QX", made_by=cast.member)
    plain = {"kind": "box", "box": box, "since": date(2026, 1, 1), "recorded_by": cast.member}
    Holding.objects.create(holder=cast.member, **plain)
    with pytest.raises(IntegrityError):
        Holding.objects.create(holder=cast.mate, **plain)


@pytest.mark.parametrize(
    ("said", "beside"),
    [
        ({"holder": ""}, "holder"),
        ({"holder_name": "Ada Penhale"}, "holder"),
        ({"what": ""}, "what"),
        ({"kind": "engine"}, "engine"),
        ({"kind": "box"}, "box"),
        ({"since": "2999-01-01"}, "since"),
        ({"since": "soon"}, "since"),
    ],
)
def test_what_is_missing_is_said_beside_its_field(cast: Cast, said: dict[str, Any], beside: str) -> None:
    answer = _hand(cast, **said)
    assert answer.status_code == 422
    assert error_beside(answer.text, beside)
    assert not Holding.objects.exists()


def test_it_comes_back_once(cast: Cast) -> None:
    row = make_holding(make_engine(), cast.mate, recorded_by=cast.member)
    browser = cast.browser("secretary")
    assert browser.post(f"/holdings/{row.pk}/back/", once()).status_code == 302
    again = browser.post(f"/holdings/{row.pk}/back/", once(), follow=True)
    assert "given back already" in again.text
    row.refresh_from_db()
    assert row.until == timezone.localdate()


def test_what_goes_with_a_private_engine_is_nobody_elses_business(cast: Cast) -> None:
    engine = make_engine(owner_member=cast.owner, is_private=True)
    make_holding(engine, cast.mate, recorded_by=cast.owner, what="Key of the garage")
    assert "Key of the garage" in cast.browser("owner").get("/holdings/").text
    assert "Key of the garage" not in cast.browser("stranger").get("/holdings/").text
    assert _hand(cast, "stranger", engine=engine.pk).status_code == 403


def test_whoever_left_keeps_their_name_on_what_they_hold(cast: Cast) -> None:
    make_holding(make_engine(), cast.mate, recorded_by=cast.member)
    type(cast.mate).objects.filter(pk=cast.mate.pk).update(left_on=timezone.localdate())
    page = cast.browser("secretary").get(f"/holdings/?person={cast.mate.pk}").text
    assert cast.mate.full_name in page
    assert "has left" in page
