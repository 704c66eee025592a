"""Who works on an engine, and who is invited to it."""

from datetime import date
from typing import Any

from django import forms

from restorations.engines.models import Engine, Hand
from restorations.members.models import Member
from restorations.web.fields import OnceForm, day_field


class HandForm(OnceForm):
    member = forms.ModelChoiceField(label="Who joins", queryset=Member.objects.none(), empty_label="choose")

    def __init__(self, *args: Any, engine: Engine, on: date, **options: Any) -> None:
        super().__init__(*args, **options)
        already = Hand.objects.current(on).filter(engine=engine).values("member")
        self.fields["member"].queryset = Member.objects.current().exclude(pk__in=already)  # type: ignore[attr-defined]


class GuestForm(OnceForm):
    member = forms.ModelChoiceField(label="Who is invited", queryset=Member.objects.none(), empty_label="choose")
    why = forms.CharField(label="What for", max_length=120, help_text="A mentor's advice, a hydraulic test.")
    last_day = day_field("Last day", required=False, help_text="Left open, it holds until you end it.")

    def __init__(self, *args: Any, on: date, **options: Any) -> None:
        super().__init__(*args, **options)
        self.on = on
        self.fields["member"].queryset = Member.objects.current()  # type: ignore[attr-defined]

    def clean_last_day(self) -> date | None:
        last_day: date | None = self.cleaned_data["last_day"]
        if last_day and last_day < self.on:
            raise forms.ValidationError("This day has passed; give today or a later day.")
        return last_day
