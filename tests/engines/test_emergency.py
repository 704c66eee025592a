"""Emergency cards: read by anybody, worded by the inspector, one tap from every page."""

import pytest

from restorations.engines.emergency_texts import TEXTS
from restorations.engines.models import EmergencyCard
from restorations.knowledge.emergencies import CARDS
from tests.cast import Cast
from tests.engines.sent import error_beside, once


def test_every_card_has_a_careful_default_that_says_where_it_is_from() -> None:
    assert set(TEXTS) == set(CARDS)
    for text in TEXTS.values():
        assert 4 <= len(text.steps) <= 8
        assert text.never
        assert text.call
        assert text.source


def test_what_matters_most_is_on_the_cards() -> None:
    """Low water: no feed. A burn: twenty minutes under running water (NHS). Gas: a flame is not blown out."""
    assert any("no water in" in step for step in TEXTS["low_water"].steps)
    assert any("at least 20 minutes" in step for step in TEXTS["scald"].steps)
    assert any("Never blow out" in line for line in TEXTS["gas"].never)
    assert any("safety valve" in line for line in TEXTS["past_red_line"].never)


@pytest.mark.parametrize("kind", sorted(CARDS))
def test_a_card_is_read_without_signing_in(cast: Cast, kind: str) -> None:
    page = cast.browser("anonymous").get(f"/emergency/{kind}/").text
    assert TEXTS[kind].steps[0].split(".")[0] in page
    assert "not yet looked at by the club's inspector" in page.replace("&#x27;", "'")


def test_every_page_leads_to_the_cards_in_one_tap(cast: Cast) -> None:
    for who, address in (("anonymous", "/sign-in/"), ("member", "/"), ("member", "/engines/"), ("member", "/nowhere/")):
        assert 'class="emergency" href="/emergency/"' in cast.browser(who).get(address).text


def test_the_inspector_words_a_card_and_earlier_wordings_stay(cast: Cast) -> None:
    for first in ("Walk away.", "Walk away quickly."):
        sent = once(steps=f"{first}\nRing.", never="Never stay.", call="")
        assert cast.browser("inspector").post("/emergency/fire/word/", sent).status_code == 302
    page = cast.browser("anonymous").get("/emergency/fire/").text
    assert "Walk away quickly." in page
    assert cast.inspector.full_name in page
    assert EmergencyCard.objects.count() == 2
    assert "Walk away." in cast.browser("inspector").get("/emergency/fire/word/").text


def test_a_card_of_many_lines_is_refused_and_what_was_typed_stays(cast: Cast) -> None:
    lines = "\n".join(f"step {number}" for number in range(9))
    answer = cast.browser("inspector").post("/emergency/fire/word/", once(steps=lines))
    assert answer.status_code == 422
    assert "At most 8 lines" in error_beside(answer.text, "steps")
    assert "step 8" in answer.text


def test_the_number_to_ring_stands_on_every_card_and_is_digits(cast: Cast) -> None:
    assert "has not filled it in" in cast.browser("anonymous").get("/emergency/").text
    wrong = cast.browser("secretary").post("/emergency/number/", once(number="call Fred"))
    assert wrong.status_code == 422
    cast.browser("secretary").post("/emergency/number/", once(number="112", where="gate by the ford"))
    page = cast.browser("anonymous").get("/emergency/").text
    assert page.count('href="tel:112"') == len(CARDS)
    assert "gate by the ford" in page


def test_an_unknown_card_is_not_found(cast: Cast) -> None:
    assert cast.browser("anonymous").get("/emergency/flood/").status_code == 404
