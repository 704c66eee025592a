"""Forms for boxes."""

from typing import Any

from django import forms

from restorations.tasks.models import Box
from restorations.tasks.models.boxes import HIGHEST_NUMBER, MOST_PLACES
from restorations.tasks.services import BoxChange, BoxPlan
from restorations.web.conflicts import VersionedForm
from restorations.web.fields import OnceForm


def label_field() -> forms.CharField:
    return forms.CharField(label="What is written on it", max_length=60, required=False)


def where_field() -> forms.CharField:
    return forms.CharField(
        label="Where it stands", max_length=80, required=False, help_text="Second shelf, behind the lathe."
    )


def places_field() -> forms.IntegerField:
    return forms.IntegerField(
        label="Numbered places in it", min_value=1, max_value=MOST_PLACES, initial=6,
        widget=forms.NumberInput(attrs={"class": "short"}), help_text="Compartments, or corners of a tray.",
    )  # fmt: skip


class BoxForm(OnceForm):
    """A new box; it gets its code by itself."""

    number = forms.IntegerField(
        label="Number", min_value=1, max_value=HIGHEST_NUMBER, required=False,
        widget=forms.NumberInput(attrs={"class": "short"}), help_text="Left open: the next one.",
    )  # fmt: skip
    label = label_field()
    where = where_field()
    places = places_field()

    def plan(self) -> BoxPlan:
        return BoxPlan(**{name: self.cleaned_data[name] for name in ("number", "label", "where", "places")})


class ChangeBoxForm(VersionedForm):
    label = label_field()
    where = where_field()
    places = places_field()

    def __init__(self, *args: Any, box: Box, **options: Any) -> None:
        options["initial"] = {name: getattr(box, name) for name in ("label", "where", "places", "version")}
        super().__init__(*args, **options)

    def change(self) -> BoxChange:
        return BoxChange(**{name: self.cleaned_data[name] for name in ("label", "where", "places")})


class FindBoxForm(forms.Form):
    """What is written on a box, or on the label in one's hand."""

    q = forms.CharField(label="Number, code or label", max_length=60, required=False)
