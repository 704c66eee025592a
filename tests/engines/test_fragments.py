"""The pieces that other pages include: one root element each, everything from one call, no query per row."""

import re
from typing import Any

import pytest
from django.db import connection
from django.template.loader import render_to_string
from django.test.utils import CaptureQueriesContext

from restorations.engines.models import Engine
from restorations.engines.showing import build_in_words, engine_pieces
from tests.cast import Cast
from tests.factories import LONG_AGO, NOON, TODAY, make_engine, make_guest, make_hand, make_member

PIECES = ("identity", "people", "configuration", "history", "past_work", "papers")


def _full_engine(cast: Cast, rows: int = 1) -> Engine:
    engine = make_engine(
        owner_member=cast.owner,
        about="<i>From a sale</i>",
        configuration={"kind": "tank_locomotive", "bore_typed": "1 in"},
    )
    for number in range(rows):
        member = make_member()
        make_hand(engine, member)
        make_guest(engine, member)
        engine.past_work.create(text="Painted", happened_at=NOON, done_by_name="an owner", recorded_by=member)
        engine.certificates.create(
            kind="insurance",
            passed_on=LONG_AGO,
            lapses_on=TODAY,
            by_whom="the office",
            recorded_by=member,
            number=number,
        )
        engine.consents.create(what="bore it out", given_by="M. E.", on=LONG_AGO, how="letter", recorded_by=member)
    engine.histories.create(ever_ran="yes", years=3, stored=["dry"], why_stopped="moved away", made_by=cast.owner)
    return engine


def _rendered(piece: str, engine: Engine, member: Any) -> str:
    return render_to_string(f"engines/_{piece}.html", engine_pieces(engine, member, on=TODAY)).strip()


@pytest.mark.parametrize("piece", PIECES)
def test_a_piece_has_one_root_element_with_an_id(cast: Cast, piece: str) -> None:
    html = _rendered(piece, _full_engine(cast), cast.owner)
    root = re.match(r"<(\w+) id=\"engine-", html)
    assert root
    assert html.endswith(f"</{root[1]}>")
    assert html.count(f"<{root[1]}") == 1


def test_the_pieces_say_what_is_known(cast: Cast) -> None:
    engine = _full_engine(cast)
    pieces = {piece: _rendered(piece, engine, cast.owner) for piece in PIECES}
    assert cast.owner.full_name in pieces["identity"]
    assert "&lt;i&gt;From a sale&lt;/i&gt;" in pieces["identity"]
    assert "tank locomotive" in pieces["configuration"]
    assert "has run; stopped because: moved away; 3 years out of use; stored dry" in pieces["history"]
    assert "an owner" in pieces["past_work"]
    assert "lapses today" in pieces["papers"]


@pytest.mark.parametrize(
    ("name", "links"), [("owner", {"identity", "owner"}), ("mentor", {"identity"}), ("stranger", set())]
)
def test_only_those_who_may_change_it_are_led_to_the_forms(cast: Cast, name: str, links: set[str]) -> None:
    engine = _full_engine(cast)
    html = _rendered("identity", engine, cast[name])
    assert {link for link in ("identity", "owner") if f"/engines/{engine.pk}/{link}/" in html} == links


def test_what_follows_from_an_answer_is_not_counted_as_open(cast: Cast) -> None:
    engine = make_engine(configuration={"kind": "stationary_engine", "truck": "none", "brake": "none"})
    build = build_in_words(engine.configuration)
    assert "Truck or bogie" not in build.open_questions
    assert "Boiler" in build.open_questions


def test_more_rows_need_no_more_queries(cast: Cast) -> None:
    few, many = _full_engine(cast), _full_engine(cast, rows=10)
    counts = []
    for engine in (few, many):
        with CaptureQueriesContext(connection) as queries:
            for piece in PIECES:
                render_to_string(f"engines/_{piece}.html", engine_pieces(engine, cast.owner, on=TODAY))
        counts.append(len(queries))
    assert counts[0] == counts[1]


@pytest.mark.parametrize("page", ["past-work", "people", "papers", "configuration/versions"])
def test_a_page_with_more_rows_needs_no_more_queries(cast: Cast, page: str) -> None:
    browser, counts = cast.browser("stranger"), []
    for engine in (_full_engine(cast), _full_engine(cast, rows=10)):
        browser.get(f"/engines/{engine.pk}/{page}/")
        with CaptureQueriesContext(connection) as queries:
            browser.get(f"/engines/{engine.pk}/{page}/")
        counts.append(len(queries))
    assert counts[0] == counts[1]
