"""The table of acts by place, asked as the club would ask."""

import pytest
from django.core.exceptions import PermissionDenied

from restorations.members.permissions import ALLOWED, ENGINE_PLACES, PLACES, allowed, may, office_places, require
from tests.cast import Cast
from tests.factories import TODAY

CASES = [
    ("hands log work", "log work", {"member", "hands"}, True),
    ("another member only helps", "log work", {"member"}, False),
    ("another member helps", "log work as a helper", {"member"}, True),
    ("the secretary's office adds nothing at the bench", "do a risky step", {"member", "secretary"}, False),
    ("a secretary who is one of the hands does", "do a risky step", {"member", "secretary", "hands"}, True),
    ("hands plan the work", "plan work", {"member", "hands"}, True),
    ("another member plans no work", "plan work", {"member"}, False),
    ("the secretary repays", "record a repayment", {"member", "secretary"}, True),
    ("hands repay nobody", "record a repayment", {"member", "hands"}, False),
    ("the owner sees what was spent", "see what was spent", {"member", "owner"}, True),
    ("hands give no go-ahead", "give a go-ahead", {"member", "hands", "owner"}, False),
    ("a mentor does", "give a go-ahead", {"member", "mentor"}, True),
    ("an inspector only for boiler work", "give a go-ahead", {"member", "inspector"}, False),
    ("an inspector for boiler work", "give a go-ahead for boiler work", {"member", "inspector"}, True),
    ("anybody stops an engine", "stop an engine", {"member"}, True),
    ("only an inspector records a boiler test", "record a certificate", {"member", "mentor", "owner"}, False),
    ("the owner consents", "consent as the owner", {"member", "owner"}, True),
    ("the secretary does not consent for an owner", "consent as the owner", {"member", "secretary"}, False),
    ("the secretary invites", "invite", {"member", "secretary"}, True),
    ("the secretary sets no roles", "set roles", {"member", "secretary"}, False),
    ("the administrator sees no private engine", "see a private engine", {"member", "administrator"}, False),
    ("the secretary sees papers only", "see a private engine", {"member", "secretary"}, False),
    ("the secretary sees papers", "see the state and papers of a private engine", {"member", "secretary"}, True),
    ("nobody stands nowhere", "see an engine", set(), False),
]


@pytest.mark.parametrize(("act", "places", "answer"), [case[1:] for case in CASES], ids=[case[0] for case in CASES])
def test_the_table_answers(act: str, places: set[str], answer: bool) -> None:
    assert allowed(act, frozenset(places)) is answer


@pytest.mark.parametrize("act", ALLOWED)
def test_never_ones_own_beats_every_place(act: str) -> None:
    assert allowed(act, PLACES)
    assert not allowed(act, PLACES, own=True)


@pytest.mark.parametrize("act", ALLOWED)
def test_an_office_only_adds(act: str) -> None:
    for place in PLACES:
        assert not (allowed(act, frozenset({"member"})) and not allowed(act, frozenset({"member", place})))


def test_every_place_in_the_table_is_a_place() -> None:
    assert set().union(*ALLOWED.values()) <= PLACES


def test_a_mistyped_place_or_act_is_an_error_not_a_no() -> None:
    with pytest.raises(ValueError, match="no such place: hand"):
        allowed("log work", frozenset({"hand"}))
    with pytest.raises(KeyError):
        allowed("log works", frozenset({"hands"}))


def test_places_follow_offices_and_end_with_leaving(cast: Cast) -> None:
    assert office_places(cast.stranger) == {"member"}
    assert office_places(cast.mentor) == {"member", "mentor"}
    assert not office_places(cast.secretary) & set(ENGINE_PLACES)
    cast.mentor.left_on = TODAY
    assert office_places(cast.mentor) == frozenset()
    assert not may(cast.mentor, "see an engine")


def test_a_refusal_says_who_could(cast: Cast) -> None:
    with pytest.raises(PermissionDenied, match="“Invite” is for the secretary or administrator"):
        require(cast.mentor, "invite")
    assert "is for the administrator" in cast.browser("mentor").get(f"/people/{cast.mate.pk}/offices/").text
