"""Who did something, and how many days ago: what every part of the demo's story says of its rows."""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date, datetime, time, timedelta

from django.utils import timezone

from restorations.engines.models import Engine
from restorations.members.doing import Doing
from restorations.members.models import Member
from restorations.photos.intake import Picture
from restorations.photos.models import Photo
from restorations.photos.services import take_in

EVENING = time(20, 10)


def moment(now: datetime, days_ago: float) -> datetime:
    """Some time of that evening, earlier the larger the fraction, and the same for one number of days."""
    if days_ago < 1:
        return now - timedelta(days=days_ago)
    whole = int(days_ago)
    evening = datetime.combine(timezone.localdate(now) - timedelta(days=whole), EVENING)
    apart = timedelta(hours=10 * (days_ago - whole), minutes=whole * 37 % 90)
    return timezone.make_aware(evening - apart)


@dataclass(frozen=True, slots=True)
class Teller:
    """The people of the demo and the moment it is loaded; dates are counted back from there."""

    people: Mapping[str, Member]
    now: datetime
    pictures: Mapping[str, Picture]

    def at(self, days_ago: float) -> datetime:
        return moment(self.now, days_ago)

    def day(self, days_ago: float) -> date:
        return timezone.localdate(self.at(days_ago))

    def doing(self, who: str, days_ago: float, *, stands: bool = True) -> Doing:
        return Doing(self.people[who], self.at(days_ago), stands)

    def photo(self, engine: Engine, name: str, caption: str, doing: Doing, *, view: str = "") -> Photo:
        """One picture made ready, to be entered by the service of whatever it belongs to."""
        (photo,) = take_in([self.pictures[name]], engine, doing, caption=caption, view=view)
        photo.taken_at = doing.at
        return photo
