"""What is known of an engine's past."""

from collections.abc import Mapping
from datetime import MAXYEAR, date, datetime, time
from typing import Any, cast

from django import forms
from django.db import models
from django.utils import timezone

from restorations.engines.forms.answers import AnswerField
from restorations.engines.forms.asking import AskingForm
from restorations.engines.models import SystemHistory
from restorations.engines.models.history import STORED, YES_NO
from restorations.knowledge.history import HistoryAnswers, InvalidHistoryAnswers
from restorations.web.fields import OnceForm

FIRST_YEAR = 1800
MONTHS = (
    "January",
    "February",
    "March",
    "April",
    "May",
    "June",
    "July",
    "August",
    "September",
    "October",
    "November",
    "December",
)


def question_of(name: str) -> str:
    """The column's own question."""
    return str(cast("models.Field[Any, Any]", SystemHistory._meta.get_field(name)).verbose_name)


def _yes_no(name: str) -> AnswerField:
    return AnswerField(label=question_of(name), choices=YES_NO.items())


def _digits(mode: str = "numeric") -> forms.TextInput:
    """A browser's own number box drops what it cannot read ("12,5") before we can say why."""
    return forms.TextInput(attrs={"class": "short", "inputmode": mode, "autocomplete": "off"})


class HistoryForm(AskingForm):
    """Answers for the whole engine or for one system. How it ran is asked only if it ran."""

    deciding = ("ever_ran", "rebuilt_since")

    ever_ran = _yes_no("ever_ran")
    ran_well_when_put_away = _yes_no("ran_well_when_put_away")
    why_stopped = forms.CharField(label="Why was it stopped?", max_length=200, required=False)
    years = forms.FloatField(
        label="Years out of use",
        min_value=0,
        max_value=150,
        required=False,
        help_text="Roughly: 12, or 0.5.",
        widget=_digits("decimal"),
        error_messages={"invalid": "Type the years as a plain number with a point, such as 12 or 0.5."},
    )
    stored = forms.MultipleChoiceField(
        label="How was it stored?",
        choices=list(STORED.items()),
        required=False,
        widget=forms.CheckboxSelectMultiple,
        help_text="Tick what is known; nothing ticked means not known.",
    )
    rebuilt_since = _yes_no("rebuilt_since")
    first_run_done = _yes_no("first_run_done")

    @staticmethod
    def follows(so_far: Mapping[str, Any]) -> dict[str, Any]:
        settled = {} if so_far["rebuilt_since"] == "yes" else {"first_run_done": "not_known"}
        return settled if so_far["ever_ran"] != "no" else {**settled, "ran_well_when_put_away": "not_known"}

    def answers(self) -> dict[str, Any]:
        """The columns of the row to append."""
        asked = {name: self.cleaned_data.get(name) for name in self.questions}
        answers = {name: asked.get(name) or "not_known" for name in said_of(None)}
        return answers | {
            "stored": sorted(asked["stored"] or []),
            "years": asked["years"],
            "why_stopped": asked["why_stopped"] or "",
        }

    def clean(self) -> dict[str, Any]:
        cleaned = super().clean() or {}
        if not self.errors:
            try:
                HistoryAnswers.from_mapping(self.answers())
            except InvalidHistoryAnswers:
                self.add_error("stored", "Damp and dry cannot both be so; tick the one, or neither.")
        return cleaned


def said_of(row: SystemHistory | None) -> dict[str, Any]:
    """Each question with its answer as it stands; nothing recorded is not known."""
    return (row.answers() if row else HistoryAnswers()).as_mapping()


class PastWorkForm(OnceForm):
    """What was done before it came: as exactly as is known, by whoever it was."""

    text = forms.CharField(label="What was done", max_length=2000, widget=forms.Textarea(attrs={"rows": 3}))
    year = forms.IntegerField(
        label="Year",
        min_value=FIRST_YEAR,
        max_value=MAXYEAR,
        help_text="Your best guess; tick “about” if it is one.",
        widget=_digits(),
    )
    month = forms.TypedChoiceField(
        label="Month",
        coerce=int,
        empty_value=None,
        required=False,
        choices=[("", "not known"), *((number, name) for number, name in enumerate(MONTHS, start=1))],
    )
    day = forms.IntegerField(label="Day", min_value=1, max_value=31, required=False, widget=_digits())
    about = forms.BooleanField(label="About that time", required=False)
    by = forms.CharField(label="By whom", max_length=80, initial="previous owner")

    def clean(self) -> dict[str, Any]:
        cleaned = super().clean() or {}
        if not self.errors:
            cleaned["happened"] = self._happened(cleaned)
        return cleaned

    def _happened(self, cleaned: Mapping[str, Any]) -> tuple[datetime, str] | None:
        """The moment to keep (noon, so that no time zone moves the day) and how exactly it is known."""
        year, month, day = cleaned["year"], cleaned["month"], cleaned["day"]
        if day and not month:
            self.add_error("month", "Give the month too, or leave the day out.")
            return None
        try:
            on = date(year, month or 1, day or 1)
        except ValueError:
            self.add_error("day" if day else "year", "There is no such day; look at the year, month and day again.")
            return None
        if on > timezone.localdate():
            self.add_error("year", "This is yet to come. What was done before it came lies in the past.")
            return None
        exactly = "day" if day else "month" if month else "year"
        return timezone.make_aware(datetime.combine(on, time(12))), "about" if cleaned["about"] else exactly


class StrikeForm(OnceForm):
    reason = forms.CharField(
        label="Why it is struck out",
        max_length=200,
        error_messages={"required": "Say why in a few words; the line stays readable beside it."},
    )
