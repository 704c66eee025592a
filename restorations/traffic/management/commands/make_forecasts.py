from typing import Any

from django.core.management.base import BaseCommand
from django.utils import timezone

from restorations.traffic.services.forecasts import make_forecasts


class Command(BaseCommand):
    help = (
        "Works out when engines that are stopped or in works may be back, where something has changed or a week has "
        "passed; run it every night."
    )

    def handle(self, *args: Any, **options: Any) -> None:
        made = make_forecasts(at=timezone.now())
        for forecast in made:
            day = forecast.even_chance_on or forecast.not_before_on
            words = "even chance" if forecast.even_chance_on else "not before about"
            said = f"{words} {day:%d %b %Y}" if day else "nothing can be said yet"
            self.stdout.write(f"{forecast.engine}: {said}, {len(forecast.missing)} missing")
        self.stdout.write(f"{len(made)} worked out.")
