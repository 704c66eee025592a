"""Who does something, when, and whether it counts at once."""

from dataclasses import dataclass
from datetime import datetime

from restorations.members.models import Member


@dataclass(frozen=True, slots=True)
class Doing:
    """A member at a moment; a helper's entry does not stand until one of the hands accepts it."""

    member: Member
    at: datetime
    stands: bool = True

    @property
    def acceptance(self) -> dict[str, object]:
        """The columns of an entry that stands at once; none where it waits."""
        return {"accepted_at": self.at, "accepted_by": self.member} if self.stands else {}
