"""That an engine left the club, or came back."""

from datetime import date
from typing import Any

from django import forms

from restorations.engines.forms.papers import not_ahead
from restorations.web.conflicts import VersionedForm
from restorations.web.fields import day_field


class GoneForm(VersionedForm):
    gone_on = day_field("Left on")
    gone_words = forms.CharField(
        label="How it left", max_length=200, help_text="Sold to whom, gone back to its owner, broken up."
    )

    def __init__(self, *args: Any, on: date, **options: Any) -> None:
        super().__init__(*args, **options)
        self.on = on

    def clean_gone_on(self) -> date:
        return not_ahead(self.cleaned_data["gone_on"], self.on)


class BackForm(VersionedForm):
    words = forms.CharField(label="How it comes to be here", max_length=200)
