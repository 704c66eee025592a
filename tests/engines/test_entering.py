"""The list of engines, entering one, and changing its identity and owner."""

import re
from typing import Any

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.utils import timezone

from restorations.engines.models import Design, Engine
from restorations.engines.state import state_of
from restorations.members.models import Act
from tests.cast import Cast
from tests.engines.sent import HTMX, error_beside, once, said_in_box
from tests.factories import make_engine


def _new(**changes: Any) -> dict[str, Any]:
    return once(**{"name": "Wagtail", "owner_choice": "club", "works_on_it": "on", **changes})


def _queries(cast: Cast, address: str) -> int:
    browser = cast.browser("member")
    browser.get(address)
    with CaptureQueriesContext(connection) as queries:
        browser.get(address)
    return len(queries)


def test_the_list_shows_kind_gauge_and_owner(cast: Cast) -> None:
    make_engine(configuration={"kind": "traction_engine", "gauge_typed": ""}, number="17", owner_name="Ada Brock")
    page = cast.browser("stranger").get("/engines/").text
    assert "Traction engine; number 17; owner: Ada Brock" in page


@pytest.mark.parametrize(
    ("words", "found"),
    [("wren", True), ("31", True), ("brock wren", True), ("pipit", True), ("kestrel", False), ("%", False)],
)
def test_an_engine_is_found_by_name_number_builder_or_design(cast: Cast, words: str, found: bool) -> None:
    make_engine(name="Wren", number="31", builder="A. Brock", design=Design.objects.create(name="Pipit class"))
    page = cast.browser("stranger").get("/engines/", {"q": words}).text
    assert (">Wren<" in page) is found


@pytest.mark.parametrize("words", ["x" * 500, "\x00", "<script>", "🚂"])
def test_a_silly_search_is_answered(cast: Cast, words: str) -> None:
    response = cast.browser("stranger").get("/engines/", {"q": words, "page": "no such page"})
    assert response.status_code == 200
    assert "<script>x" not in response.text


def test_the_search_answers_htmx_with_the_list_alone(cast: Cast) -> None:
    response = cast.browser("stranger").get("/engines/", headers=HTMX)
    assert response.text.strip().startswith('<div id="engines-list">')


def test_pages_of_twenty_five_keep_what_was_searched(cast: Cast) -> None:
    for number in range(26):
        make_engine(name=f"Wren {number:02}")
    first = cast.browser("stranger").get("/engines/", {"q": "wren"}).text
    assert first.count('class="row-name"') == 25
    assert "?q=wren&amp;page=2" in first
    assert cast.browser("stranger").get("/engines/?q=wren&page=2").text.count('class="row-name"') == 1


def test_a_longer_list_needs_no_more_queries(cast: Cast) -> None:
    make_engine()
    few = _queries(cast, "/engines/")
    for number in range(10):
        make_engine(name=f"Wren {number}", owner_member=cast.owner)
    assert _queries(cast, "/engines/") == few


def test_only_a_name_is_needed(cast: Cast) -> None:
    browser = cast.browser("member")
    response = browser.post("/engines/new/", _new())
    engine = Engine.objects.get()
    assert response.url == f"/engines/{engine.pk}/configuration/"
    assert (engine.name, engine.owner, engine.made_by) == ("Wagtail", "the club", cast.member)
    assert engine.configuration.number == 1
    assert [hand.member for hand in engine.hands.all()] == [cast.member]
    assert {act.verb for act in Act.objects.about(engine)} == {"entered the engine", "put on the engine"}


def test_the_first_answers_are_the_first_configuration(cast: Cast) -> None:
    data = _new(kind="stationary_engine", cylinder_layout="one", cylinder_mounting="oscillating")
    cast.browser("member").post("/engines/new/", data)
    configuration = Engine.objects.get().configuration
    assert (configuration.kind, configuration.cylinder_mounting) == ("stationary_engine", "oscillating")


def test_a_secretary_enters_an_engine_without_working_on_it(cast: Cast) -> None:
    browser = cast.browser("secretary")
    page = browser.get("/engines/new/").text
    assert not re.search(r'name="works_on_it"[^>]* checked', page)
    response = browser.post("/engines/new/", {**_new(), "works_on_it": ""})
    engine = Engine.objects.get()
    assert response.url == f"/engines/{engine.pk}/"
    assert not engine.hands.exists()


def test_the_same_form_twice_enters_one_engine(cast: Cast) -> None:
    browser, data = cast.browser("member"), _new()
    assert browser.post("/engines/new/", data).url == browser.post("/engines/new/", data).url
    assert Engine.objects.count() == 1


@pytest.mark.parametrize(
    ("changes", "field", "words"),
    [
        ({"name": " "}, "name", "required"),
        ({"name": "x" * 10000}, "name", "at most 80"),
        ({"name": "Wag\x00tail"}, "name", "Null characters"),
        ({"owner_choice": "outsider"}, "owner_name", "Give the owner"),
        ({"owner_name": "Ada Brock"}, "owner_choice", "A name is given below"),
        ({"owner_choice": "987654321"}, "owner_choice", "not one of the available"),
        ({"kind": "rocket"}, "kind", "not one of the available"),
        ({"is_private": "on", "works_on_it": ""}, "is_private", "would not see it yourself"),
    ],
)
def test_what_is_wrong_stands_beside_the_field(cast: Cast, changes: dict[str, str], field: str, words: str) -> None:
    response = cast.browser("member").post("/engines/new/", _new(**changes))
    assert response.status_code == 422
    assert words in error_beside(response.text, field)
    assert not Engine.objects.exists()


def test_text_is_shown_as_it_was_typed(cast: Cast) -> None:
    browser = cast.browser("member")
    browser.post("/engines/new/", _new(name="<b>Wag</b> 🚂"))
    assert "&lt;b&gt;Wag&lt;/b&gt; 🚂" in browser.get("/engines/").text


def test_a_design_is_chosen_or_named_once(cast: Cast) -> None:
    browser = cast.browser("member")
    browser.post("/engines/new/", _new(new_design="Marsh Tank"))
    browser.post("/engines/new/", _new(new_design="marsh tank"))
    design = Design.objects.get()
    assert design.engines.count() == 2
    both = browser.post("/engines/new/", _new(design=design.pk, new_design="Another"))
    assert "not both" in error_beside(both.text, "new_design")


def test_a_change_of_identity_is_written_down(cast: Cast) -> None:
    engine = make_engine(hands=(cast.member,))
    data = once(name="Jenny Wren", number="7", version=1)
    assert cast.browser("member").post(f"/engines/{engine.pk}/identity/", data).status_code == 302
    engine.refresh_from_db()
    act = Act.objects.about(engine).get()
    assert (engine.name, engine.version) == ("Jenny Wren", 2)
    assert (act.before, act.after) == ({"name": "Wren", "number": ""}, {"name": "Jenny Wren", "number": "7"})


def test_a_late_change_of_identity_shows_both_and_may_insist(cast: Cast) -> None:
    engine = make_engine(hands=(cast.member, cast.mate))
    address = f"/engines/{engine.pk}/identity/"
    cast.browser("mate").post(address, once(name="Early", version=1))
    late = once(name="Late", version=1)
    response = cast.browser("member").post(address, late)
    assert response.status_code == 409
    assert ">Early<" in response.text
    assert ">Late<" in response.text
    assert said_in_box(response.text, "version") == "2"
    assert cast.browser("member").post(address, {**late, "version": 2}).status_code == 302
    engine.refresh_from_db()
    assert engine.name == "Late"


def test_the_owner_hands_the_engine_on(cast: Cast) -> None:
    engine = make_engine(owner_member=cast.owner)
    data = once(owner_choice="outsider", owner_name="Ada Brock", owner_address="Marsh End", version=1)
    assert cast.browser("owner").post(f"/engines/{engine.pk}/owner/", data).status_code == 302
    engine.refresh_from_db()
    assert (engine.owner, engine.owner_member) == ("Ada Brock", None)


def test_whoever_gives_a_private_engine_away_is_led_to_the_list(cast: Cast) -> None:
    engine = make_engine(owner_member=cast.owner, is_private=True)
    data = once(owner_choice=str(cast.mate.pk), is_private="on", version=1)
    assert cast.browser("owner").post(f"/engines/{engine.pk}/owner/", data).url == "/engines/"


def test_an_owner_who_left_the_club_still_owns_the_engine(cast: Cast) -> None:
    engine = make_engine(owner_member=cast.mate, hands=(cast.member,))
    cast.mate.left_on = cast.mate.joined_on
    cast.mate.save()
    page = cast.browser("member").get(f"/engines/{engine.pk}/consents/").text
    assert cast.mate.full_name in page


@pytest.mark.parametrize(("stands", "kind"), [("works", "in_works"), ("laid_up", "laid_up"), ("", "in_traffic")])
def test_what_is_entered_to_be_worked_on_is_not_in_traffic(cast: Cast, stands: str, kind: str) -> None:
    cast.browser("member").post("/engines/new/", _new(stands=stands))
    assert state_of(Engine.objects.get(), timezone.localdate()).kind == kind
