"""Signing an engine fit, and recording its return."""

from datetime import date
from typing import Any

from django import forms

from restorations.engines.forms.papers import not_ahead
from restorations.traffic.models.returning import LONGEST_WORDS
from restorations.web.fields import OnceForm, day_field


class FitForm(OnceForm):
    words = forms.CharField(
        label="What you looked at and tried", max_length=LONGEST_WORDS, widget=forms.Textarea(attrs={"rows": 3})
    )


class ReturnForm(OnceForm):
    on = day_field("First day back in traffic")
    words = forms.CharField(label="Note", max_length=200, required=False)

    def __init__(self, *args: Any, today: date, **options: Any) -> None:
        options.setdefault("initial", {"on": today})
        super().__init__(*args, **options)
        self.today = today

    def clean_on(self) -> date:
        return not_ahead(self.cleaned_data["on"], self.today)
