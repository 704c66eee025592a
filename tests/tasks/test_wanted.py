"""The wanted list: states, prices in whole pence, who paid, repayments and totals."""

from typing import Any

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from hypothesis import given
from hypothesis import strategies as st

from restorations.tasks.models import Wanted
from restorations.tasks.money import DEAREST_PENCE, NotAPrice, Pence, read_price
from restorations.tasks.queries import totals_of
from tests.cast import Cast
from tests.factories import make_engine
from tests.tasks.work_builders import error_beside, make_card, make_wanted, once


def _want(cast: Cast, engine: Any, who: str = "member", **data: Any) -> Any:
    said = {"what": "Piston rings", "state": "wanted", **data}
    return cast.browser(who).post(f"/engines/{engine.pk}/wanted/", once(**said))


@given(pence=st.integers(0, DEAREST_PENCE))
def test_every_price_reads_back_to_the_same_pence(pence: int) -> None:
    assert read_price(str(Pence(pence))) == pence
    assert read_price(f" £{Pence(pence)} ") == pence


@pytest.mark.parametrize(("typed", "pence"), [("12.50", 1250), ("12.5", 1250), ("12", 1200), ("£0.07", 7)])
def test_a_price_is_read_as_pounds_and_pence(typed: str, pence: int) -> None:
    assert read_price(typed) == pence


@pytest.mark.parametrize(
    ("typed", "words"),
    [
        ("12,50", "a point for the pence"),
        ("1,250", "a point for the pence"),
        ("-3", "not less than nothing"),
        ("12.505", "pounds and pence like 12.50"),
        ("twelve", "pounds and pence like 12.50"),
        ("1e5", "pounds and pence like 12.50"),
        ("999999", "ask the treasurer"),
    ],
)
def test_what_is_no_price_is_refused_politely_and_kept_in_the_form(cast: Cast, typed: str, words: str) -> None:
    with pytest.raises(NotAPrice, match=words):
        read_price(typed)
    engine = make_engine(hands=(cast.member,))
    response = _want(cast, engine, price=typed)
    assert response.status_code == 422
    assert words in error_beside(response.text, "price")
    assert f'value="{typed}"' in response.text
    assert not Wanted.objects.exists()


def test_a_thing_is_wanted_for_a_card_of_its_engine(cast: Cast) -> None:
    engine = make_engine(hands=(cast.member,))
    card = make_card(engine, cast.member)
    assert _want(cast, engine, size="1 1/8 in", card=card.pk).status_code == 302
    row = Wanted.objects.get()
    assert (row.what, row.size, row.card, row.state) == ("Piston rings", "1 1/8 in", card, "wanted")
    other = make_card(make_engine(name="Rail"), cast.member)
    assert _want(cast, engine, card=other.pk).status_code == 422


@pytest.mark.parametrize(
    ("said", "name", "words"),
    [
        ({"state": "promised"}, "promised_by", "for which day"),
        ({"paid_by": True}, "price", "Give the price that was paid"),
    ],
)
def test_a_promise_needs_a_day_and_a_payment_its_price(cast: Cast, said: Any, name: str, words: str) -> None:
    engine = make_engine(hands=(cast.member,))
    data = {field: cast.mate.pk if value is True else value for field, value in said.items()}
    assert words in error_beside(_want(cast, engine, **data).text, name)


def test_two_who_change_a_want_are_shown_both_with_prices_in_pounds(cast: Cast) -> None:
    row = make_wanted(make_engine(hands=(cast.member, cast.mate)), cast.member)
    said = {"what": "Piston rings", "state": "ordered"}
    address = f"/wanted/{row.pk}/"
    assert cast.browser("mate").post(address, once(version=1, price="12.50", **said)).status_code == 302
    response = cast.browser("member").post(address, once(version=1, price="13", **said))
    assert response.status_code == 409
    assert "12.50" in response.text
    assert "13.00" in response.text
    row.refresh_from_db()
    assert row.price_pence == 1250


def test_whoever_paid_is_repaid_once_and_never_by_themselves(cast: Cast) -> None:
    engine = make_engine(hands=(cast.member,), owner_member=cast.owner)
    row = make_wanted(engine, cast.member, state="came", price_pence=1250, paid_by=cast.secretary)
    address = f"/wanted/{row.pk}/repaid/"
    assert cast.browser("secretary").post(address, once()).status_code == 403
    assert cast.browser("owner").post(address, once()).status_code == 302
    row.refresh_from_db()
    assert row.repaid_on is not None
    page = cast.browser("owner").post(address, once(), follow=True).text
    assert "they have it back already" in page


def test_what_was_repaid_keeps_its_price_and_payer(cast: Cast) -> None:
    engine = make_engine(hands=(cast.member,), owner_member=cast.owner)
    row = make_wanted(engine, cast.member, state="came", price_pence=1250, paid_by=cast.mate)
    cast.browser("owner").post(f"/wanted/{row.pk}/repaid/", once())
    said = once(version=2, what="Piston rings", state="came", price="1250", paid_by=cast.mate.pk)
    response = cast.browser("member").post(f"/wanted/{row.pk}/", said)
    assert response.status_code == 422
    assert "This was repaid" in response.text


def test_totals_add_up_in_whole_pence(cast: Cast) -> None:
    engine = make_engine()
    for pence in (10, 20, 1220):
        make_wanted(engine, cast.member, state="came", price_pence=pence, paid_by=cast.mate)
    make_wanted(engine, cast.member, state="ordered", price_pence=500)
    make_wanted(engine, cast.member, state="given_up", price_pence=9999)
    totals = totals_of(Wanted.objects.all())
    assert (totals.priced, totals.came, totals.to_repay) == (1750, 1250, 1250)
    assert totals.owed == [(cast.mate.full_name, 1250)]


def test_totals_are_for_treasurer_and_owner(cast: Cast) -> None:
    engine = make_engine(owner_member=cast.owner)
    make_wanted(engine, cast.member, state="came", price_pence=1250, paid_by=cast.mate)
    shown = {
        who: "£12.50" in cast.browser(who).get(address).text
        for who, address in (
            ("owner", f"/engines/{engine.pk}/wanted/"),
            ("secretary", "/wanted/"),
            ("administrator", "/wanted/"),
            ("stranger", f"/engines/{engine.pk}/wanted/"),
            ("mate", "/wanted/"),
        )
    }
    assert shown == {"owner": True, "secretary": True, "administrator": True, "stranger": False, "mate": False}


def test_the_club_list_leaves_out_private_engines(cast: Cast) -> None:
    make_wanted(make_engine(is_private=True, owner_member=cast.owner), cast.owner, what="Secret whistle")
    assert "Secret whistle" not in cast.browser("secretary").get("/wanted/").text
    assert "Secret whistle" in cast.browser("owner").get("/wanted/").text


def test_the_club_list_asks_the_same_for_one_and_for_twenty(cast: Cast) -> None:
    browser = cast.browser("secretary")

    def asked() -> int:
        with CaptureQueriesContext(connection) as queries:
            browser.get("/wanted/")
        return len(queries)

    make_wanted(make_engine(), cast.member, price_pence=100, paid_by=cast.mate)
    one = asked()
    for number in range(20):
        make_wanted(make_engine(name=f"Engine {number}"), cast.member, price_pence=100, paid_by=cast.mate)
    assert asked() == one
