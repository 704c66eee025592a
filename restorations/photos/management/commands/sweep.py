from typing import Any

from django.core.management.base import BaseCommand
from django.utils import timezone

from restorations.photos import files
from restorations.photos.models import Clip, Photo


class Command(BaseCommand):
    help = "Removes stored files that have had no row for a day: uploads that were broken off. Run it every night."

    def handle(self, *args: Any, **options: Any) -> None:
        # Looked for first and asked for afterwards: a row that comes meanwhile still saves its file.
        found = files.older_than_a_day(timezone.now())
        named = {name for columns in Photo.objects.values_list("large", "thumbnail") for name in columns}
        named |= set(Clip.objects.values_list("file", flat=True))
        swept = [path for path in found if path.name not in named]
        for path in swept:
            path.unlink(missing_ok=True)
        self.stdout.write(f"{len(swept)} file{'' if len(swept) == 1 else 's'} without a row removed.")
