from typing import Any

from django.core.management.base import BaseCommand
from django.utils import timezone

from restorations.faults.services.learning import rebuild_learning


class Command(BaseCommand):
    help = (
        "Works the learned base rates out from the closed sheets; run it after the knowledge has changed, then "
        "refresh_rankings."
    )

    def handle(self, *args: Any, **options: Any) -> None:
        rebuilt = rebuild_learning(at=timezone.now())
        for sheet, why in rebuilt.left_out.items():
            self.stdout.write(f"sheet {sheet}: left out. {why}")
        self.stdout.write(f"Learned from {rebuilt.counted} closed sheets; {len(rebuilt.left_out)} left out.")
