"""Papers that lapse, and the owner's consent."""

from collections.abc import Iterable
from datetime import date
from typing import Any

from django import forms

from restorations.engines.models.papers import CERTIFICATE_KINDS, CONSENT_WAYS
from restorations.web.fields import OnceForm, day_field

LONGEST_YEARS = 15
EARLIEST = date(1850, 1, 1)


def not_ahead(day: date, on: date) -> date:
    """The day, where it can be one on which something happened."""
    if day > on:
        raise forms.ValidationError("This day is yet to come. Record it once it has happened.")
    if day < EARLIEST:
        raise forms.ValidationError("Look at the year again: this is before anything here was built.")
    return day


class CertificateForm(OnceForm):
    """A paper: `kinds` are those this member may record."""

    kind = forms.ChoiceField(label="What paper")
    passed_on = day_field("Passed or issued on")
    lapses_on = day_field("Good until")
    by_whom = forms.CharField(label="Inspector or office", max_length=80)
    number = forms.CharField(label="Number of the paper", max_length=40, required=False)

    def __init__(self, *args: Any, kinds: Iterable[str], on: date, **options: Any) -> None:
        super().__init__(*args, **options)
        self.on = on
        self.fields["kind"].choices = [(kind, CERTIFICATE_KINDS[kind]) for kind in kinds]  # type: ignore[attr-defined]

    def clean_passed_on(self) -> date:
        return not_ahead(self.cleaned_data["passed_on"], self.on)

    def clean(self) -> dict[str, Any]:
        cleaned = super().clean() or {}
        passed, lapses = cleaned.get("passed_on"), cleaned.get("lapses_on")
        if passed and lapses and lapses <= passed:
            self.add_error("lapses_on", "It lapses on or before the day it passed; look at both days again.")
        elif passed and lapses and lapses.year - passed.year > LONGEST_YEARS:
            self.add_error("lapses_on", f"That is more than {LONGEST_YEARS} years; look at the year again.")
        return cleaned

    def paper(self) -> dict[str, Any]:
        return {name: self.cleaned_data[name] for name in ("kind", "passed_on", "lapses_on", "by_whom", "number")}


class ConsentForm(OnceForm):
    """What the owner allows. The owner's own consent needs neither a name nor a way."""

    what = forms.CharField(label="What may be done", max_length=200)
    action = forms.ChoiceField(
        label="The step it covers", required=False, help_text="Only steps that cannot be undone are listed."
    )
    given_by = forms.CharField(label="Given by", max_length=80)
    how = forms.ChoiceField(label="How", choices=list(CONSENT_WAYS.items()))
    on = day_field("On")

    def __init__(self, *args: Any, actions: Iterable[tuple[str, str]], on: date, owner: str, **options: Any) -> None:
        """`owner` is the owner's own name where the owner consents in person here, else empty."""
        super().__init__(*args, **options)
        self.today, self.owner = on, owner
        self.fields["action"].choices = [("", "none of the listed steps"), *actions]  # type: ignore[attr-defined]
        if owner:
            del self.fields["given_by"], self.fields["how"]

    def clean_on(self) -> date:
        return not_ahead(self.cleaned_data["on"], self.today)

    def consent(self) -> dict[str, Any]:
        here = {"given_by": self.owner, "how": "in_person"} if self.owner else {}
        asked = ("what", "action", "given_by", "how", "on")
        return {**here, **{name: self.cleaned_data[name] for name in asked if name in self.cleaned_data}}
