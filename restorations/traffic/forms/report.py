"""Which period the committee's report is about."""

from datetime import date
from typing import Any

from django import forms

from restorations.traffic.report.period import LONGEST_DAYS, Period
from restorations.web.fields import day_field


class PeriodForm(forms.Form):
    """First and last day, both included."""

    first = day_field("From")
    last = day_field("Up to and including")

    def clean(self) -> dict[str, Any]:
        data = super().clean() or {}
        first, last = data.get("first"), data.get("last")
        if first and last and last < first:
            self.add_error("last", "It ends before it begins. Change the two days round.")
        elif first and last and (last - first).days >= LONGEST_DAYS:
            self.add_error("first", "Thirty years are the most.")
        return data

    @property
    def period(self) -> Period:
        return from_first_to_last(self.cleaned_data["first"], self.cleaned_data["last"])


def from_first_to_last(first: date, last: date) -> Period:
    return Period(first, date.fromordinal(last.toordinal() + 1))
