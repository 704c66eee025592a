"""Tags: a warning holds at once; taking it off is for those who answer for the engine."""

from typing import Any

import pytest
from django.template.loader import render_to_string

from restorations.tasks.models import Tag
from restorations.tasks.services import tags_on
from tests.cast import Cast
from tests.factories import make_engine
from tests.tasks.bench_builders import make_tag, sent


@pytest.fixture
def engine(cast: Cast) -> Any:
    return make_engine(made_by=cast.owner, owner_member=cast.owner, hands=(cast.member, cast.mate))


def test_a_tag_is_hung_with_its_reason_and_taken_off_again(cast: Cast, engine: Any) -> None:
    browser, address = cast.browser("member"), f"/engines/{engine.pk}/tags/"
    assert browser.post(address, sent(kind="no_air", reason="the chest is open")).status_code == 302
    tag = Tag.objects.get()
    assert (str(tag), tag.put_on_by) == ("NO AIR", cast.member)
    assert browser.post(f"/tags/{tag.pk}/off/", sent()).status_code == 302
    tag.refresh_from_db()
    assert tag.taken_off_by == cast.member
    assert tags_on(engine) == []


def test_a_tag_without_a_reason_is_refused(cast: Cast, engine: Any) -> None:
    response = cast.browser("member").post(f"/engines/{engine.pk}/tags/", sent(kind="no_air", reason=""))
    assert response.status_code == 422
    assert not Tag.objects.exists()


def test_a_helpers_tag_hangs_at_once_and_a_helper_takes_none_off(cast: Cast, engine: Any) -> None:
    cast.browser("stranger").post(f"/engines/{engine.pk}/tags/", sent(kind="do_not_turn", reason="rod in the frames"))
    tag = Tag.objects.get()
    assert tags_on(engine) == [tag]
    assert not tag.stands
    assert cast.browser("stranger").post(f"/tags/{tag.pk}/off/", sent()).status_code == 403


def test_the_second_of_two_who_take_it_off_is_told(cast: Cast, engine: Any) -> None:
    tag = make_tag(engine, cast.member)
    cast.browser("member").post(f"/tags/{tag.pk}/off/", sent())
    response = cast.browser("mate").post(f"/tags/{tag.pk}/off/", sent())
    assert response.status_code == 422
    assert "Anneli Thwaite has taken this tag off already." in response.content.decode()


def test_the_fragment_for_the_engines_page_shows_each_tag_with_its_reason(cast: Cast, engine: Any) -> None:
    make_tag(engine, cast.member, reason="<b>gland</b> is out")
    fragment = render_to_string("tasks/_tags.html", {"engine": engine, "tags": tags_on(engine)})
    assert "DO NOT STEAM" in fragment
    assert "&lt;b&gt;gland&lt;/b&gt; is out" in fragment
    assert "Anneli Thwaite" in fragment
