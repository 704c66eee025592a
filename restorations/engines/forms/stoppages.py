"""Reporting a defect, taking an engine out of traffic, and keeping a stop up to date."""

from datetime import date, timedelta
from typing import Any

from django import forms

from restorations.engines.forms.papers import EARLIEST, not_ahead
from restorations.engines.models import Stoppage
from restorations.engines.models.stoppage import BOILER, CAUSE_CLASSES, LONGEST_WORDS, WAITS_FOR
from restorations.engines.services import StopDraft
from restorations.web.conflicts import VersionedForm
from restorations.web.fields import OnceForm, day_field

LONGEST_AHEAD = timedelta(days=20 * 366)
NOT_SAID = ("", "choose")
REPORTED = tuple(name for name in CAUSE_CLASSES if name not in {"papers", "storage"})
OUT_OF_TRAFFIC = {
    "works": "In works: a restoration, an overhaul or a repair",
    "papers": "Papers have lapsed",
}


def words_field(label: str, **options: Any) -> forms.CharField:
    return forms.CharField(
        label=label, max_length=LONGEST_WORDS, widget=forms.Textarea(attrs={"rows": 3}), **options
    )  # fmt: skip


def not_far(day: date | None, on: date) -> date | None:
    """A day to come, where anybody can mean it."""
    if day and not EARLIEST <= day <= on + LONGEST_AHEAD:
        raise forms.ValidationError("Look at the year again.")
    return day


class DefectForm(OnceForm):
    """What anybody can say from the track or the bench; everything but two answers may stay open."""

    words = words_field("What is wrong?", help_text="What you saw, in your words. Write even what you are not sure of.")
    cause_class = forms.ChoiceField(
        label="Where?", choices=[NOT_SAID, *((name, CAUSE_CLASSES[name]) for name in REPORTED)]
    )
    for_inspector = forms.BooleanField(
        label="It holds pressure or guards it: boiler, safety valve, gauges, gas tank",
        required=False,
        help_text="The engine is then not steamed until the club's inspector has lifted the stop.",
    )
    began_on = day_field("When, if not today", required=False)
    seen_by = forms.CharField(label="Who saw it, if not you", max_length=80, required=False)
    place = forms.CharField(label="Where the engine stands now", max_length=120, required=False)

    def __init__(self, *args: Any, on: date, **options: Any) -> None:
        super().__init__(*args, **options)
        self.on = on

    def clean_began_on(self) -> date:
        return not_ahead(self.cleaned_data["began_on"] or self.on, self.on)

    def draft(self) -> StopDraft:
        data = self.cleaned_data
        is_of_boiler = data["for_inspector"] or data["cause_class"] == "boiler"
        names = ("cause_class", "words", "began_on", "seen_by", "place")
        return StopDraft(kind=BOILER if is_of_boiler else "defect", **{name: data[name] for name in names})


class _ExpectedForm(VersionedForm):
    """What it waits for, where it is, and when it is expected back, with who said so."""

    waits_for = forms.ChoiceField(label="What it waits for", choices=list(WAITS_FOR.items()), required=False)
    waits_words = forms.CharField(label="More about that", max_length=200, required=False)
    place = forms.CharField(label="Where it stands", max_length=120, required=False)
    custody = forms.CharField(
        label="Who has it", max_length=120, required=False, help_text="Who keeps it, or holds its keys, meanwhile."
    )
    expected_on = day_field("Expected back", required=False)
    expected_by = forms.CharField(
        label="Who said so", max_length=80, required=False, help_text="Only with a day: whose word it is."
    )

    def __init__(self, *args: Any, on: date, **options: Any) -> None:
        super().__init__(*args, **options)
        self.on = on

    def clean_expected_on(self) -> date | None:
        return not_far(self.cleaned_data["expected_on"], self.on)

    def clean(self) -> dict[str, Any]:
        cleaned = super().clean() or {}
        if cleaned.get("expected_on") and cleaned.get("expected_by") == "":
            self.add_error("expected_by", "Say who expects it back on that day.")
        return cleaned

    def kept_up(self) -> dict[str, Any]:
        names = ("waits_for", "waits_words", "place", "custody", "expected_on", "expected_by")
        return {name: self.cleaned_data[name] for name in names}


class UpdateForm(_ExpectedForm):
    cause_class = forms.ChoiceField(label="Where it lies", choices=list(CAUSE_CLASSES.items()))

    field_order = ("submission", "version", "cause_class")

    @staticmethod
    def said_of(stop: Stoppage) -> dict[str, Any]:
        names = (
            "version", "cause_class", "waits_for", "waits_words", "place", "custody", "expected_on", "expected_by"
        )  # fmt: skip
        return {name: getattr(stop, name) for name in names}

    def changes(self) -> dict[str, Any]:
        return {**self.kept_up(), "cause_class": self.cleaned_data["cause_class"]}


class OutOfTrafficForm(_ExpectedForm):
    """Into the shop, or out because a paper lapsed. A defect is reported; a lay-up has a page of its own."""

    kind = forms.ChoiceField(label="Why", choices=[NOT_SAID, *OUT_OF_TRAFFIC.items()])
    cause_class = forms.ChoiceField(label="Where the work lies", choices=[NOT_SAID, *CAUSE_CLASSES.items()])
    words = words_field("What is to be done, or what has lapsed")
    began_on = day_field("Out of traffic from")

    field_order = ("submission", "kind", "cause_class", "words", "began_on")

    def __init__(self, *args: Any, on: date, **options: Any) -> None:
        super().__init__(*args, on=on, **options)
        del self.fields["version"]

    def clean_began_on(self) -> date | None:
        return not_far(self.cleaned_data["began_on"], self.on)

    def draft(self) -> StopDraft:
        names = ("kind", "cause_class", "words", "began_on")
        return StopDraft(**{name: self.cleaned_data[name] for name in names}, **self.kept_up())


class NoteForm(OnceForm):
    words = words_field("What else?")


class LiftForm(OnceForm):
    """How it was found to be right again, and the first day the stop no longer holds."""

    words = words_field("What was found and done, and why it may go back")
    on = day_field("No longer stopped from")

    def __init__(self, *args: Any, on: date, **options: Any) -> None:
        super().__init__(*args, **options)
        self.today = on

    def clean_on(self) -> date:
        return not_ahead(self.cleaned_data["on"], self.today)
