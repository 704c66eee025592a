"""The oil chart, the fastenings table, and the notes on a design."""

from typing import Any

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from restorations.engines.models import Design, DesignNote, Engine, Fastening, OilPoint
from restorations.members.models import Act
from tests.cast import Cast
from tests.engines.sent import error_beside, once, said_in_box
from tests.factories import make_engine

POINT = {"point": "Left crosshead", "oil": "motion oil 68", "how_often": "each_run", "note": "two drops"}
LINE = {
    "where": "Left cylinder, front cover", "thread": "6 BA hexagon", "length_typed": "3/8 in", "how_many": "8",
    "spanner": "6 BA box", "note": "",
}  # fmt: skip


def _engine(cast: Cast) -> Engine:
    return make_engine(hands=(cast.member, cast.mate))


def _post(cast: Cast, address: str, who: str = "member", **data: Any) -> Any:
    return cast.browser(who).post(address, once(version=data.pop("version", 1), **data))


def test_a_point_of_the_oil_chart_is_written_down(cast: Cast) -> None:
    engine = _engine(cast)
    assert _post(cast, f"/engines/{engine.pk}/oil-chart/", **POINT).status_code == 302
    row = OilPoint.objects.get()
    assert (row.point, row.oil, row.how_often, row.made_by) == (*list(POINT.values())[:3], cast.member)
    assert Act.objects.about(engine).get().verb == "added to the oil chart"


def test_a_fastening_keeps_its_length_as_typed_and_in_millimetres(cast: Cast) -> None:
    engine = _engine(cast)
    assert _post(cast, f"/engines/{engine.pk}/fastenings/", **LINE).status_code == 302
    row = Fastening.objects.get()
    assert (row.length_typed, row.length_mm, row.how_many) == ("3/8 in", pytest.approx(9.525), 8)


def test_the_oil_chart_is_read_in_the_order_it_is_gone_round(cast: Cast) -> None:
    engine = _engine(cast)
    for often in ("yearly", "each_run", "after_run"):
        _post(cast, f"/engines/{engine.pk}/oil-chart/", **{**POINT, "how_often": often, "point": f"point {often}"})
    page = cast.browser("stranger").get(f"/engines/{engine.pk}/oil-chart/").text
    places = [page.index(f"point {often}") for often in ("each_run", "after_run", "yearly")]
    assert places == sorted(places)
    assert "title-block" in page


@pytest.mark.parametrize(
    ("changes", "field", "words"),
    [
        ({"length_typed": "12 kg"}, "length_typed", "unit of mass"),
        ({"length_typed": "9**9 mm"}, "length_typed", "not a number with a unit"),
        ({"how_many": "0"}, "how_many", "greater than or equal to 1"),
        ({"how_many": "9000"}, "how_many", "less than or equal to 500"),
        ({"thread": ""}, "thread", "required"),
    ],
)
def test_a_line_that_cannot_be_is_refused_and_the_rest_stays_typed(
    cast: Cast, changes: dict[str, str], field: str, words: str
) -> None:
    engine = _engine(cast)
    response = _post(cast, f"/engines/{engine.pk}/fastenings/", **{**LINE, **changes})
    assert response.status_code == 422
    assert words in error_beside(response.text, field)
    assert said_in_box(response.text, "where") == LINE["where"]
    assert not Fastening.objects.exists()


def test_a_line_is_changed_by_the_other_pair_of_hands(cast: Cast) -> None:
    engine = _engine(cast)
    _post(cast, f"/engines/{engine.pk}/oil-chart/", **POINT)
    row = OilPoint.objects.get()
    address = f"/engines/{engine.pk}/oil-chart/{row.pk}/"
    assert _post(cast, address, "mate", **{**POINT, "oil": "steam oil 460"}).status_code == 302
    row.refresh_from_db()
    assert (row.oil, row.version) == ("steam oil 460", 2)


def test_two_who_change_a_line_at_once_are_shown_both(cast: Cast) -> None:
    engine = _engine(cast)
    _post(cast, f"/engines/{engine.pk}/fastenings/", **LINE)
    row = Fastening.objects.get()
    address = f"/engines/{engine.pk}/fastenings/{row.pk}/"
    _post(cast, address, "mate", **{**LINE, "thread": "M3 cap head"})
    response = _post(cast, address, **{**LINE, "thread": "5 BA hexagon"})
    assert response.status_code == 409
    assert "M3 cap head" in response.text
    assert "5 BA hexagon" in response.text
    row.refresh_from_db()
    assert row.thread == "M3 cap head"


def test_a_line_is_struck_out_with_a_reason_and_stays_readable(cast: Cast) -> None:
    engine = _engine(cast)
    _post(cast, f"/engines/{engine.pk}/oil-chart/", **POINT)
    row = OilPoint.objects.get()
    address = f"/engines/{engine.pk}/oil-chart/{row.pk}/strike/"
    assert _post(cast, address).status_code == 422
    assert _post(cast, address, reason="has no cup there").status_code == 302
    page = cast.browser("member").get(f"/engines/{engine.pk}/oil-chart/").text
    assert "has no cup there" in page
    assert cast.browser("member").get(f"/engines/{engine.pk}/oil-chart/{row.pk}/").status_code == 404


@pytest.mark.parametrize(("who", "status"), [("owner", 302), ("mentor", 302), ("stranger", 403), ("secretary", 403)])
def test_the_tables_are_kept_by_hands_owner_and_mentors(cast: Cast, who: str, status: int) -> None:
    engine = make_engine(owner_member=cast.owner)
    assert _post(cast, f"/engines/{engine.pk}/oil-chart/", who, **POINT).status_code == status


def test_a_line_of_another_engine_is_not_changed_from_here(cast: Cast) -> None:
    engine, other = _engine(cast), make_engine(name="Heron")
    row = OilPoint.objects.create(engine=other, point="axlebox", oil="any", made_by=cast.mentor)
    assert _post(cast, f"/engines/{engine.pk}/oil-chart/{row.pk}/", **POINT).status_code == 404


def _queries(cast: Cast, address: str) -> int:
    browser = cast.browser("member")
    browser.get(address)
    with CaptureQueriesContext(connection) as queries:
        assert browser.get(address).status_code == 200
    return len(queries)


@pytest.mark.parametrize("table", ["oil-chart", "fastenings"])
def test_ten_lines_cost_no_more_queries_than_one(cast: Cast, table: str) -> None:
    engine, sent = _engine(cast), POINT if table == "oil-chart" else LINE
    address = f"/engines/{engine.pk}/{table}/"
    _post(cast, address, **sent)
    one = _queries(cast, address)
    for _ in range(9):
        _post(cast, address, **sent)
    assert _queries(cast, address) == one


def _design(cast: Cast) -> Design:
    design = Design.objects.create(name="Brindle")
    make_engine(name="Wren", design=design, hands=(cast.member,), owner_member=cast.owner)
    return design


@pytest.mark.parametrize(
    ("who", "status"), [("member", 302), ("owner", 302), ("mentor", 302), ("stranger", 403), ("secretary", 403)]
)
def test_notes_on_a_design_are_written_by_those_who_know_one(cast: Cast, who: str, status: int) -> None:
    design = _design(cast)
    response = _post(cast, f"/designs/{design.pk}/notes/", who, kind="trap", text="The left rod fits both ways round.")
    assert response.status_code == status
    assert design.design_notes.exists() is (status == 302)


def test_a_note_is_struck_out_and_stays_readable_beside_its_reason(cast: Cast) -> None:
    design = _design(cast)
    _post(cast, f"/designs/{design.pk}/notes/", kind="trap", text="The left rod fits both ways round.")
    row = DesignNote.objects.get()
    address = f"/designs/{design.pk}/notes/{row.pk}/strike/"
    assert _post(cast, address, "owner", reason="no").status_code == 403
    assert _post(cast, address, reason="only on one of them").status_code == 302
    notes = cast.browser("stranger").get(f"/designs/{design.pk}/notes/").text
    assert "only on one of them" in notes
    assert "The left rod" not in cast.browser("stranger").get(f"/designs/{design.pk}/").text


def test_an_empty_note_is_refused(cast: Cast) -> None:
    design = _design(cast)
    response = _post(cast, f"/designs/{design.pk}/notes/", kind="trap", text="")
    assert response.status_code == 422
    assert "required" in error_beside(response.text, "text")
