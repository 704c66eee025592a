"""Forms for parts coming off and for soaks."""

from typing import Any

from django import forms
from django.core.exceptions import ValidationError
from django.utils import timezone

from restorations.knowledge import Configuration
from restorations.tasks.models import ENDINGS
from restorations.tasks.parts import part_names, soak_places
from restorations.tasks.services import SoakPlan
from restorations.web.fields import OnceForm


class TakeOffForm(OnceForm):
    """A part, or none yet ("to be named"), and where it lies."""

    part = forms.ChoiceField(label="Part", required=False)
    box = forms.CharField(label="Box or place", max_length=60, required=False)

    def __init__(self, *args: Any, configuration: Configuration, **options: Any) -> None:
        super().__init__(*args, **options)
        part: Any = self.fields["part"]
        part.choices = [("", "to be named later"), *part_names(configuration).items()]

    def clean(self) -> dict[str, Any]:
        data = super().clean() or {}
        if not data.get("part") and not data.get("box") and not self.errors:
            raise ValidationError("Give a name or a box, so that it can be found again.")
        return data


class EndPartForm(OnceForm):
    ending = forms.ChoiceField(label="How did it end?", choices=list(ENDINGS.items()), initial="refitted")


class SoakForm(OnceForm):
    place = forms.ChoiceField(label="Where")
    fluid = forms.CharField(label="In what", max_length=80, help_text="Steam oil, paraffin, release oil …")
    is_volatile = forms.BooleanField(
        label="It gives off vapour that burns", required=False,
        help_text="Paraffin, thinners, release spray: no heat, flame or lamp near it until it is wiped off and aired.",
    )  # fmt: skip
    due_at = forms.DateTimeField(
        label="Until", widget=forms.DateTimeInput(attrs={"type": "datetime-local"}),
        input_formats=["%Y-%m-%dT%H:%M", "%Y-%m-%dT%H:%M:%S", "%Y-%m-%d %H:%M", "%Y-%m-%d"],
    )  # fmt: skip

    def __init__(self, *args: Any, configuration: Configuration, **options: Any) -> None:
        super().__init__(*args, **options)
        place: Any = self.fields["place"]
        place.choices = list(soak_places(configuration).items())

    def clean_due_at(self) -> Any:
        due = self.cleaned_data["due_at"]
        if due <= timezone.now():
            raise ValidationError("A soak that begins now ends later than now.")
        return due

    def plan(self) -> SoakPlan:
        data = self.cleaned_data
        return SoakPlan(data["place"], data["fluid"], data["is_volatile"], data["due_at"])
