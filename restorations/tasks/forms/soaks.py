"""Forms for soaks and for attempts at freeing what soaks."""

from datetime import datetime
from typing import Any

from django import forms
from django.core.exceptions import ValidationError
from django.utils import timezone

from restorations.knowledge import Configuration
from restorations.photos.fields import PhotosField
from restorations.tasks.models import PUSHES
from restorations.tasks.parts import soak_places
from restorations.tasks.services import Attempt, SoakPlan
from restorations.web.fields import OnceForm
from restorations.web.units import UNITS, NotAQuantity, Quantity, read_quantity

FORMATS = ["%Y-%m-%dT%H:%M", "%Y-%m-%dT%H:%M:%S", "%Y-%m-%d %H:%M", "%Y-%m-%d"]
EARLIEST_YEAR, LATEST_YEAR = 1900, 2200
LONGEST_MM, LONGEST_DEGREES = 500.0, 360.0


def _check_year(moment: datetime) -> None:
    """The ends of the calendar fall off it in another zone."""
    if not EARLIEST_YEAR <= moment.year <= LATEST_YEAR:
        raise ValidationError(f"Check the year: {EARLIEST_YEAR} to {LATEST_YEAR} are possible.")


def moment_field(label: str, *, required: bool = False, help_text: str = "") -> forms.DateTimeField:
    return forms.DateTimeField(
        label=label, required=required, help_text=help_text, input_formats=FORMATS, validators=[_check_year],
        widget=forms.DateTimeInput(attrs={"type": "datetime-local"}),
    )  # fmt: skip


class SoakForm(OnceForm):
    place = forms.ChoiceField(label="Where")
    fluid = forms.CharField(label="In what", max_length=80, help_text="Steam oil, paraffin, release oil …")
    is_volatile = forms.BooleanField(
        label="It gives off vapour that burns", required=False,
        help_text="Paraffin, thinners, release spray: no heat, flame or lamp near it until it is wiped off and aired.",
    )  # fmt: skip
    due_at = moment_field("Until", required=True)
    care = forms.CharField(
        label="Meanwhile", max_length=80, required=False, help_text="Top up, turn a little, renew the rag."
    )
    next_care_at = moment_field("Next time", help_text="You and the hands of the engine get a message then.")

    def __init__(self, *args: Any, configuration: Configuration, **options: Any) -> None:
        super().__init__(*args, **options)
        place: Any = self.fields["place"]
        place.choices = list(soak_places(configuration).items())

    def clean_due_at(self) -> Any:
        due = self.cleaned_data["due_at"]
        if due <= timezone.now():
            raise ValidationError("A soak that begins now ends later than now.")
        return due

    def clean_next_care_at(self) -> Any:
        return _still_to_come(self.cleaned_data["next_care_at"])

    def clean(self) -> dict[str, Any]:
        data = super().clean() or {}
        if data.get("care") and not data.get("next_care_at") and "next_care_at" not in self.errors:
            self.add_error("next_care_at", f"Say when to {data['care'].lower()}.")
        return data

    def plan(self) -> SoakPlan:
        data = self.cleaned_data
        return SoakPlan(
            data["place"], data["fluid"], data["is_volatile"], data["due_at"], data["care"], data["next_care_at"]
        )


def _still_to_come(moment: datetime | None) -> datetime | None:
    if moment is not None and moment <= timezone.now():
        raise ValidationError("That is past; give a moment still to come.")
    return moment


class CareForm(OnceForm):
    """It was topped up or turned; when next?"""

    next_care_at = moment_field("Next time", help_text="Left open: no further reminder.")

    def clean_next_care_at(self) -> Any:
        return _still_to_come(self.cleaned_data["next_care_at"])


class EndSoakForm(OnceForm):
    ended_at = moment_field("When, if not just now")

    def clean_ended_at(self) -> datetime:
        ended: datetime = self.cleaned_data["ended_at"] or timezone.now()
        if ended > timezone.now():
            raise ValidationError("That is still to come; a soak is written up once it is over.")
        return ended


class GainField(forms.CharField):
    """A movement in mm or degrees, as it was measured; nothing gained is 0."""

    def clean(self, value: Any) -> Any:
        text = " ".join(super().clean(value).split())
        if text == "0":
            return Quantity("0", 0.0, "length")
        try:
            quantity = _movement(text)
        except NotAQuantity as error:
            raise ValidationError(str(error)) from None
        most, unit = (LONGEST_DEGREES, "degree") if quantity.dimension == "angle" else (LONGEST_MM, "millimeter")
        if not 0 <= quantity.to(unit) <= most:
            raise ValidationError(f"“{text}” is outside what is possible: from 0 to 500 mm, or to 360 degrees.")
        return quantity

    def prepare_value(self, value: Any) -> Any:
        return value.typed if isinstance(value, Quantity) else value


def _movement(text: str) -> Quantity:
    """Degrees where the unit is one of angle; else a length, whose reader says what is wrong."""
    unit = text.lstrip("+-−0123456789./½¼¾⅛⅜⅝⅞ ").lower()
    return read_quantity(text, "angle" if unit in UNITS["angle"] else "length")


class AttemptForm(OnceForm):
    place = forms.ChoiceField(label="What was tried")
    method = forms.CharField(
        label="How", max_length=120, help_text="Rocked at the tyre by hand; wooden wedge; warm-water bags first."
    )
    push = forms.ChoiceField(label="How did it move?", choices=list(PUSHES.items()), widget=forms.RadioSelect)
    forward = GainField(label="Gained forward", help_text="2 mm or 5 deg; 0 where nothing was gained.")
    back = GainField(label="Gained back", help_text="2 mm or 5 deg; 0 where nothing was gained.")
    full_turn = forms.BooleanField(label="It went right round", required=False)
    photos = PhotosField(label="Photo from the same spot", required=False)
    note = forms.CharField(
        label="Note", max_length=400, required=False, widget=forms.Textarea(attrs={"rows": 2}),
        help_text="What you heard and felt; what came out.",
    )  # fmt: skip

    def __init__(self, *args: Any, configuration: Configuration, **options: Any) -> None:
        super().__init__(*args, **options)
        place: Any = self.fields["place"]
        place.choices = list(soak_places(configuration).items())

    def clean(self) -> dict[str, Any]:
        data = super().clean() or {}
        forward, back = data.get("forward"), data.get("back")
        if forward and back and forward.dimension != back.dimension:
            alike = _alike(forward, back)
            if alike is None:
                self.add_error("back", "Give both ways in the same measure: both in mm, or both in degrees.")
            else:
                data["forward"], data["back"] = alike
        return data

    def attempt(self) -> Attempt:
        data = self.cleaned_data
        names = ("place", "method", "push", "forward", "back", "full_turn", "note")
        return Attempt(**{name: data[name] for name in names})


def _alike(forward: Quantity, back: Quantity) -> tuple[Quantity, Quantity] | None:
    """A nought has no measure of its own: it takes the other's."""
    if forward.si == 0:
        return Quantity(forward.typed, 0.0, back.dimension), back
    if back.si == 0:
        return forward, Quantity(back.typed, 0.0, forward.dimension)
    return None
