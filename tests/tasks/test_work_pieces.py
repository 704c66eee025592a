"""What other pages show of cards, day book and readings: the same number of queries whatever there is."""

from datetime import timedelta
from typing import Any

from django.db import connection
from django.template.loader import render_to_string
from django.test.utils import CaptureQueriesContext

from restorations.engines.access import places_of
from restorations.engines.models import Design
from restorations.tasks.queries import due, work_pieces
from tests.cast import Cast
from tests.factories import TODAY, make_engine
from tests.tasks.work_builders import make_card, make_entry, make_job, make_reading, make_wanted

PIECES = ("tasks/_cards.html", "tasks/_day_book.html", "tasks/_readings.html")


def _drawn(cast: Cast, engine: Any) -> tuple[str, int]:
    with CaptureQueriesContext(connection) as queries:
        context = work_pieces(engine, cast.member, places_of(cast.member, engine, TODAY), on=TODAY)
        html = "".join(render_to_string(piece, context) for piece in PIECES)
    return html, len(queries)


def _busy(cast: Cast, engine: Any, number: int) -> None:
    for n in range(number):
        card = make_card(engine, cast.member, title=f"Card {n}", people=(cast.mate,))
        make_entry(engine, cast.member, text=f"Entry {n}", card=card, minutes=10, helpers=(cast.mate,))
        make_reading(engine, cast.member, where=f"place {n}")
    make_job(engine, cast.member)


def test_the_pieces_of_an_engine_show_the_last_of_each_and_the_way_to_the_rest(cast: Cast) -> None:
    engine = make_engine(hands=(cast.member,))
    _busy(cast, engine, 7)
    html, _ = _drawn(cast, engine)
    assert "2 more open" in html
    assert html.count('class="written"') == 5
    assert f"/engines/{engine.pk}/log/" in html
    assert "Back to steam" in html


def test_the_pieces_of_a_new_engine_say_that_nothing_is_there(cast: Cast) -> None:
    html, _ = _drawn(cast, make_engine())
    for words in ("No open card", "Nothing is written yet", "Nothing is measured yet"):
        assert words in html
    assert "Write a card" not in html


def test_the_pieces_ask_the_same_for_one_and_for_twenty(cast: Cast) -> None:
    design = Design.objects.create(name="Marsh Warbler")
    quiet, busy = (make_engine(hands=(cast.member,), design=design, name=name) for name in ("Wren", "Rail"))
    _busy(cast, quiet, 1)
    _busy(cast, busy, 20)
    assert _drawn(cast, quiet)[1] == _drawn(cast, busy)[1]


def test_what_should_have_come_by_now_is_due_on_my_engines_only(cast: Cast) -> None:
    mine, other = make_engine(hands=(cast.member,)), make_engine(name="Rail")
    for engine in (mine, other):
        make_card(engine, cast.owner, state="waits", waits_for="rings", waits_until=TODAY - timedelta(days=1))
        make_wanted(engine, cast.owner, state="promised", promised_by=TODAY)
        make_entry(engine, cast.stranger, stands=False)
        make_reading(engine, cast.stranger, stands=False)
    make_wanted(mine, cast.owner, state="promised", promised_by=TODAY + timedelta(days=1))
    waits = due(cast.member, on=TODAY)
    for rows in (waits.overdue, waits.promised, waits.to_accept, waits.readings_to_accept):
        assert [row.engine for row in rows] == [mine]


def test_my_cards_are_those_i_am_on_that_are_open(cast: Cast) -> None:
    engine = make_engine()
    make_card(engine, cast.owner, title="Mine", people=(cast.member,))
    make_card(engine, cast.owner, title="Another's", people=(cast.mate,))
    make_card(engine, cast.owner, title="Over", people=(cast.member,), state="done", ended_at="2026-01-01T12:00Z")
    assert [card.title for card in due(cast.member, on=TODAY).cards] == ["Mine"]


def test_what_is_due_asks_the_same_for_one_and_for_many(cast: Cast) -> None:
    def asked() -> int:
        with CaptureQueriesContext(connection) as queries:
            due(cast.member, on=TODAY)
        return len(queries)

    engine = make_engine(hands=(cast.member,))

    def add() -> None:
        make_card(engine, cast.owner, people=(cast.member,))
        make_card(engine, cast.owner, state="waits", waits_for="rings", waits_until=TODAY)
        make_wanted(engine, cast.owner, state="promised", promised_by=TODAY)
        make_entry(engine, cast.stranger, stands=False, helpers=(cast.mate,))
        make_reading(engine, cast.stranger, stands=False)

    add()
    one = asked()
    for _ in range(10):
        add()
    assert asked() == one
