"""Search: a word is found in everything one may see, by kind, and nowhere else."""

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.utils.html import escape

from restorations.engines.models import Design, Fastening, OilPoint
from restorations.home.search import SHOWN, search_all, words_of
from restorations.home.search_kinds import KINDS
from tests.cast import Cast
from tests.factories import TODAY, make_engine
from tests.faults.builders import make_part, make_sheet
from tests.home.rows import furnish, make_box, make_card, make_entry


def _titles(cast: Cast, who: str, typed: str) -> set[str]:
    return {group.key for group in search_all(cast[who], words_of(typed), on=TODAY)}


def _fill(cast: Cast, *, private: bool) -> None:
    design = Design.objects.create(name="Brindle")
    engine = make_engine(
        name="Gland tester", design=design, is_private=private, owner_member=cast.owner, hands=(cast.member,)
    )
    furnish(engine, cast.member)
    Fastening.objects.create(engine=engine, where="gland studs", thread="5 BA", made_by=cast.member)
    OilPoint.objects.create(engine=engine, point="left gland", oil="steam oil", made_by=cast.member)
    if not private:
        design.design_notes.create(kind="trap", text="The gland nut has a left-hand thread.", written_by=cast.member)
        make_box(cast.member)


def test_gland_is_found_in_everything(cast: Cast) -> None:
    _fill(cast, private=False)
    assert _titles(cast, "stranger", "gland") == {kind.key for kind in KINDS}


def test_every_hit_leads_to_a_page_that_is_there(cast: Cast) -> None:
    _fill(cast, private=False)
    browser = cast.browser("stranger")
    groups = search_all(cast.stranger, ["gland"], on=TODAY)
    dead = {hit.href for group in groups for hit in group.hits if browser.get(hit.href).status_code != 200}
    assert dead == set()


@pytest.mark.parametrize("who", ["stranger", "mentor", "inspector", "administrator"])
def test_nothing_of_a_private_engine_is_found_by_others(cast: Cast, who: str) -> None:
    _fill(cast, private=True)
    assert _titles(cast, who, "gland") == set()
    page = cast.browser(who).get("/search/", {"q": "gland"}).text
    assert "Gland tester" not in page
    for kind in KINDS:
        page = cast.browser(who).get("/search/", {"q": "gland", "in": kind.key}).text
        assert "Gland tester" not in page


def test_a_secretary_finds_a_private_engine_by_name_but_nothing_in_it(cast: Cast) -> None:
    _fill(cast, private=True)
    assert _titles(cast, "secretary", "gland") == {"engines"}


def test_those_who_work_on_a_private_engine_find_what_is_in_it(cast: Cast) -> None:
    _fill(cast, private=True)
    assert _titles(cast, "member", "gland") == {kind.key for kind in KINDS} - {"notes", "boxes"}


def test_every_word_must_be_there(cast: Cast) -> None:
    engine = make_engine()
    make_entry(engine, cast.member, text="left gland repacked")
    make_entry(engine, cast.member, text="right gland looked at")
    (group,) = search_all(cast.member, words_of("gland  repacked"), on=TODAY)
    assert [hit.words for hit in group.hits] == ["left gland repacked"]


def test_a_part_is_found_by_the_name_the_knowledge_gives_it(cast: Cast) -> None:
    engine = make_engine()
    make_part(engine, cast.member, component="connecting_rod", place="left")
    make_part(engine, cast.member, component="crosshead", place="right")
    (group,) = search_all(cast.member, words_of("connecting rod left"), on=TODAY)
    assert [hit.words for hit in group.hits] == ["Connecting rod, left side"]


@pytest.mark.parametrize("typed", ["K7QX", "k7qx", "5", "box 5", "gland things"])
def test_a_box_is_found_by_code_number_or_label(cast: Cast, typed: str) -> None:
    make_box(cast.member)
    make_box(cast.member, code="MM44", number=17, label="")
    (group,) = search_all(cast.stranger, words_of(typed), on=TODAY)
    assert [hit.words for hit in group.hits] == ["Box 5"]


def test_what_begins_with_the_word_stands_first(cast: Cast) -> None:
    engine = make_engine()
    for title in ("Repack a gland", "Gland nut", "Bush the gland"):
        make_card(engine, cast.member, title=title)
    (group,) = search_all(cast.member, ["gland"], on=TODAY)
    assert group.hits[0].words == "Gland nut"


def test_at_most_ten_of_a_kind_and_a_way_to_all_of_them(cast: Cast) -> None:
    engine = make_engine()
    for number in range(SHOWN + 2):
        make_entry(engine, cast.member, text=f"gland {number}")
    page = cast.browser("member").get("/search/", {"q": "gland"}).text
    assert page.count('class="row-name">gland') == SHOWN
    assert "in=entries" in page
    assert cast.browser("member").get("/search/", {"q": "gland", "in": "entries"}).text.count('row-name">gland') == 12


def test_what_is_struck_out_is_not_found(cast: Cast) -> None:
    entry = make_entry(make_engine(), cast.member)
    entry.strike_out(member=cast.member, reason="wrong engine")
    assert _titles(cast, "member", "gland") == set()


@pytest.mark.parametrize("typed", ["", "   ", "<script>", "%", "gland\x00", "x" * 10_000, "🔧", "' or 1=1 --"])
def test_whatever_is_typed_is_answered_and_kept(cast: Cast, typed: str) -> None:
    make_sheet(make_engine(), opened_by=cast.member)
    response = cast.browser("member").get("/search/", {"q": typed})
    assert response.status_code == 200
    assert f'value="{escape(" ".join(words_of(typed)))}"' in response.text


def test_a_kind_that_does_not_exist_looks_everywhere(cast: Cast) -> None:
    make_entry(make_engine(), cast.member)
    assert "Repacked the left gland" in cast.browser("member").get("/search/", {"q": "gland", "in": "rumours"}).text


def test_ten_times_as_much_costs_no_more_queries(cast: Cast) -> None:
    engine = make_engine(hands=(cast.member,))
    browser = cast.browser("member")
    counts = []
    for minutes in range(10):
        furnish(engine, cast.member, minutes=minutes)
        if minutes in (0, 9):
            with CaptureQueriesContext(connection) as queries:
                browser.get("/search/", {"q": "gland"})
            counts.append(len(queries))
    assert counts[0] == counts[1]


def test_search_stands_in_the_menu(cast: Cast) -> None:
    assert 'href="/search/"' in cast.browser("stranger").get("/").text
