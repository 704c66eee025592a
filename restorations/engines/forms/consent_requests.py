"""The owner's answer: yes or no, in words; who said it and how, where the owner is no member."""

from datetime import date
from typing import Any

from django import forms

from restorations.engines.forms.papers import not_ahead
from restorations.engines.models.papers import CONSENT_WAYS
from restorations.web.fields import OnceForm, day_field


class ConsentAnswerForm(OnceForm):
    given_by = forms.CharField(label="Who said it", max_length=80)
    how = forms.ChoiceField(label="How", choices=list(CONSENT_WAYS.items()))
    on = day_field("On")
    words = forms.CharField(
        label="What you want to say", max_length=2000, required=False, widget=forms.Textarea(attrs={"rows": 3}),
        help_text="Conditions, or why not.",
    )  # fmt: skip
    answer = forms.ChoiceField(
        choices=[("given", "I consent"), ("refused", "I do not consent")],
        error_messages={"required": "Tap one of the two answers.", "invalid_choice": "Tap one of the two answers."},
    )

    def __init__(self, *args: Any, on: date, owner: str, **options: Any) -> None:
        """`owner` is the owner's own name where the owner answers here, else empty."""
        super().__init__(*args, **options)
        self.today, self.owner = on, owner
        self.fields["on"].initial = on
        if owner:
            del self.fields["given_by"], self.fields["how"], self.fields["on"]

    def clean_on(self) -> date:
        return not_ahead(self.cleaned_data["on"], self.today)

    def given(self) -> dict[str, Any] | None:
        """Who consented, when and how; nothing where they did not."""
        if self.cleaned_data["answer"] != "given":
            return None
        if self.owner:
            return {"given_by": self.owner, "how": "in_person", "on": self.today}
        return {name: self.cleaned_data[name] for name in ("given_by", "how", "on")}
