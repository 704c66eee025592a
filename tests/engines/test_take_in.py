"""The take-in sheet: filled in as found, signed by both, then frozen; what is found later is added with its date."""

from datetime import timedelta
from typing import Any

import pytest
from django.utils import timezone

from restorations.engines.models import Engine, LaterFinding, TakeIn
from restorations.engines.models.take_in import HAZARDS
from restorations.engines.showing import hazards_in_words
from restorations.members.models import Act
from tests.cast import Cast
from tests.engines.sent import error_beside, once, said_in_box
from tests.factories import make_engine, make_member

NOTHING_LOOKED = dict.fromkeys(HAZARDS, "not_looked")


def _engine(cast: Cast, **changes: Any) -> Engine:
    return make_engine(hands=(cast.member, cast.mate), **changes)


def _write(cast: Cast, engine: Engine, *, who: str = "member", version: int = 1, **facts: Any) -> Any:
    data = once(version=version, **{**NOTHING_LOOKED, **facts})
    return cast.browser(who).post(f"/engines/{engine.pk}/taking-in/write/", data)


def _sign(cast: Cast, engine: Engine, sign: str, *, who: str = "member", version: int = 2, name: str = "") -> Any:
    data = once(version=version, sign=sign, name=name)
    return cast.browser(who).post(f"/engines/{engine.pk}/taking-in/sign/", data)


def _signed_by_both(cast: Cast, engine: Engine) -> TakeIn:
    _write(cast, engine, missing="one lamp")
    _sign(cast, engine, "took_in")
    _sign(cast, engine, "brought", name="Aldous Pell")
    return TakeIn.objects.get(engine=engine)


def test_what_was_found_is_kept_as_written_and_leaves_an_act(cast: Cast) -> None:
    engine = _engine(cast)
    facts = {"fuel": "found", "fuel_note": "half a tank of spirit", "weight_typed": "1 cwt", "marks": ["odd_screws"]}
    assert _write(cast, engine, **facts).status_code == 302
    sheet = TakeIn.objects.get(engine=engine)
    assert (sheet.fuel, sheet.fuel_note, sheet.weight_typed, sheet.marks) == (*facts.values(),)
    assert sheet.weight_kg == pytest.approx(50.80, abs=0.01)  # 112 lb of 0.45359237 kg
    assert Act.objects.about(engine).get().after["fuel"] == "found"


def test_what_nobody_looked_at_is_not_said_to_be_absent(cast: Cast) -> None:
    engine = _engine(cast)
    _write(cast, engine, frost="not_found")
    words = {hazard.title: hazard.words for hazard in hazards_in_words(TakeIn.objects.get(engine=engine))}
    assert words["Signs of frost"] == "not found"
    assert words["Asbestos suspected"] == "not looked"


@pytest.mark.parametrize(
    ("stamped", "papers", "differ"),
    [("B 117", "b-117", False), ("B 117", "B 171", True), ("", "B 117", False), ("B 117", "", False)],
)
def test_a_boiler_that_is_not_the_one_in_its_papers_is_told(
    cast: Cast, stamped: str, papers: str, differ: bool
) -> None:
    engine = _engine(cast)
    _write(cast, engine, stamped_number=stamped, papers_number=papers)
    page = cast.browser("mate").get(f"/engines/{engine.pk}/taking-in/").text
    assert ("The boiler is not the one in its papers." in page) is differ


@pytest.mark.parametrize(
    ("facts", "field", "words"),
    [
        ({"weight_typed": "28 mm"}, "weight_typed", "unit of length"),
        ({"weight_typed": "1,5 kg"}, "weight_typed", "Use a point, not a comma"),
        ({"weight_typed": "90000 kg"}, "weight_typed", "outside what is possible"),
        ({"came_on": "2999-01-01"}, "came_on", "yet to come"),
        ({"missing": "x" * 2001}, "missing", "at most 2000"),
        ({"frost": "perhaps"}, "frost", "not one of the available"),
    ],
)
def test_what_cannot_be_is_refused_and_the_rest_stays_typed(
    cast: Cast, facts: dict[str, str], field: str, words: str
) -> None:
    engine = _engine(cast)
    response = _write(cast, engine, brought_by="Aldous Pell", **facts)
    assert response.status_code == 422
    assert words in error_beside(response.text, field)
    assert said_in_box(response.text, "brought_by") == "Aldous Pell"
    assert not TakeIn.objects.exists()


def test_two_who_write_at_once_are_shown_both(cast: Cast) -> None:
    engine = _engine(cast)
    _write(cast, engine, missing="one lamp")
    response = _write(cast, engine, who="mate", version=1, missing="two lamps")
    assert response.status_code == 409
    assert "one lamp" in response.text
    assert "two lamps" in response.text
    assert TakeIn.objects.get(engine=engine).missing == "one lamp"


def test_the_second_signature_freezes_the_sheet(cast: Cast) -> None:
    engine = _engine(cast, owner_name="The Pell estate", owner_address="Mill Cottage")
    sheet = _signed_by_both(cast, engine)
    assert sheet.is_frozen
    assert sheet.owner_then == "The Pell estate, Mill Cottage"
    response = _write(cast, engine, version=sheet.version, missing="nothing after all")
    assert response.status_code == 422
    assert "an addition" in response.text
    sheet.refresh_from_db()
    assert sheet.missing == "one lamp"


def test_whoever_took_it_in_signs_in_their_own_name(cast: Cast) -> None:
    engine = _engine(cast)
    sheet = _signed_by_both(cast, engine)
    signed = sheet.holding_signatures()
    assert (signed["took_in"].name, signed["took_in"].member) == (cast.member.full_name, cast.member)
    assert (signed["brought"].name, signed["brought"].member) == ("Aldous Pell", None)


def test_one_person_does_not_sign_for_both(cast: Cast) -> None:
    engine = _engine(cast)
    _write(cast, engine)
    _sign(cast, engine, "took_in")
    response = _sign(cast, engine, "brought", name=cast.member.full_name)
    assert response.status_code == 422
    assert "Two different people sign" in response.text
    assert not TakeIn.objects.get(engine=engine).is_frozen


def test_a_change_after_the_first_signature_asks_for_it_again(cast: Cast) -> None:
    engine = _engine(cast)
    _write(cast, engine)
    _sign(cast, engine, "took_in")
    _write(cast, engine, version=2, missing="one lamp")
    assert TakeIn.objects.get(engine=engine).holding_signatures() == {}
    response = _sign(cast, engine, "brought", version=2, name="Aldous Pell")
    assert response.status_code == 422
    assert "changed while you read it" in response.text


def test_a_signature_without_a_name_is_asked_for_it(cast: Cast) -> None:
    engine = _engine(cast)
    _write(cast, engine)
    response = _sign(cast, engine, "brought")
    assert response.status_code == 422
    assert "types their own name" in response.text


@pytest.mark.parametrize("who", ["stranger", "secretary", "inspector", "administrator"])
def test_who_may_not_change_the_engine_does_not_write_its_sheet(cast: Cast, who: str) -> None:
    engine = _engine(cast)
    assert _write(cast, engine, who=who).status_code == 403
    assert not TakeIn.objects.exists()


def _add(cast: Cast, engine: Engine, *, who: str = "member", **changes: str) -> Any:
    data = once(**{"text": "crack in the left frame", "found_on": timezone.localdate().isoformat(), **changes})
    return cast.browser(who).post(f"/engines/{engine.pk}/taking-in/later/", data)


def test_what_is_found_later_is_added_with_its_date(cast: Cast) -> None:
    engine = _engine(cast)
    _signed_by_both(cast, engine)
    assert _add(cast, engine).status_code == 302
    page = cast.browser("stranger").get(f"/engines/{engine.pk}/taking-in/").text
    assert "crack in the left frame" in page
    assert LaterFinding.objects.get().found_on == timezone.localdate()


def test_what_is_yet_to_be_found_is_refused_and_stays_typed(cast: Cast) -> None:
    engine = _engine(cast)
    _signed_by_both(cast, engine)
    tomorrow = (timezone.localdate() + timedelta(days=1)).isoformat()
    response = _add(cast, engine, found_on=tomorrow)
    assert response.status_code == 422
    assert "yet to come" in error_beside(response.text, "found_on")
    assert "crack in the left frame" in response.text


@pytest.mark.parametrize(("who", "status"), [("member", 302), ("mentor", 302), ("mate", 403), ("stranger", 403)])
def test_an_addition_is_struck_out_by_its_writer_or_a_mentor(cast: Cast, who: str, status: int) -> None:
    engine = _engine(cast)
    _signed_by_both(cast, engine)
    _add(cast, engine)
    row = LaterFinding.objects.get()
    address = f"/engines/{engine.pk}/taking-in/later/{row.pk}/strike/"
    assert cast.browser(who).post(address, once(reason="only a scratch")).status_code == status
    row.refresh_from_db()
    assert row.is_struck is (status == 302)


def test_the_same_form_twice_is_one_sheet(cast: Cast) -> None:
    engine, data = _engine(cast), once(version=1, **NOTHING_LOOKED)
    for _ in range(2):
        assert cast.browser("member").post(f"/engines/{engine.pk}/taking-in/write/", data).status_code == 302
    assert TakeIn.objects.get(engine=engine).version == 2


def test_a_stranger_never_learns_of_a_private_engines_sheet(cast: Cast) -> None:
    engine = make_engine(is_private=True, owner_member=cast.owner, hands=(cast.member,))
    _write(cast, engine)
    for page in ("", "write/", "sign/", "later/"):
        assert cast.browser("stranger").get(f"/engines/{engine.pk}/taking-in/{page}").status_code == 404


def test_signed_names_are_anybodys(cast: Cast) -> None:
    """Whoever brought it need not be a member, and a member of that name is no hindrance."""
    make_member(full_name="Aldous Pell")
    assert _signed_by_both(cast, _engine(cast)).is_frozen
