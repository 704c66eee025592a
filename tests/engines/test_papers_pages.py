"""Papers that lapse open the steam gate, or not; the owner's consents."""

from datetime import date, timedelta
from typing import Any

import pytest
from django.db import IntegrityError, transaction
from django.utils import timezone

from restorations.engines.facts import (
    certificates_allow_steam,
    checksum_of_papers,
    consents_to,
    steps_that_need_consent,
)
from restorations.engines.models import Certificate, Engine
from restorations.engines.showing import standing
from restorations.knowledge import load, split_id
from restorations.members.models import Act
from tests.cast import Cast
from tests.engines.sent import HTMX, error_beside, once
from tests.factories import LONG_AGO, TODAY, make_engine

NEXT_YEAR = TODAY + timedelta(days=365)


def _paper(engine: Engine, kind: str = "hydraulic_test", **changes: Any) -> Certificate:
    fields = {"passed_on": LONG_AGO, "lapses_on": NEXT_YEAR, "by_whom": "I. Callow", "recorded_by": engine.made_by}
    return engine.certificates.create(kind=kind, **{**fields, **changes})


def _both_tests(engine: Engine, **changes: Any) -> list[Certificate]:
    return [_paper(engine, kind, **changes) for kind in ("hydraulic_test", "steam_test")]


def test_no_paper_keeps_the_steam_gate_shut(cast: Cast) -> None:
    engine = make_engine()
    assert not certificates_allow_steam(engine, TODAY)
    assert "Not to be steamed." in cast.browser("member").get(f"/engines/{engine.pk}/papers/").text


def test_both_tests_in_date_open_it(cast: Cast) -> None:
    engine = make_engine()
    _both_tests(engine)
    assert certificates_allow_steam(engine, TODAY)


@pytest.mark.parametrize("kind", ["hydraulic_test", "steam_test"])
def test_one_test_alone_does_not(cast: Cast, kind: str) -> None:
    engine = make_engine()
    _paper(engine, kind)
    _paper(engine, "insurance")
    assert not certificates_allow_steam(engine, TODAY)


@pytest.mark.parametrize(("days", "allowed"), [(-1, False), (0, True), (1, True)])
def test_a_test_holds_to_its_last_day(cast: Cast, days: int, allowed: bool) -> None:
    engine = make_engine()
    _both_tests(engine, lapses_on=TODAY + timedelta(days=days))
    assert certificates_allow_steam(engine, TODAY) is allowed


def test_a_paper_that_is_struck_out_opens_nothing(cast: Cast) -> None:
    engine = make_engine()
    _, steam = _both_tests(engine)
    before = checksum_of_papers(engine)
    response = cast.browser("inspector").post(
        f"/engines/{engine.pk}/papers/{steam.pk}/strike/", once(reason="the gauge read wrong")
    )
    assert response.status_code == 302
    assert not certificates_allow_steam(engine, TODAY)
    assert checksum_of_papers(engine) != before
    assert "the gauge read wrong" in cast.browser("member").get(f"/engines/{engine.pk}/papers/").text


@pytest.mark.parametrize(
    ("days", "words", "shape"),
    [(-1, "lapsed", "stop"), (0, "lapses today", "work"), (1, "1 day left", "work"), (12, "12 days left", "work"),
     (91, "in date", "good")],
)  # fmt: skip
def test_how_a_paper_stands_is_said_in_a_word(cast: Cast, days: int, words: str, shape: str) -> None:
    stands = standing(_paper(make_engine(), lapses_on=TODAY + timedelta(days=days)), on=TODAY)
    assert (stands.words, stands.shape) == (words, shape)


def _sent(**changes: Any) -> dict[str, Any]:
    today = timezone.localdate()
    fields = {
        "kind": "hydraulic_test", "passed_on": today.isoformat(), "by_whom": "I. Callow", "number": "HT 14",
        "lapses_on": (today + timedelta(days=400)).isoformat(),
    }  # fmt: skip
    return once(**{**fields, **changes})


def _record(cast: Cast, name: str, engine: Engine, **changes: Any) -> Any:
    return cast.browser(name).post(f"/engines/{engine.pk}/papers/", _sent(**changes))


def test_the_inspector_records_a_boiler_test(cast: Cast) -> None:
    engine = make_engine(owner_member=cast.owner)
    assert _record(cast, "inspector", engine).status_code == 302
    row = engine.certificates.get()
    assert (row.kind, row.number, row.recorded_by) == ("hydraulic_test", "HT 14", cast.inspector)
    assert Act.objects.about(engine).get().verb == "recorded a paper"


@pytest.mark.parametrize("kind", ["hydraulic_test", "steam_test", "gas_tank"])
def test_an_inspector_among_the_hands_records_no_boiler_paper_of_it(cast: Cast, kind: str) -> None:
    engine = make_engine(hands=(cast.inspector,))
    response = _record(cast, "inspector", engine, kind=kind)
    assert response.status_code == 403
    assert "Nobody passes a boiler that they own or work on" in response.text
    assert "Not your own boiler." in cast.browser("inspector").get(f"/engines/{engine.pk}/papers/").text


@pytest.mark.parametrize(("kind", "status"), [("insurance", 302), ("other", 302), ("hydraulic_test", 403)])
def test_the_secretary_records_what_is_no_boiler_paper(cast: Cast, kind: str, status: int) -> None:
    assert _record(cast, "secretary", make_engine(), kind=kind).status_code == status


@pytest.mark.parametrize(
    ("changes", "field", "words"),
    [
        ({"passed_on": "2999-01-01", "lapses_on": "2999-06-01"}, "passed_on", "yet to come"),
        ({"passed_on": "1066-10-14"}, "passed_on", "Look at the year again"),
        ({"passed_on": "2020-05-01", "lapses_on": "2020-05-01"}, "lapses_on", "on or before the day it passed"),
        ({"passed_on": "2020-05-01", "lapses_on": "2062-05-01"}, "lapses_on", "more than 15 years"),
        ({"lapses_on": "next spring"}, "lapses_on", "valid date"),
        ({"kind": "dog_licence"}, "kind", "not one of the available"),
        ({"by_whom": ""}, "by_whom", "required"),
    ],
)
def test_a_paper_that_cannot_be_is_refused(cast: Cast, changes: dict[str, str], field: str, words: str) -> None:
    engine = make_engine()
    response = cast.browser("inspector").post(f"/engines/{engine.pk}/papers/", _sent(**changes), headers=HTMX)
    assert response.status_code == 422
    assert response.text.strip().startswith('<div id="papers-desk">')
    assert words in error_beside(response.text, field)
    assert not engine.certificates.exists()


def test_the_same_paper_twice_is_one(cast: Cast) -> None:
    engine, data = make_engine(), _sent()
    for _ in range(2):
        cast.browser("inspector").post(f"/engines/{engine.pk}/papers/", data)
    assert engine.certificates.count() == 1


def test_the_secretary_sees_the_papers_of_a_private_engine_and_nothing_else(cast: Cast) -> None:
    engine = make_engine(is_private=True, owner_member=cast.owner)
    browser = cast.browser("secretary")
    pages = {page: browser.get(f"/engines/{engine.pk}/{page}/").status_code for page in ("papers", "people", "history")}
    assert pages == {"papers": 200, "people": 404, "history": 404}


def _consent(cast: Cast, name: str, engine: Engine, **changes: Any) -> Any:
    data = {"what": "Bore the cylinders out", "on": timezone.localdate().isoformat(), **changes}
    return cast.browser(name).post(f"/engines/{engine.pk}/consents/", once(**data))


def test_an_owner_consents_in_their_own_name(cast: Cast) -> None:
    engine = make_engine(owner_member=cast.owner)
    assert _consent(cast, "owner", engine).status_code == 302
    row = engine.consents.get()
    assert (row.given_by, row.how, row.recorded_by) == (cast.owner.full_name, "in_person", cast.owner)


def test_the_secretary_consents_for_the_club_and_says_who_decided(cast: Cast) -> None:
    engine = make_engine()
    without = _consent(cast, "secretary", engine)
    assert "required" in error_beside(without.text, "given_by")
    assert _consent(cast, "secretary", engine, given_by="the committee", how="in_person").status_code == 302
    assert engine.consents.get().given_by == "the committee"


@pytest.mark.parametrize(("name", "status"), [("mentor", 302), ("secretary", 403), ("member", 403)])
def test_a_mentor_writes_down_what_an_owner_from_outside_said(cast: Cast, name: str, status: int) -> None:
    engine = make_engine(owner_name="The estate of J. Marl", hands=(cast.member,))
    assert _consent(cast, name, engine, given_by="J. Marl's heir", how="letter").status_code == status


def test_consent_covers_one_step_of_this_engine_until_it_is_struck_out(cast: Cast) -> None:
    engine = make_engine(owner_member=cast.owner, configuration={"kind": "tank_locomotive"})
    action = next(iter(steps_that_need_consent(engine)))
    before = checksum_of_papers(engine)
    assert _consent(cast, "owner", engine, action=action).status_code == 302
    assert consents_to(engine) == {action}
    assert checksum_of_papers(engine) != before
    row = engine.consents.get()
    address = f"/engines/{engine.pk}/consents/{row.pk}/strike/"
    assert cast.browser("owner").post(address, once(reason="changed my mind")).status_code == 302
    assert consents_to(engine) == set()


@pytest.mark.parametrize(
    ("changes", "field", "words"),
    [
        ({"action": "drink_tea@left"}, "action", "not one of the available"),
        ({"on": "2999-01-01"}, "on", "yet to come"),
        ({"what": ""}, "what", "required"),
        ({"what": "x" * 10000}, "what", "at most 200"),
    ],
)
def test_a_consent_that_cannot_be_is_refused(cast: Cast, changes: dict[str, str], field: str, words: str) -> None:
    engine = make_engine(owner_member=cast.owner)
    response = _consent(cast, "owner", engine, **changes)
    assert response.status_code == 422
    assert words in error_beside(response.text, field)
    assert not engine.consents.exists()


def test_a_link_from_a_step_fills_in_what_is_asked_for(cast: Cast) -> None:
    engine = make_engine(owner_member=cast.owner)
    action, name = next(iter(steps_that_need_consent(engine).items()))
    page = cast.browser("owner").get(f"/engines/{engine.pk}/consents/", {"action": action}).text
    assert f'<option value="{action}" selected>' in page
    assert name in page


def test_only_remedies_that_cannot_be_undone_need_consent(cast: Cast) -> None:
    remedies = load().remedies
    asked = {split_id(action)[0] for action in steps_that_need_consent(make_engine())}
    assert asked
    assert all(remedies[entry].cannot_be_undone for entry in asked)


def test_a_paper_is_never_dated_before_it_passed(cast: Cast) -> None:
    with pytest.raises(IntegrityError, match="certificate_lapses_after_it_passed"), transaction.atomic():
        _paper(make_engine(), passed_on=TODAY, lapses_on=date(2020, 1, 1))
