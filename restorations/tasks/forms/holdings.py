"""The form of a hand-over."""

from datetime import date
from typing import Any

from django import forms
from django.core.exceptions import ValidationError
from django.db.models import QuerySet

from restorations.engines.models import Engine
from restorations.members.models import Member
from restorations.tasks.models import Box
from restorations.tasks.models.holdings import HELD, Holding
from restorations.tasks.services.holdings import HandOver
from restorations.web.fields import OnceForm, day_field


class HandOverForm(OnceForm):
    """One thing, to whom, since when."""

    kind = forms.ChoiceField(label="What is it?", choices=list(HELD.items()), widget=forms.RadioSelect)
    engine = forms.ModelChoiceField(label="Engine", queryset=Engine.objects.none(), required=False, empty_label="none")
    box = forms.ModelChoiceField(label="Box", queryset=Box.objects.none(), required=False, empty_label="none")
    what = forms.CharField(
        label="In words", max_length=80, required=False, help_text="Such as key of the steaming bay, boiler file."
    )
    holder = forms.ModelChoiceField(
        label="Who has it now", queryset=Member.objects.none(), required=False, empty_label="no member"
    )
    holder_name = forms.CharField(label="Or the name of somebody else", max_length=80, required=False)
    since = day_field("Since")
    where = forms.CharField(label="Where it is kept", max_length=120, required=False)
    note = forms.CharField(
        label="What went with it", max_length=400, required=False,
        help_text="Faults that are open, consumables, what was agreed with the owner.",
    )  # fmt: skip

    def __init__(self, *args: Any, engines: QuerySet[Engine], on: date, replaces: Holding | None, **options: Any):
        super().__init__(*args, **options)
        fields: dict[str, Any] = self.fields
        fields["engine"].queryset = engines
        fields["box"].queryset = Box.objects.all()
        fields["holder"].queryset = Member.objects.current()
        self.on, self.replaces = on, replaces

    def clean(self) -> dict[str, Any]:
        data = super().clean() or {}
        if bool(data.get("holder")) == bool(data.get("holder_name")):
            self.add_error("holder", "Choose a member, or type the name of somebody else: one of the two.")
        kind = data.get("kind")
        needed = {"engine": "engine", "box": "box"}.get(kind or "", "what") if kind else ""
        if needed and not data.get(needed) and needed not in self.errors:
            self.add_error(needed, "Say which.")
        return data

    def clean_since(self) -> date:
        since: date = self.cleaned_data["since"]
        if since > self.on:
            raise ValidationError("That day has not come yet.")
        return since

    def hand_over(self) -> HandOver:
        data = {name: self.cleaned_data[name] for name in self.cleaned_data if name != "submission"}
        if data["kind"] == "engine":
            data |= {"box": None, "what": ""}
        elif data["kind"] == "box":
            data |= {"what": ""}
        else:
            data |= {"box": None}
        return HandOver(**data, replaces=self.replaces)
