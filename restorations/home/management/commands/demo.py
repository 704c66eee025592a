"""`manage.py demo`: an invented club on a database of its own, served by the production server."""

from argparse import ArgumentParser
from pathlib import Path
from typing import Any

from django.conf import settings
from django.core.management import call_command
from django.core.management.base import BaseCommand, CommandError
from django.utils import timezone

from restorations.home.demo.cast import CAST, PASSWORD
from restorations.home.demo.load import holds_other_people, is_loaded, load_demo
from restorations.members.management.serving import become_server, bring_up_to_date


class Command(BaseCommand):
    help = "Load an invented club, print the sign-ins and serve it on this machine."

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument("--port", type=_port, default=8000, help="port on this machine (8000)")
        parser.add_argument("--load-only", action="store_true", help="load it and stop")
        parser.add_argument("--reset", action="store_true", help="throw the demo's own data away and begin again")

    def handle(self, *args: Any, **options: Any) -> None:
        if not settings.DEMO:
            raise CommandError("Run it as `manage.py demo`: it keeps a database of its own and touches no other.")
        database = Path(str(settings.DATABASES["default"]["NAME"]))
        if options["reset"]:
            self._forget(database)
        bring_up_to_date()
        if holds_other_people():
            raise CommandError(f"{database} holds people the demo did not invent; it is left alone.")
        if not is_loaded():
            self.stdout.write("Loading the demo, about half a minute:")
            load_demo(at=timezone.now(), say=self._say_how_far)
        self._say_who()
        if options["load_only"]:
            return
        self.stdout.write(f"\nOpen http://127.0.0.1:{options['port']}/   (Ctrl-C stops it)\n")
        self.stdout.flush()
        become_server(host="127.0.0.1", port=options["port"])

    def _forget(self, database: Path) -> None:
        """Delete the demo's database, once it is sure that it holds nobody else."""
        if database.exists():
            call_command("migrate", verbosity=0)
            if holds_other_people():
                raise CommandError(f"{database} holds people the demo did not invent; it is left alone.")
            from django.db import connection

            connection.close()
            for file in (database, *(database.with_name(database.name + end) for end in ("-wal", "-shm"))):
                file.unlink(missing_ok=True)

    def _say_how_far(self, words: str) -> None:
        self.stdout.write(f"  {words}")
        self.stdout.flush()

    def _say_who(self) -> None:
        self.stdout.write(f"\nSign in with any of these names; the password of each is: {PASSWORD}\n")
        for person in CAST:
            offices = ", ".join(sorted(person.offices)) or "member"
            self.stdout.write(f"  {person.sign_in_name:14}{person.full_name:22}{offices:15}{person.about}")


def _port(text: str) -> int:
    if not text.isdigit() or not 1 <= int(text) <= 65535:
        raise CommandError(f"--port takes a number from 1 to 65535, not {text!r}")
    return int(text)
