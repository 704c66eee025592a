"""Forms of go-aheads: asking, answering, at the elbow, standing ones, questions."""

from collections.abc import Mapping
from datetime import date, datetime, time, timedelta
from typing import Any

from django import forms
from django.core.exceptions import ValidationError
from django.utils import timezone

from restorations.faults.standing_kinds import kind_in_words
from restorations.members.forms import code_field
from restorations.members.models import Member
from restorations.web.fields import OnceForm, day_field

LONGEST = timedelta(days=366)
LASTS = {
    "evening": ("this evening", 0),
    "three_days": ("three days", 3),
    "week": ("a week", 7),
    "fortnight": ("a fortnight", 14),
}
HOW_LONG = [(key, words) for key, (words, _) in LASTS.items()]


def end_of(day: date) -> datetime:
    return timezone.make_aware(datetime.combine(day, time.max))


def _words(label: str, *, rows: int = 2, **options: Any) -> forms.CharField:
    return forms.CharField(label=label, max_length=2000, widget=forms.Textarea(attrs={"rows": rows}), **options)


def _lawful_day(day: date | None) -> date | None:
    if day is not None and day < timezone.localdate():
        raise ValidationError("That day is past.")
    if day is not None and day > timezone.localdate() + LONGEST:
        raise ValidationError("A go-ahead holds for a year at the most.")
    return day


class AskForm(OnceForm):
    action = forms.CharField(max_length=120, widget=forms.HiddenInput)
    reason = _words("Why, and how you will do it", required=False)


class HowLong(OnceForm):
    """How long a go-ahead holds: one tap, or a day of one's own, which counts before the tap."""

    lasts = forms.ChoiceField(
        label="Good for", choices=HOW_LONG, required=False, initial="fortnight", widget=forms.RadioSelect
    )
    until = day_field("or until the end of", required=False)

    def clean_until(self) -> date | None:
        return _lawful_day(self.cleaned_data["until"])

    @property
    def ends(self) -> datetime:
        days = LASTS[self.cleaned_data["lasts"] or "fortnight"][1]
        return end_of(self.cleaned_data["until"] or timezone.localdate() + timedelta(days=days))


class GoAheadForm(HowLong):
    """A mentor's answer: one box for whatever is to be said, one button for what is meant by it."""

    conditions = _words(
        "Conditions, why not, or your question", required=False,
        help_text="Not alone; stop if it takes more than a hand; measure it first …",
    )  # fmt: skip
    answer = forms.ChoiceField(
        choices=[("given", "Yes, go ahead"), ("refused", "No, not so"), ("asked", "Ask first")],
        error_messages={"required": "Tap one of the three answers.", "invalid_choice": "Tap one of the three answers."},
    )
    seen = forms.IntegerField(required=False, min_value=0, widget=forms.HiddenInput)
    field_order = ("conditions", "lasts", "until")


class ElbowForm(HowLong):
    """The mentor beside you takes your phone: their name, their six digits."""

    action = forms.CharField(max_length=120, widget=forms.HiddenInput)
    mentor = forms.ModelChoiceField(
        label="Who stands beside you", queryset=Member.objects.none(), widget=forms.RadioSelect, empty_label=None
    )
    conditions = _words("Conditions", required=False)
    field_order = ("mentor", "code", "conditions", "lasts", "until")

    def __init__(self, *args: Any, mentors: Any, **options: Any) -> None:
        super().__init__(*args, **options)
        self.fields["mentor"].queryset = mentors  # type: ignore[attr-defined]
        self.fields["code"] = code_field("Their short code")
        self.fields["lasts"].initial = "evening"
        self.order_fields(self.field_order)


class StandingForm(OnceForm):
    """Who, which kind of step, until when, on what conditions."""

    member = forms.ModelChoiceField(label="Who may", queryset=Member.objects.none(), empty_label="choose")
    kind = forms.ChoiceField(label="What kind of step")
    until = day_field(
        "Until the end of", error_messages={"required": "Say until when: a standing go-ahead has an end."}
    )
    conditions = _words("Conditions", required=False)

    def __init__(self, *args: Any, people: Any, kinds: Mapping[str, Any], **options: Any) -> None:
        super().__init__(*args, **options)
        self.fields["member"].queryset = people  # type: ignore[attr-defined]
        self.fields["kind"].choices = [("", "choose"), *((kind, kind_in_words(kind)) for kind in kinds)]  # type: ignore[attr-defined]

    def clean_until(self) -> date | None:
        return _lawful_day(self.cleaned_data["until"])


class QuestionForm(OnceForm):
    action = forms.CharField(max_length=120, required=False, widget=forms.HiddenInput)
    question = _words("Your question to the mentors", error_messages={"required": "Write what you want to know."})


class ReplyForm(OnceForm):
    words = _words("Your answer", error_messages={"required": "Write your answer."})


class WithdrawForm(OnceForm):
    reason = forms.CharField(label="Why", max_length=200, error_messages={"required": "Say why; it stays readable."})
