"""What is asked about running days: the day, engines, who comes, what came of it, incidents."""

from collections.abc import Iterable, Sequence
from datetime import date
from typing import Any

from django import forms

from restorations.engines.models import Engine
from restorations.members.models import Member
from restorations.traffic.models import Incident, IncidentNote, RunningDay
from restorations.traffic.models.incidents import HURT, KINDS
from restorations.traffic.models.running import COMING, LONGEST_NOTE
from restorations.traffic.services.allocations import Ran
from restorations.traffic.services.incidents import Report
from restorations.web.conflicts import VersionedForm
from restorations.web.fields import OnceForm, SeveralField, day_field

SAID = ("title", "begins_at", "ends_at", "note")
MOST_LAPS = 2000
LONGEST_DAY_H = 24
STOPS = {"": "no", "defect": "yes, it does not run until it is put right", "boiler": "yes, and the boiler is concerned"}


def time_field(label: str, **options: Any) -> forms.TimeField:
    """A time of day, typed or picked."""
    return forms.TimeField(
        label=label, required=False, widget=forms.TimeInput({"type": "time", "class": "short"}, format="%H:%M"),
        error_messages={"invalid": "Type the time as 10:30, or leave it open."}, **options,
    )  # fmt: skip


def words_field(label: str, longest: int, *, required: bool = True, help_text: str = "") -> forms.CharField:
    return forms.CharField(
        label=label, max_length=longest, required=required, help_text=help_text, widget=forms.Textarea({"rows": 3})
    )


class DayForm(OnceForm):
    """A day of running."""

    on = day_field("Date")
    title = forms.CharField(label="What it is", max_length=80, initial="Running day")
    begins_at = time_field("From")
    ends_at = time_field("To")
    note = words_field("What people should know", LONGEST_NOTE, required=False)

    def clean(self) -> dict[str, Any]:
        cleaned = super().clean() or {}
        begins, ends = cleaned.get("begins_at"), cleaned.get("ends_at")
        if begins and ends and ends <= begins:
            self.add_error("ends_at", "It would end before it begins; look at both times again.")
        return cleaned

    def said(self) -> dict[str, Any]:
        return {name: self.cleaned_data[name] for name in SAID}


class ChangeDayForm(VersionedForm, DayForm):
    """The same of a day that is planned already."""

    @staticmethod
    def said_of(row: RunningDay) -> dict[str, Any]:
        return {name: getattr(row, name) for name in ("on", *SAID, "version")}


class CallOffForm(OnceForm):
    reason = forms.CharField(label="Why it is called off", max_length=200)


class OutcomeForm(VersionedForm):
    outcome = words_field(
        "How the day went", LONGEST_NOTE, required=False, help_text="Weather, visitors, what to do otherwise."
    )


class EngineForDayForm(OnceForm):
    """An engine of those that may be chosen."""

    engine = forms.ModelChoiceField(Engine.objects.none(), label="Engine", empty_label="choose one")
    words = forms.CharField(label="What for", max_length=200, required=False)

    def __init__(self, *args: Any, engines: Any, **options: Any) -> None:
        super().__init__(*args, **options)
        self.fields["engine"].queryset = engines  # type: ignore[attr-defined]


class WithdrawForm(OnceForm):
    reason = forms.CharField(label="Why it does not run", max_length=200)


class RanForm(OnceForm):
    """What an engine did on the day."""

    ran = forms.ChoiceField(label="Did it run?", choices=[("yes", "it ran"), ("no", "it did not run")])
    laps = forms.IntegerField(
        label="Laps", required=False, min_value=0, max_value=MOST_LAPS, widget=forms.NumberInput({"class": "short"})
    )
    hours = forms.FloatField(
        label="Hours", required=False, min_value=0, max_value=LONGEST_DAY_H,
        widget=forms.TextInput({"class": "short", "inputmode": "decimal", "autocomplete": "off"}),
        error_messages={"invalid": "Type hours as a plain number with a point, such as 2.5."},
    )  # fmt: skip
    by_name = forms.CharField(label="Who ran it", max_length=80, required=False, help_text="Empty: you did.")
    words = words_field("What was noticed", 1000, required=False)

    def clean(self) -> dict[str, Any]:
        cleaned = super().clean() or {}
        if cleaned.get("ran") == "no" and (cleaned.get("laps") or cleaned.get("hours")):
            self.add_error("ran", "It did not run, and yet there are laps or hours; look at them again.")
        return cleaned

    def result(self) -> Ran:
        data = self.cleaned_data
        minutes = None if data["hours"] is None else round(60 * data["hours"])
        return Ran(data["ran"] == "yes", data["laps"], minutes, data["words"], data["by_name"])


class ComingForm(OnceForm):
    coming = forms.ChoiceField(choices=list(COMING.items()))


class CameForm(OnceForm):
    """Everybody who might have come, those who said they would ticked."""

    came = SeveralField(Member.objects.none(), label="Who came", required=False, widget=forms.CheckboxSelectMultiple)

    def __init__(self, *args: Any, **options: Any) -> None:
        super().__init__(*args, **options)
        self.fields["came"].queryset = Member.objects.current()  # type: ignore[attr-defined]


class IncidentForm(OnceForm):
    """What happened, or nearly did."""

    kind = forms.ChoiceField(label="What it was", choices=list(KINDS.items()), widget=forms.RadioSelect)
    words = words_field(
        "What happened", Incident._meta.get_field("words").max_length or 0,
        help_text="What was seen, in order; no guesses at whose fault it was.",
    )  # fmt: skip
    about = time_field("About what time")
    hurt = forms.ChoiceField(label="Was anybody hurt?", choices=list(HURT.items()), widget=forms.RadioSelect)
    hurt_words = forms.CharField(label="Who, and how badly", max_length=400, required=False)
    action = words_field("What was done at once", 4000, required=False)
    engine = forms.ModelChoiceField(Engine.objects.none(), label="Engine", required=False, empty_label="none")
    stop = forms.ChoiceField(label="Stop that engine?", choices=list(STOPS.items()), required=False)

    def __init__(self, *args: Any, engines: Any, **options: Any) -> None:
        super().__init__(*args, **options)
        self.fields["engine"].queryset = engines  # type: ignore[attr-defined]

    def clean(self) -> dict[str, Any]:
        cleaned = super().clean() or {}
        if cleaned.get("hurt") == "yes" and not cleaned.get("hurt_words"):
            self.add_error("hurt_words", "Say who was hurt, and how badly as far as it is known.")
        if cleaned.get("stop") and not cleaned.get("engine"):
            self.add_error("engine", "Say which engine is to be stopped.")
        return cleaned

    def report(self) -> Report:
        return Report(**{name: self.cleaned_data[name] for name in Report.__slots__})


class IncidentNoteForm(OnceForm):
    words = words_field(
        "Correction, or what else is known", IncidentNote._meta.get_field("words").max_length or 0
    )  # fmt: skip


def may_be_chosen(engines: Any, without: Iterable[int]) -> Any:
    """Engines still here, without those on the day already."""
    return engines.still_here().exclude(pk__in=list(without))


def in_order(rows: Sequence[Any], on: date) -> tuple[list[Any], list[Any]]:
    """Days ahead, soonest first, and days gone by, latest first."""
    ahead = [row for row in rows if row.on >= on]
    return ahead, [row for row in reversed(rows) if row.on < on]
