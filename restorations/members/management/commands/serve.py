from typing import Any

from django.conf import settings
from django.core.management import CommandError, CommandParser, call_command
from django.core.management.base import BaseCommand, SystemCheckError

from restorations.members.management.serving import become_server, bring_up_to_date
from restorations.members.models import Member


class Command(BaseCommand):
    help = "Brings the tables up to date and serves the club; refuses settings that would expose it."

    def add_arguments(self, parser: CommandParser) -> None:
        parser.add_argument("--host", default="127.0.0.1", help="address to listen at (127.0.0.1: this machine only)")
        parser.add_argument("--port", type=int, default=8000)

    def handle(self, *args: Any, **options: Any) -> None:
        refuse_unsafe_serving()
        bring_up_to_date()
        if not Member.objects.exists():
            self.stderr.write('Nobody can sign in yet: manage.py first_administrator NAME "Full Name" makes the first.')
        self.stdout.write(f"Serving http://{options['host']}:{options['port']}/")
        become_server(host=options["host"], port=options["port"])


def refuse_unsafe_serving() -> None:
    """The environment's own refusals came at start; these are the ones that only matter when others are let in."""
    if settings.DEBUG:
        raise CommandError("CLUBSHOP_DEBUG is on: it shows the program's insides to every visitor. Switch it off.")
    if settings.DEMO:
        raise CommandError("CLUBSHOP_DEMO is on: everybody knows the demo's passwords. Use manage.py demo for it.")
    if settings.HTTPS:
        try:
            call_command("check", deploy=True, fail_level="WARNING")
        except SystemCheckError as error:
            raise CommandError(f"These settings are not safe to serve with:\n{error}") from None
