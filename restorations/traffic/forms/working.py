"""What is asked about the club's working sessions and the days the shop is shut."""

from dataclasses import dataclass
from datetime import date, timedelta
from typing import Any

from django import forms
from django.core.exceptions import ValidationError
from django.forms.boundfield import BoundField

from restorations.traffic.models import WorkingPattern
from restorations.traffic.models.working import LONGEST_ASKED, LONGEST_SESSION, MOST_HANDS, weekdays
from restorations.traffic.services.working import NO_SESSIONS, SessionPlan, in_words
from restorations.web.conflicts import Difference, VersionedForm
from restorations.web.fields import OnceForm, day_field

FURTHEST = timedelta(days=3 * 366)


@dataclass(frozen=True, slots=True)
class Row:
    """The boxes of one day of the week."""

    day: str
    begins: BoundField
    hours: BoundField
    hands: BoundField


def _typed(label: str, **attributes: str) -> dict[str, Any]:
    return {
        "label": label, "required": False,
        "widget": forms.TextInput(
            attrs={"class": "short", "autocomplete": "off", "aria-label": label, **attributes}
        ),
    }  # fmt: skip


class PatternForm(VersionedForm):
    """A line for each day of the week; a day left empty has no session."""

    inspector_days = forms.IntegerField(
        min_value=1, max_value=LONGEST_ASKED, help_text="Empty: nobody can say, and no day is given past a test.",
        error_messages={"invalid": "Type whole days, such as 21."},
        **_typed("Days it usually takes from asking the inspector to a boiler test", inputmode="numeric"),
    )  # fmt: skip

    def __init__(self, *args: Any, **options: Any) -> None:
        super().__init__(*args, **options)
        for number, name in weekdays().items():
            self.fields[f"begins_{number}"] = forms.TimeField(
                **_typed(f"{name}, from"),
                error_messages={"invalid": "Type the time as 19:30, or leave it open."},
            )
            self.fields[f"hours_{number}"] = forms.FloatField(
                **_typed(f"{name}, hours", inputmode="decimal"),
                error_messages={"invalid": "Type hours as a plain number with a point, such as 2.5."},
            )
            self.fields[f"hands_{number}"] = forms.IntegerField(
                **_typed(f"{name}, hands", inputmode="numeric"),
                error_messages={"invalid": "Type a whole number of hands, such as 2."},
            )

    @property
    def rows(self) -> list[Row]:
        return [
            Row(name, self[f"begins_{number}"], self[f"hours_{number}"], self[f"hands_{number}"])
            for number, name in weekdays().items()
        ]

    def clean(self) -> dict[str, Any]:
        data = super().clean() or {}
        for number in weekdays():
            self._check_day(number, data)
        if not self.errors and not self.sessions():
            raise ValidationError(NO_SESSIONS)
        return data

    def _check_day(self, number: int, data: dict[str, Any]) -> None:
        hours, hands = data.get(f"hours_{number}"), data.get(f"hands_{number}")
        if hours is not None and not 0 < hours <= LONGEST_SESSION:
            self.add_error(f"hours_{number}", f"A session lasts more than 0 and up to {LONGEST_SESSION} hours.")
        if hands is not None and not 1 <= hands <= MOST_HANDS:
            self.add_error(f"hands_{number}", f"Between 1 and {MOST_HANDS} hands; leave both open for no session.")
        for name, other in (("hands", "hours"), ("hours", "hands")):
            given = data.get(f"{name}_{number}") is not None
            if given and data.get(f"{other}_{number}") is None and f"{other}_{number}" not in self.errors:
                self.add_error(f"{other}_{number}", f"Say the {other} too, or leave both open.")
        if data.get(f"begins_{number}") and hours is None and f"hours_{number}" not in self.errors:
            self.add_error(f"hours_{number}", "Say how many hours, or leave the whole day open.")

    def sessions(self) -> list[SessionPlan]:
        data = self.cleaned_data
        return [
            SessionPlan(number, data[f"hours_{number}"], data[f"hands_{number}"], data.get(f"begins_{number}"))
            for number in weekdays()
            if data.get(f"hours_{number}") is not None and data.get(f"hands_{number}") is not None
        ]

    def difference(self, theirs: WorkingPattern) -> Difference:
        """The sessions of both, for whoever saved second."""
        yours = "; ".join(
            f"{weekdays()[one.weekday]}s, {one.hours:g} h, {one.hands} {'hand' if one.hands == 1 else 'hands'}"
            for one in self.sessions()
        )
        return Difference("Sessions", in_words(theirs.sessions.all()), yours)

    @staticmethod
    def said_of(pattern: WorkingPattern) -> dict[str, Any]:
        said: dict[str, Any] = {"version": pattern.version, "inspector_days": pattern.inspector_days}
        for session in pattern.sessions.all():
            begins = f"{session.begins_at:%H:%M}" if session.begins_at else ""
            said |= {
                f"begins_{session.weekday}": begins, f"hours_{session.weekday}": f"{session.hours:g}",
                f"hands_{session.weekday}": session.hands,
            }  # fmt: skip
        return said


class ClosingForm(OnceForm):
    first_on = day_field("Shut from")
    last_on = day_field("Up to and with")
    why = forms.CharField(label="Why", max_length=80, help_text="Christmas, the show, the heating is off.")

    def __init__(self, *args: Any, today: date, **options: Any) -> None:
        super().__init__(*args, **options)
        self.today = today

    def clean(self) -> dict[str, Any]:
        data = super().clean() or {}
        first, last = data.get("first_on"), data.get("last_on")
        if first and last and last < first:
            self.add_error("last_on", "The last day is before the first; look at both again.")
        elif last and last < self.today:
            self.add_error("last_on", "These days are past: they hold nothing up any more.")
        elif last and last > self.today + FURTHEST:
            self.add_error("last_on", "Look at the year again.")
        return data
