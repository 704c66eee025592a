"""Mail waits in rows, is sent by a command, tried again, and forgets the secret once sent."""

from datetime import timedelta
from io import StringIO
from smtplib import SMTPServerDisconnected
from typing import Any

import pytest
from django.core import mail
from django.core.mail.backends.locmem import EmailBackend
from django.core.management import call_command
from django.test import override_settings
from django.utils import timezone

from restorations.members.models import Message
from restorations.members.services.mail import MOST_TRIES, send_waiting
from tests.cast import Cast


class Unreachable(EmailBackend):
    def send_messages(self, messages: Any) -> int:
        raise SMTPServerDisconnected("gone, at /join/very-secret/")


def _message(**fields: Any) -> Message:
    return Message.objects.create(**{"subject": "Way in", "body": "Open /join/very-secret/", **fields})


def _run() -> str:
    out = StringIO()
    call_command("send_messages", stdout=out)
    return out.getvalue()


def test_waiting_mail_is_sent_once_and_loses_its_secret(db: None) -> None:
    message = _message(to_address="ada@mail.example")
    assert _run() == "1 sent, 0 not sent.\n"
    assert _run() == "0 sent, 0 not sent.\n"
    assert (mail.outbox[0].to, mail.outbox[0].body) == (["ada@mail.example"], "Open /join/very-secret/")
    message.refresh_from_db()
    assert message.sent_at is not None
    assert "very-secret" not in message.body


def test_mail_to_a_member_goes_to_the_present_address(cast: Cast) -> None:
    _message(to=cast.mate)
    _run()
    assert mail.outbox[0].to == ["mate@club.example"]


def test_what_fails_is_kept_counted_and_tried_again(db: None) -> None:
    message = _message(to_address="ada@mail.example")
    with override_settings(EMAIL_BACKEND=f"{__name__}.Unreachable"):
        outcome = send_waiting(timezone.now())
    assert (outcome.sent, outcome.failed) == (0, 1)
    message.refresh_from_db()
    assert (message.tries, message.sent_at) == (1, None)
    assert "SMTPServerDisconnected" in message.last_error
    assert "very-secret" not in message.last_error
    assert send_waiting(timezone.now()).sent == 1


def test_mail_outlives_a_host_that_is_down_for_days(db: None) -> None:
    message, began = _message(to_address="ada@mail.example"), timezone.now()
    with override_settings(EMAIL_BACKEND=f"{__name__}.Unreachable"):
        for minutes in range(0, 3 * 24 * 60, 5):
            send_waiting(began + timedelta(minutes=minutes))
    message.refresh_from_db()
    assert message.tries < MOST_TRIES
    assert send_waiting(began + timedelta(days=4)).sent == 1


def test_after_many_tries_it_is_left_alone(db: None) -> None:
    _message(to_address="ada@mail.example", tries=MOST_TRIES)
    assert send_waiting(timezone.now()).sent == 0


def test_without_an_address_it_says_so(db: None) -> None:
    message = _message()
    assert send_waiting(timezone.now()).failed == 1
    message.refresh_from_db()
    assert message.last_error == "no e-mail address is known"


def test_a_line_break_in_the_subject_fails_without_stopping_the_rest(db: None) -> None:
    _message(subject="Way in\nBcc: all@club.example", to_address="ada@mail.example")
    _message(to_address="bob@mail.example")
    outcome = send_waiting(timezone.now())
    assert (outcome.sent, outcome.failed) == (1, 1)


@override_settings(EMAIL_BACKEND="django.core.mail.backends.smtp.EmailBackend", EMAIL_HOST="")
def test_without_a_mail_host_nothing_is_tried_and_what_is_missing_is_said(db: None) -> None:
    message = _message(to_address="ada@mail.example")
    assert "1 waiting. Set CLUBSHOP_MAIL_HOST" in _run()
    message.refresh_from_db()
    assert message.tries == 0


@pytest.mark.parametrize("name", ["Ada\nBcc: all@club.example", "Ada\r\nX: y"])
def test_a_name_with_a_line_break_cannot_become_a_header(cast: Cast, name: str) -> None:
    data = {"full_name": name, "email": "ada@mail.example", "submission": "8c5f6a0e-3b0e-4f4e-9a53-0f2f0b6e0001"}
    cast.browser("secretary").post("/people/invite/", data)
    assert "\n" not in Message.objects.get().subject
    assert send_waiting(timezone.now()).sent == 1
