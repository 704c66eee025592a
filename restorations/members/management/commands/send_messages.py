from typing import Any

from django.conf import settings
from django.core.management.base import BaseCommand
from django.utils import timezone

from restorations.members.services.mail import queue_reminders, send_waiting, waiting

SMTP = "django.core.mail.backends.smtp.EmailBackend"


class Command(BaseCommand):
    help = (
        "Writes reminders that are due, sends the mail that waits, tries again what failed; run it every few minutes."
    )

    def handle(self, *args: Any, **options: Any) -> None:
        at = timezone.now()
        queue_reminders(at)
        if settings.EMAIL_BACKEND == SMTP and not settings.EMAIL_HOST:
            self.stdout.write(
                f"No mail host is set, so nothing is sent; {waiting().count()} waiting. Set CLUBSHOP_MAIL_HOST "
                "(and CLUBSHOP_MAIL_PORT, _USER, _PASSWORD, _FROM as the host needs them)."
            )
            return
        outcome = send_waiting(at)
        self.stdout.write(f"{outcome.sent} sent, {outcome.failed} not sent.")
