"""Sends the mail that waits: outside any request, each try counted before it is made."""

from dataclasses import dataclass
from datetime import datetime, timedelta

from django.conf import settings
from django.core.mail import EmailMessage, get_connection
from django.core.mail.backends.base import BaseEmailBackend
from django.db.models import F, QuerySet
from django.utils import timezone
from django.utils.module_loading import import_string

from restorations.members.log_lines import without_secrets
from restorations.members.models import Message

MOST_TRIES, FIRST_PAUSE = 12, timedelta(minutes=5)  # the last try is made after three days and a half


@dataclass(frozen=True, slots=True)
class Sent:
    """How many went, how many did not and will be tried again."""

    sent: int
    failed: int


def queue_reminders(at: datetime) -> int:
    """Let every app that the settings name write the reminders that are due; how many it was."""
    return sum(import_string(name)(at) for name in settings.REMINDERS)


def waiting() -> QuerySet[Message]:
    return Message.objects.filter(sent_at__isnull=True, tries__lt=MOST_TRIES).select_related("to").order_by("pk")


def send_waiting(at: datetime) -> Sent:
    """Try every message once that is due for a try."""
    connection = get_connection()
    outcomes = [_send(message, connection) for message in waiting() if _is_due(message, at) and _claim(message)]
    return Sent(sent=outcomes.count(True), failed=outcomes.count(False))


def _is_due(message: Message, at: datetime) -> bool:
    """At once twice, then each time after twice as long, so that nothing is lost while a host is down for days."""
    return bool(at - message.made_at >= FIRST_PAUSE * (2**message.tries / 2 - 1))


def _claim(message: Message) -> bool:
    """Two runs at once must not send the same message twice."""
    return bool(Message.objects.filter(pk=message.pk, tries=message.tries).update(tries=F("tries") + 1))


def _send(message: Message, connection: BaseEmailBackend) -> bool:
    row = Message.objects.filter(pk=message.pk)
    address = message.to_address or (message.to.email if message.to else "")
    if not address:
        row.update(last_error="no e-mail address is known", tries=MOST_TRIES)
        return False
    mail = EmailMessage(message.subject, message.body, settings.DEFAULT_FROM_EMAIL, [address], connection=connection)
    try:
        mail.send()
    except (OSError, ValueError) as error:  # smtplib's errors are OSErrors
        row.update(last_error=without_secrets(f"{type(error).__name__}: {error}")[:200])
        return False
    row.update(sent_at=timezone.now(), last_error="", body=without_secrets(message.body))
    return True
