"""Moving an engine; laying a road."""

from datetime import date
from typing import Any

from django import forms
from django.core.exceptions import ValidationError

from restorations.traffic.models import Road
from restorations.traffic.models.yard import ROAD_KINDS
from restorations.traffic.services.yard import Move
from restorations.web.fields import OnceForm, day_field


class MoveForm(OnceForm):
    road = forms.ModelChoiceField(label="Where it stands now", queryset=Road.objects.none(), empty_label=None)
    since = day_field("Since")
    moved_by = forms.CharField(label="Who moved it", max_length=80, required=False)
    note = forms.CharField(label="Anything the next person must know", max_length=120, required=False)

    def __init__(self, *args: Any, on: date, **options: Any) -> None:
        super().__init__(*args, **options)
        fields: dict[str, Any] = self.fields
        fields["road"].queryset = Road.objects.filter(taken_up_on__isnull=True)
        self.on = on

    def clean_since(self) -> date:
        since: date = self.cleaned_data["since"]
        if since > self.on:
            raise ValidationError("That day has not come yet.")
        return since

    def move(self) -> Move:
        return Move(*(self.cleaned_data[name] for name in ("road", "since", "moved_by", "note")))


class RoadForm(OnceForm):
    name = forms.CharField(label="What it is called", max_length=40)
    kind = forms.ChoiceField(label="What it is", choices=list(ROAD_KINDS.items()))
    position = forms.IntegerField(label="How far down the drawing", min_value=1, max_value=99, initial=1)

    def columns(self) -> dict[str, Any]:
        return {name: self.cleaned_data[name] for name in ("name", "kind", "position")}
