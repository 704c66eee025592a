"""The short code of a mentor: hard to guess, hashed, throttled, never shown."""

from datetime import datetime, timedelta

import pytest
from django.core.exceptions import ValidationError
from hypothesis import given
from hypothesis import strategies as st

from restorations.members.models import Message, ShortCode, ShortCodeAttempt
from restorations.members.models.short_codes import is_easily_guessed
from restorations.members.services.short_codes import (
    TooManyCodes,
    check_short_code,
    has_short_code,
    set_short_code,
    take_short_code_away,
)
from tests.cast import PASSWORD, Cast
from tests.engines.sent import error_beside
from tests.factories import NOON

CODE = "402917"


def _try(cast: Cast, code: str = CODE, *, phone: str = "member", at: datetime = NOON) -> None:
    check_short_code(member=cast.mentor, code=code, phone_of=cast[phone], at=at)


def _wrong(cast: Cast, times: int, *, phone: str = "member", at: datetime = NOON) -> None:
    for _ in range(times):
        with pytest.raises(ValidationError, match="This is not Mungo Askerrigg's short code"):
            _try(cast, "918273", phone=phone, at=at)


@pytest.mark.parametrize(
    "code",
    ["000000", "111111", "123456", "654321", "901234", "135791", "121212", "123123", "112233", "123321", "110110"],
)
def test_what_anybody_would_try_first_is_easily_guessed(code: str) -> None:
    assert is_easily_guessed(code)


@given(st.integers(0, 9), st.integers(0, 9))
def test_every_run_round_the_dial_is_easily_guessed(first: int, step: int) -> None:
    assert is_easily_guessed("".join(str((first + step * i) % 10) for i in range(6)))


@pytest.mark.parametrize("code", ["402917", "730465", "198204"])
def test_six_digits_without_a_pattern_will_do(code: str) -> None:
    assert not is_easily_guessed(code)


def test_the_right_code_is_known_and_only_its_hash_is_kept(cast: Cast) -> None:
    set_short_code(member=cast.mentor, code=CODE, at=NOON)
    _try(cast)
    row = ShortCode.objects.get(member=cast.mentor)
    assert CODE not in row.hashed
    assert "$" in row.hashed
    assert not ShortCodeAttempt.objects.exists()


def test_a_wrong_code_says_so_and_one_that_was_never_set_says_the_same(cast: Cast) -> None:
    _wrong(cast, 1)
    set_short_code(member=cast.mentor, code=CODE, at=NOON)
    _wrong(cast, 1)


def test_after_five_wrong_codes_the_right_one_is_refused_too_until_a_quarter_of_an_hour_has_passed(cast: Cast) -> None:
    set_short_code(member=cast.mentor, code=CODE, at=NOON)
    _wrong(cast, 5)
    with pytest.raises(TooManyCodes, match=r"Try again in 15 minutes.*waits on their desk"):
        _try(cast)
    with pytest.raises(TooManyCodes, match="1 minute,"):
        _try(cast, at=NOON + timedelta(minutes=14, seconds=30))
    _try(cast, at=NOON + timedelta(minutes=15))


def test_guessing_one_mentors_code_from_many_phones_is_counted_together_and_he_hears_of_it_once(cast: Cast) -> None:
    set_short_code(member=cast.mentor, code=CODE, at=NOON)
    _wrong(cast, 3, phone="member")
    _wrong(cast, 2, phone="mate")
    with pytest.raises(TooManyCodes):
        _try(cast, phone="stranger")
    message = Message.objects.get()
    assert message.to == cast.mentor
    assert "the phone of Jory Penhallick" in message.body


def test_guessing_many_mentors_codes_on_one_phone_is_counted_together(cast: Cast) -> None:
    for mentor in (cast.mentor, cast.mentor2):
        set_short_code(member=mentor, code=CODE, at=NOON)
    _wrong(cast, 4)
    with pytest.raises(ValidationError):
        check_short_code(member=cast.mentor2, code="918273", phone_of=cast.member, at=NOON)
    with pytest.raises(TooManyCodes):
        check_short_code(member=cast.mentor2, code=CODE, phone_of=cast.member, at=NOON)
    check_short_code(member=cast.mentor2, code=CODE, phone_of=cast.mate, at=NOON)


def test_twenty_in_a_day_are_the_most_however_slowly(cast: Cast) -> None:
    set_short_code(member=cast.mentor, code=CODE, at=NOON)
    for spell in range(4):
        _wrong(cast, 5, at=NOON + timedelta(minutes=16 * spell))
    with pytest.raises(TooManyCodes, match="hours"):
        _try(cast, at=NOON + timedelta(hours=2))


def test_a_code_taken_away_is_no_code(cast: Cast) -> None:
    set_short_code(member=cast.mentor, code=CODE, at=NOON)
    take_short_code_away(member=cast.mentor)
    assert not has_short_code(cast.mentor)
    with pytest.raises(ValidationError):
        _try(cast)


def _send(cast: Cast, **changes: str) -> object:
    plain = {"current": PASSWORD, "code": CODE, "again": CODE}
    return cast.browser("mentor").post("/me/short-code/", {**plain, **changes})


def test_a_mentor_sets_it_with_the_password_and_no_page_shows_it(cast: Cast) -> None:
    assert _send(cast).status_code == 302  # type: ignore[attr-defined]
    assert has_short_code(cast.mentor)
    assert CODE not in cast.browser("mentor").get("/me/short-code/").text
    assert "set a short code" in cast.browser("mentor").get(f"/people/{cast.mentor.pk}/").text


@pytest.mark.parametrize(
    ("changes", "field", "words"),
    [
        ({"code": "123456", "again": "123456"}, "code", "first anybody would try"),
        ({"code": "40291", "again": "40291"}, "code", "Six digits"),
        ({"code": "٤٠٢٩١٧", "again": "٤٠٢٩١٧"}, "code", "Six digits"),
        ({"again": "402918"}, "again", "not the same"),
        ({"current": "wrong"}, "current", "not your present password"),
        ({"current": ""}, "current", "required"),
    ],
)
def test_what_will_not_do_is_said_beside_its_box_and_the_digits_are_not_given_back(
    cast: Cast, changes: dict[str, str], field: str, words: str
) -> None:
    response = _send(cast, **changes)
    assert response.status_code == 422  # type: ignore[attr-defined]
    assert words in error_beside(response.text, field)  # type: ignore[attr-defined]
    assert CODE not in response.text  # type: ignore[attr-defined]
    assert not has_short_code(cast.mentor)
