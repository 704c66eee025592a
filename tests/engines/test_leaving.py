"""An engine that left the club: off the lists, readable, and a clear answer to whoever would act on it."""

import pytest
from django.utils import timezone

from restorations.engines.models import Engine
from tests.cast import Cast
from tests.engines.sent import once
from tests.factories import make_engine

TODAY = timezone.localdate


@pytest.fixture
def sold(cast: Cast) -> Engine:
    engine = make_engine(name="Sandpiper", made_by=cast.owner, owner_member=cast.owner, hands=(cast.member,))
    sent = once(version=1, gone_on=str(TODAY()), gone_words="sold to a club up the valley")
    assert cast.browser("owner").post(f"/engines/{engine.pk}/left/", sent).status_code == 302
    engine.refresh_from_db()
    return engine


def test_it_leaves_the_lists_and_stays_readable(cast: Cast, sold: Engine) -> None:
    browser = cast.browser("member")
    assert "Sandpiper" not in browser.get("/engines/").text
    assert "Sandpiper" not in browser.get("/").text
    assert "Sandpiper" in browser.get("/engines/?gone=yes").text
    assert "sold to a club up the valley" in browser.get(sold.get_absolute_url()).text


@pytest.mark.parametrize(
    "address", ["stop", "sheets/new", "tags", "oil-chart", "photos", "return/record", "past-work", "cards/new"]
)
def test_whoever_would_act_on_it_is_told_that_it_left(cast: Cast, sold: Engine, address: str) -> None:
    answer = cast.browser("member").post(f"/engines/{sold.pk}/{address}/", once(words="x", cause_class="motion"))
    if answer.status_code == 404:  # an address of another shape: the table of addresses is tested elsewhere
        pytest.fail(f"no such address: {address}")
    assert answer.status_code == 403
    assert "left the club on" in answer.text


def test_it_may_come_back(cast: Cast, sold: Engine) -> None:
    sent = once(version=sold.version, words="the sale fell through")
    assert cast.browser("secretary").post(f"/engines/{sold.pk}/left/", sent).status_code == 302
    assert "Sandpiper" in cast.browser("member").get("/engines/").text


def test_it_cannot_leave_on_a_day_to_come(cast: Cast) -> None:
    engine = make_engine(owner_member=cast.owner)
    sent = once(version=1, gone_on="2999-01-01", gone_words="sold")
    assert cast.browser("owner").post(f"/engines/{engine.pk}/left/", sent).status_code == 422
