"""Forms for connections: parted with what must be so before, joined with both ends looked over."""

from typing import Any

from django import forms
from django.core.exceptions import ValidationError

from restorations.knowledge import Configuration
from restorations.photos.fields import PhotosField
from restorations.tasks.connections import PRECAUTIONS, missing_precautions
from restorations.tasks.forms.parts import part_choices
from restorations.tasks.models import CARRIES, CLOSINGS, FLOWS
from restorations.tasks.services import Parting
from restorations.web.fields import OnceForm

EVERY_PRECAUTION = {key: words for group in PRECAUTIONS.values() for key, words in group.items()}


def end_field(letter: str) -> forms.CharField:
    return forms.CharField(label=f"End {letter}, at", max_length=80)


def closed_field(letter: str) -> forms.ChoiceField:
    return forms.ChoiceField(label=f"End {letter} is now", choices=list(CLOSINGS.items()))


class PartForm(OnceForm):
    """A connection was parted: both ends, and what was so before."""

    carries = forms.ChoiceField(label="What does it carry?", choices=list(CARRIES.items()))
    part = forms.ChoiceField(
        label="Which is it?", required=False, help_text="Where it is in the list, the fault sheet knows that it is off."
    )
    name = forms.CharField(
        label="Or in your own words", max_length=80, required=False, help_text="Feed pipe to the left clack."
    )
    end_a = end_field("A")
    closed_a = closed_field("A")
    end_b = end_field("B")
    closed_b = closed_field("B")
    flow = forms.ChoiceField(label="Which way does it flow?", choices=list(FLOWS.items()), initial="not_known")
    photos = PhotosField(label="Photo, both ends in it if they will go", required=False)
    made_safe = forms.MultipleChoiceField(
        label="Before it was parted", required=False, widget=forms.CheckboxSelectMultiple,
        choices=list(EVERY_PRECAUTION.items()), help_text="Tick what you made sure of.",
    )  # fmt: skip
    apart_already = forms.BooleanField(
        label="It is apart already: write it down as it was done", required=False,
        help_text="The truth is never refused; what was not made sure of is shown.",
    )  # fmt: skip

    def __init__(self, *args: Any, configuration: Configuration, asked: str = "", **options: Any) -> None:
        super().__init__(*args, **options)
        part: Any = self.fields["part"]
        part.choices = part_choices(configuration, "not in this list")
        kind = self.data.get("carries", asked) if self.is_bound else asked
        if kind in PRECAUTIONS:
            self.fields["carries"].initial = kind
            safe: Any = self.fields["made_safe"]
            safe.choices = list(PRECAUTIONS[kind].items())

    def clean(self) -> dict[str, Any]:
        data = super().clean() or {}
        if bool(data.get("part")) == bool(data.get("name")) and not self.errors:
            self.add_error("name", "Choose what it is, or write your own name for it: one of the two.")
        missing = missing_precautions(data.get("carries", ""), data.get("made_safe", []))
        if missing and not data.get("apart_already") and "made_safe" not in self.errors and not self.errors:
            raise ValidationError({"made_safe": f"Still to make sure of before it is parted: {'; '.join(missing)}."})
        return data

    def parting(self) -> Parting:
        data = self.cleaned_data
        names = ("carries", "end_a", "end_b", "name", "flow", "closed_a", "closed_b")
        return Parting(**{name: data[name] for name in names}, part_id=data["part"], made_safe=tuple(data["made_safe"]))


class JoinForm(OnceForm):
    """The tick counts where whoever joins it is one of the hands, the owner or a mentor."""

    both_checked = forms.BooleanField(
        label="I have looked over both ends together: plugs and caps out, right way round, tight", required=False
    )
