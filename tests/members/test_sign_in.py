"""The door: right and wrong passwords, the throttle, where one is sent, what ends a session."""

import logging
from datetime import timedelta

import pytest
from django.contrib.sessions.models import Session
from django.test import Client, override_settings
from django.utils import timezone

from restorations.members.models import Act, Member, SignInAttempt
from tests.cast import PASSWORD, Cast

ADDRESS = "/sign-in/"


def _send(client: Client, name: str = "member", password: str = PASSWORD, **more: str) -> object:
    return client.post(ADDRESS, {"name": name, "password": password, **more})


def test_right_name_and_password_let_a_member_in(cast: Cast, client: Client) -> None:
    response = _send(client)
    assert response.status_code == 302
    assert client.get("/me/").status_code == 200
    assert Act.objects.filter(member=cast.member, verb="signed in").count() == 1


def test_capitals_in_the_name_make_no_difference(cast: Cast, client: Client) -> None:
    assert _send(client, name="  MemBER ").status_code == 302


@pytest.mark.parametrize("password", ["wrong", "Demo", " demo", "demo "])
def test_wrong_password_is_answered_in_words_and_keeps_the_name(cast: Cast, client: Client, password: str) -> None:
    response = _send(client, password=password)
    assert response.status_code == 422
    assert "Name and password do not go together" in response.text
    assert 'value="member"' in response.text
    assert f'value="{password}"' not in response.text


def test_unknown_name_is_answered_like_a_wrong_password(cast: Cast, client: Client) -> None:
    known, unknown = _send(client, password="wrong"), _send(client, name="nobody", password="wrong")
    assert unknown.status_code == known.status_code
    assert ("do not go together" in unknown.text) == ("do not go together" in known.text)


def test_unknown_name_costs_a_password_check_too(cast: Cast, client: Client, monkeypatch: pytest.MonkeyPatch) -> None:
    made = []
    monkeypatch.setattr(Member, "set_password", lambda self, raw: made.append(raw))
    _send(client, name="nobody", password="wrong")
    assert made == ["wrong"]


def test_whoever_has_left_cannot_sign_in_and_is_signed_out(cast: Cast) -> None:
    browser = cast.browser("mate")
    Member.objects.filter(pk=cast.mate.pk).update(left_on=timezone.localdate())
    assert browser.get("/me/").url.startswith(ADDRESS)
    assert _send(Client(), name="mate").status_code == 422


class TestThrottle:
    @pytest.fixture
    def locked_out(self, cast: Cast, client: Client) -> Client:
        for _ in range(8):
            assert _send(client, password="wrong").status_code == 422
        return client

    def test_after_eight_failures_even_the_right_password_is_refused(self, locked_out: Client) -> None:
        response = _send(locked_out)
        assert response.status_code == 429
        assert "Try again in 15 minutes" in response.text

    def test_another_name_from_the_same_place_is_let_in(self, locked_out: Client) -> None:
        assert _send(locked_out, name="mate").status_code == 302

    def test_the_member_elsewhere_is_let_in(self, locked_out: Client) -> None:
        assert _send(Client(REMOTE_ADDR="192.0.2.7")).status_code == 302

    def test_a_refused_try_does_not_lengthen_the_wait(self, locked_out: Client) -> None:
        _send(locked_out)
        assert SignInAttempt.objects.count() == 8

    def test_after_a_quarter_of_an_hour_it_opens_again(self, locked_out: Client) -> None:
        SignInAttempt.objects.update(at=timezone.now() - timedelta(minutes=15, seconds=1))
        assert _send(locked_out).status_code == 302

    def test_the_wait_is_told_in_whole_minutes(self, locked_out: Client) -> None:
        SignInAttempt.objects.update(at=timezone.now() - timedelta(minutes=14, seconds=30))
        assert "Try again in 1 minute," in _send(locked_out).text

    def test_capitals_do_not_give_further_tries(self, locked_out: Client) -> None:
        assert _send(locked_out, name="MEMBER").status_code == 429

    def test_signing_in_clears_the_failures(self, cast: Cast, client: Client) -> None:
        _send(client, password="wrong")
        _send(client)
        assert not SignInAttempt.objects.exists()

    @override_settings(HTTPS=True)
    def test_behind_the_proxy_the_nearest_forwarded_address_counts(self, cast: Cast) -> None:
        spoofed = Client(headers={"x-forwarded-for": "203.0.113.9, 192.0.2.8"})
        _send(spoofed, password="wrong")
        assert SignInAttempt.objects.get().address == "192.0.2.8"

    def test_without_a_proxy_a_forwarding_header_is_not_believed(self, cast: Cast) -> None:
        _send(Client(headers={"x-forwarded-for": "203.0.113.9"}), password="wrong")
        assert SignInAttempt.objects.get().address == "127.0.0.1"


@pytest.mark.parametrize(
    "wanted", ["https://elsewhere.example/", "//elsewhere.example/", "javascript:alert(1)", "/\\elsewhere.example"]
)
def test_signing_in_never_leads_to_another_host(cast: Cast, client: Client, wanted: str) -> None:
    assert "elsewhere" not in _send(client, next=wanted).url
    assert "javascript" not in _send(client, next=wanted).url


def test_signing_in_leads_to_the_page_that_was_asked_for(cast: Cast, client: Client) -> None:
    assert client.get("/people/").url == "/sign-in/?next=/people/"
    assert 'value="/people/"' in client.get("/sign-in/?next=/people/").text
    assert _send(client, next="/people/").url == "/people/"


def test_the_session_gets_a_new_key_at_sign_in_and_dies_at_sign_out(cast: Cast, client: Client) -> None:
    _send(client)
    first = client.session.session_key
    assert client.post("/sign-out/").url == "/sign-in/"
    assert not Session.objects.filter(pk=first).exists()
    assert client.get("/me/").status_code == 302


def test_null_bytes_emoji_and_length_in_the_name_are_answered_in_words(cast: Cast, client: Client) -> None:
    for name in ("\x00", "🚂", "x" * 10_000):
        assert _send(client, name=name).status_code == 422


class TestLog:
    def test_a_refusal_names_a_known_member_and_the_place(
        self, cast: Cast, client: Client, caplog: pytest.LogCaptureFixture
    ) -> None:
        with caplog.at_level(logging.WARNING):
            _send(client, password="wrong-and-secret")
        assert "sign-in refused: member from 127.0.0.1" in caplog.text
        assert "wrong-and-secret" not in caplog.text

    def test_a_password_typed_in_the_wrong_box_is_not_written_down(
        self, cast: Cast, client: Client, caplog: pytest.LogCaptureFixture
    ) -> None:
        with caplog.at_level(logging.WARNING):
            _send(client, name="my-secret-phrase", password="member")
        assert "a name not known here" in caplog.text
        assert "my-secret-phrase" not in caplog.text
