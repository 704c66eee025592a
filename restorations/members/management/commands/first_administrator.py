import getpass
import sys
from typing import Any

from django.contrib.auth.password_validation import validate_password
from django.core.exceptions import ValidationError
from django.core.management import CommandError, CommandParser
from django.core.management.base import BaseCommand

from restorations.members.models import Member
from restorations.members.services.people import make_first_administrator


class Command(BaseCommand):
    help = "Makes the first member of an empty installation, who is its administrator and invites the others."

    def add_arguments(self, parser: CommandParser) -> None:
        parser.add_argument("sign_in_name")
        parser.add_argument("full_name")

    def handle(self, *args: Any, **options: Any) -> None:
        name, full_name = options["sign_in_name"], options["full_name"]
        password = self._ask_password()
        try:
            validate_password(password, Member(sign_in_name=name, full_name=full_name))
            member = make_first_administrator(sign_in_name=name, full_name=full_name, password=password)
        except ValidationError as error:
            raise CommandError(" ".join(error.messages)) from None
        self.stdout.write(f"{member.full_name} can sign in as {member.sign_in_name}.")

    def _ask_password(self) -> str:
        """Asked twice at a terminal; one line where it is piped in. Never an argument, which others could see."""
        if not sys.stdin.isatty():
            return sys.stdin.readline().rstrip("\n")
        password = getpass.getpass("Password: ")
        if getpass.getpass("The same again: ") != password:
            raise CommandError("The two are not the same.")
        return password
