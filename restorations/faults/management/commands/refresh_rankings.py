from typing import Any

from django.core.management.base import BaseCommand, CommandError
from django.utils import timezone

from restorations.faults.services.sheets import ranked_with_other_knowledge, refresh_ranking


class Command(BaseCommand):
    help = "Ranks anew every open sheet that was ranked with other knowledge; run it after the knowledge has changed."

    def handle(self, *args: Any, **options: Any) -> None:
        failed, ranked = 0, 0
        for sheet in ranked_with_other_knowledge():
            try:
                snapshot = refresh_ranking(sheet, at=timezone.now())
            except Exception as error:  # whatever is wrong with one sheet, the others are still to be ranked
                failed += 1
                self.stderr.write(f"{sheet.engine}, sheet {sheet.pk}: not ranked, {type(error).__name__}: {error}")
            else:
                ranked += 1
                said = f"ranked, but: {snapshot.problem}" if snapshot.problem else "ranked anew"
                self.stdout.write(f"{sheet.engine}, sheet {sheet.pk}: {said}")
        self.stdout.write(f"{ranked} ranked anew, {failed} not.")
        if failed:
            raise CommandError(f"{failed} of {failed + ranked} sheets could not be ranked; see above.")
