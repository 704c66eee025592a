"""When something was done: now, on a day, or about a day."""

from datetime import date, datetime, time
from typing import Any

from django import forms
from django.utils import timezone

from restorations.web.fields import OnceForm, day_field


class WhenForm(OnceForm):
    """`on` left empty is now; `happened` is then None."""

    on = day_field("On another day", required=False, help_text="Empty: today, now.")
    about = forms.BooleanField(label="About that day", required=False)
    by_name = forms.CharField(
        label="Done by somebody who is no member",
        max_length=80,
        required=False,
        help_text="Their name. Empty: done by you.",
    )

    def clean(self) -> dict[str, Any]:
        data = super().clean() or {}
        on = data.get("on")
        if on and on > timezone.localdate():
            self.add_error("on", "This day is yet to come. Write down what was done, not what will be.")
        if on and on.year < 1800:
            self.add_error("on", "Look at the year again.")
        if data.get("about") and not on and "on" not in self.errors:
            self.add_error("on", "Give the day it was about, or leave “about” open.")
        return data

    @property
    def happened(self) -> tuple[datetime, str] | None:
        """The moment to keep (noon of a day gone by, so that no time zone moves it) and how exactly it is known."""
        on: date | None = self.cleaned_data["on"]
        if on is None or (on == timezone.localdate() and not self.cleaned_data["about"]):
            return None
        noon = timezone.make_aware(datetime.combine(on, time(12)))
        return min(noon, timezone.now()), "about" if self.cleaned_data["about"] else "day"
