"""Wording an emergency card, and the number to ring."""

from typing import Any

from django import forms
from django.core.validators import RegexValidator

from restorations.engines.models.emergency import LONGEST_PART
from restorations.web.fields import OnceForm

PARTS = ("steps", "never", "call")
MOST_LINES = 8
NUMBER = RegexValidator(r"^\+?[0-9][0-9 ]*\Z", "Digits and blanks only, as it is dialled: 999, 112, +44 1632 960123.")


def _part(label: str, **options: Any) -> forms.CharField:
    return forms.CharField(
        label=label, max_length=LONGEST_PART, widget=forms.Textarea(attrs={"rows": 6}), **options
    )  # fmt: skip


class CardForm(OnceForm):
    """A line for each step; few lines, for whoever reads it is in a hurry."""

    steps = _part("What to do, in order", help_text=f"A line for each step, {MOST_LINES} at most.")
    never = _part("What never to do", required=False, help_text="A line each, beginning with Never.")
    call = _part("Whom to tell", required=False, help_text="A line each. The emergency number stands above anyway.")

    def clean(self) -> dict[str, Any]:
        cleaned = super().clean() or {}
        for name in PARTS:
            if len([line for line in cleaned.get(name, "").splitlines() if line.strip()]) > MOST_LINES:
                self.add_error(name, f"At most {MOST_LINES} lines: nobody reads more with a fire beside them.")
        return cleaned

    def words(self) -> dict[str, str]:
        return {name: self.cleaned_data[name] for name in PARTS}


class NumberForm(OnceForm):
    number = forms.CharField(label="Emergency number where the club is", max_length=40, validators=[NUMBER])
    where = forms.CharField(
        label="What to say where you are", max_length=300, required=False,
        help_text="Address, which gate, where an ambulance can drive to. Everybody can read this, signed in or not.",
    )  # fmt: skip
