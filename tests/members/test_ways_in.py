"""Invitations and one-time slips: shown once, kept hashed, used once, withdrawn, lapsed."""

import re
import uuid
from datetime import timedelta

import pytest
from django.core.exceptions import ValidationError
from django.db import transaction
from django.test import Client
from django.utils import timezone

from restorations.members.models import Act, Invitation, Member, Message, OneTimeSlip, SignInAttempt
from restorations.members.models.invitations import hashed, new_secret
from restorations.members.services import invitations
from tests.cast import Cast
from tests.factories import SECRET, make_invitation, make_member, make_slip

NEW = {"password": "three old kettles", "again": "three old kettles"}


def _shown(text: str) -> str:
    found = re.search(r"<strong>(http://testserver/(?:join|slip)/\S+/)</strong>", text)
    assert found
    return found[1]


class TestInviting:
    def _invite(self, cast: Cast, mark: uuid.UUID | None = None, **data: str) -> object:
        fields = {"full_name": "Ada Newcome", "submission": str(mark or uuid.uuid4()), **data}
        return cast.browser("secretary").post("/people/invite/", fields)

    def test_the_address_is_shown_once_and_kept_hashed(self, cast: Cast) -> None:
        secret = _shown(self._invite(cast).text).rstrip("/").rpartition("/")[2]
        invitation = Invitation.objects.get()
        assert invitation.secret_hash == hashed(secret)
        assert invitation.made_by == cast.secretary
        assert secret not in str(list(Act.objects.values()))

    def test_sent_twice_makes_one_invitation_and_says_so(self, cast: Cast) -> None:
        mark = uuid.uuid4()
        self._invite(cast, mark)
        again = self._invite(cast, mark)
        assert "sent twice" in again.text
        assert Invitation.objects.count() == 1

    def test_with_an_e_mail_address_the_way_in_is_queued(self, cast: Cast) -> None:
        response = self._invite(cast, email="ada@mail.example")
        message = Message.objects.get()
        assert message.to_address == "ada@mail.example"
        assert _shown(response.text) in message.body

    def test_bad_e_mail_address_keeps_what_was_typed(self, cast: Cast) -> None:
        response = self._invite(cast, email="not an address")
        assert response.status_code == 422
        assert 'value="Ada Newcome"' in response.text
        assert 'value="not an address"' in response.text
        assert not Invitation.objects.exists()

    def test_markup_in_the_name_is_shown_as_text(self, cast: Cast) -> None:
        response = self._invite(cast, full_name="<script>alert(1)</script>")
        assert "<script>alert" not in response.text
        assert "&lt;script&gt;" in response.text

    def test_withdrawing_closes_it_and_is_the_same_twice(self, cast: Cast) -> None:
        invitation = make_invitation(cast.secretary)
        for _ in range(2):
            assert cast.browser("secretary").post(f"/people/invitations/{invitation.pk}/withdraw/").status_code == 302
        assert Client().get(f"/join/{SECRET}/").status_code == 404
        assert Act.objects.filter(verb="withdrew the invitation").count() == 1

    def test_the_list_asks_the_database_no_more_for_ten_than_for_one(
        self, cast: Cast, django_assert_num_queries: object
    ) -> None:
        browser = cast.browser("secretary")
        make_invitation(cast.secretary, joined=cast.mate)
        with django_assert_num_queries(4):
            browser.get("/people/invite/")
        for number in range(9):
            make_invitation(cast.secretary, secret=f"secret{number}", joined=make_member())
        with django_assert_num_queries(4):
            browser.get("/people/invite/")


class TestJoining:
    def _join(self, client: Client, **data: str) -> object:
        return client.post(f"/join/{SECRET}/", {"sign_in_name": "Ada.N", **NEW, **data})

    def test_whoever_joins_is_a_plain_member_and_signed_in(self, cast: Cast, client: Client) -> None:
        invitation = make_invitation(cast.secretary, email="ada@mail.example")
        assert "Welcome, Ada Newcome" in client.get(f"/join/{SECRET}/").text
        assert self._join(client).status_code == 302
        ada = Member.objects.get(sign_in_name="ada.n")
        assert (ada.full_name, ada.email, ada.offices) == ("Ada Newcome", "ada@mail.example", ())
        invitation.refresh_from_db()
        assert invitation.joined == ada
        assert client.get("/me/").status_code == 200

    def test_offices_and_names_cannot_be_slipped_in(self, cast: Cast, client: Client) -> None:
        make_invitation(cast.secretary)
        self._join(client, is_administrator="on", full_name="Somebody Else", is_mentor="1")
        ada = Member.objects.get(sign_in_name="ada.n")
        assert (ada.offices, ada.full_name) == ((), "Ada Newcome")

    def test_it_works_once(self, cast: Cast, client: Client) -> None:
        make_invitation(cast.secretary)
        self._join(client)
        second = self._join(Client(), sign_in_name="ada2")
        assert second.status_code == 404
        assert "no longer works" in second.text
        assert not Member.objects.filter(sign_in_name="ada2").exists()

    @pytest.mark.parametrize(
        ("field", "value", "words"),
        [
            ("sign_in_name", "MEMBER", "is taken already"),
            ("sign_in_name", "ada newcome", "Letters, digits"),
            ("sign_in_name", "a\x00b", "Null characters are not allowed"),
            ("password", "short", "too short"),
            ("password", "password123", "too common"),
            ("password", "Our club 1!", "club&#x27;s name"),
            ("password", "Ada Newcome", "too similar"),
            ("again", "three new kettles", "not the same"),
        ],
    )
    def test_what_is_wrong_is_said_and_nothing_used_up(
        self, cast: Cast, client: Client, field: str, value: str, words: str
    ) -> None:
        invitation = make_invitation(cast.secretary)
        response = self._join(client, **{field: value})
        assert response.status_code == 422
        assert words in response.text
        invitation.refresh_from_db()
        assert invitation.used_at is None

    def test_a_name_taken_while_the_form_was_read_uses_nothing_up(self, cast: Cast) -> None:
        invitation = make_invitation(cast.secretary)
        with pytest.raises(ValidationError, match="taken already"), transaction.atomic():
            invitations.join(secret=SECRET, sign_in_name="mate", password="x", at=timezone.now())
        invitation.refresh_from_db()
        assert invitation.used_at is None

    @pytest.mark.parametrize(
        "dead",
        [
            {"used_at": timezone.now()},
            {"withdrawn_at": timezone.now()},
            {"lapses_at": timezone.now() - timedelta(minutes=1)},
        ],
        ids=["used", "withdrawn", "lapsed"],
    )
    def test_a_dead_link_says_so(self, cast: Cast, client: Client, dead: dict[str, object]) -> None:
        make_invitation(cast.secretary, **dead)
        response = client.get(f"/join/{SECRET}/")
        assert response.status_code == 404
        assert "no longer works" in response.text

    def test_links_die_with_whoever_made_them(self, cast: Cast, client: Client) -> None:
        make_invitation(cast.secretary)
        Member.objects.filter(pk=cast.secretary.pk).update(left_on=timezone.localdate())
        assert client.get(f"/join/{SECRET}/").status_code == 404

    def test_a_long_password_is_refused_in_words_not_cut(self, cast: Cast, client: Client) -> None:
        make_invitation(cast.secretary)
        response = self._join(client, password="k" * 129, again="k" * 129)
        assert response.status_code == 422
        assert "at most 128 characters" in response.text


class TestSlips:
    def _print(self, cast: Cast, mark: uuid.UUID | None = None) -> object:
        address = f"/people/{cast.mate.pk}/slip/"
        return cast.browser("administrator").post(address, {"submission": str(mark or uuid.uuid4())})

    def test_the_printed_address_sets_a_new_password_and_ends_other_sessions(self, cast: Cast) -> None:
        elsewhere = cast.browser("mate")
        address = _shown(self._print(cast).text)
        at_home = Client()
        assert "mate" in at_home.get(address).text
        assert at_home.post(address, NEW).status_code == 302
        assert at_home.get("/me/").status_code == 200
        assert elsewhere.get("/me/").status_code == 302
        assert Client().post("/sign-in/", {"name": "mate", "password": NEW["password"]}).status_code == 302

    def test_it_works_once(self, cast: Cast) -> None:
        address = _shown(self._print(cast).text)
        Client().post(address, NEW)
        assert Client().post(address, {"password": "four old kettles", "again": "four old kettles"}).status_code == 404

    def test_a_second_slip_makes_the_first_useless(self, cast: Cast) -> None:
        first, second = _shown(self._print(cast).text), _shown(self._print(cast).text)
        assert Client().get(first).status_code == 404
        assert Client().get(second).status_code == 200

    def test_sent_twice_prints_one(self, cast: Cast) -> None:
        mark = uuid.uuid4()
        self._print(cast, mark)
        assert "sent twice" in self._print(cast, mark).text
        assert OneTimeSlip.objects.count() == 1

    def test_the_member_is_told_by_mail_without_the_address(self, cast: Cast) -> None:
        address = _shown(self._print(cast).text)
        message = Message.objects.get(to=cast.mate)
        assert "/slip/" not in message.body
        assert address not in message.body

    def test_setting_the_password_opens_a_locked_door(self, cast: Cast) -> None:
        make_slip(cast.mate, cast.administrator)
        for _ in range(8):
            SignInAttempt.objects.create(name="mate", address="127.0.0.1")
        Client().post(f"/slip/{SECRET}/", NEW)
        assert Client().post("/sign-in/", {"name": "mate", "password": NEW["password"]}).status_code == 302

    def test_whoever_has_left_gets_none(self, cast: Cast) -> None:
        Member.objects.filter(pk=cast.mate.pk).update(left_on=timezone.localdate())
        response = self._print(cast)
        assert response.status_code == 422
        assert "has left gets no slip" in response.text

    def test_a_weak_password_leaves_the_slip_usable(self, cast: Cast, client: Client) -> None:
        make_slip(cast.mate, cast.administrator)
        assert client.post(f"/slip/{SECRET}/", {"password": "mate", "again": "mate"}).status_code == 422
        assert client.post(f"/slip/{SECRET}/", NEW).status_code == 302


def test_two_secrets_are_never_alike_and_long_enough_not_to_be_guessed() -> None:
    secrets = {new_secret() for _ in range(100)}
    assert len(secrets) == 100
    assert min(map(len, secrets)) >= 43  # 32 bytes, 6 bits a letter
