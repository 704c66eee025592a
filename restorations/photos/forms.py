"""Forms for photos, their marks and clips."""

from datetime import date, datetime, time
from typing import Any

from django import forms
from django.core.exceptions import ValidationError
from django.http import QueryDict
from django.utils import timezone

from restorations.members.models.entries import PRECISIONS
from restorations.photos.fields import ClipField, PhotosField
from restorations.photos.models import VIEWS, Photo
from restorations.photos.services.marks import MarkPlan
from restorations.web.conflicts import VersionedForm
from restorations.web.fields import OnceForm, day_field

VIEW_CHOICES = [("", "something else"), *VIEWS.items()]
SHOWN = {
    "": "all",
    "stripping": "how it came apart",
    "waiting": "waiting to be accepted",
    "struck": "struck out",
    **VIEWS,
}
EXACTLY = {"minute": "as the camera has it", **{name: words for name, words in PRECISIONS.items() if name != "minute"}}
LAST_PLACE = 9999


class UploadForm(OnceForm):
    """Several pictures at once; the words go with each of them."""

    photos = PhotosField()
    caption = forms.CharField(label="Caption", max_length=200, required=False)
    view = forms.ChoiceField(label="What it shows", choices=VIEW_CHOICES, required=False)
    stripping = forms.BooleanField(
        label="Taken while stripping",
        required=False,
        help_text="Kept in order, to be stepped back through at refitting.",
    )


class ShownForm(forms.Form):
    show = forms.ChoiceField(label="Show", choices=list(SHOWN.items()), required=False)


class PhotoForm(VersionedForm):
    """What is said of a photo; each name is that of the row, so that two versions can be laid side by side."""

    caption = forms.CharField(label="Caption", max_length=200, required=False)
    view = forms.ChoiceField(label="What it shows", choices=VIEW_CHOICES, required=False)
    strip_order = forms.IntegerField(
        label="Place in the order of stripping", min_value=1, max_value=LAST_PLACE, required=False,
        help_text="1 came off first. Empty: it is not about stripping.", widget=forms.NumberInput({"class": "short"}),
    )  # fmt: skip
    taken_on = day_field("Taken on", required=False)
    taken_precision = forms.ChoiceField(label="How exactly that is known", choices=list(EXACTLY.items()))
    taken_by_name = forms.CharField(label="Taken by, if not a member", max_length=80, required=False)
    shows_assembly = forms.BooleanField(label="Shows it rightly assembled, for sister engines", required=False)

    def __init__(self, data: QueryDict | None, *, photo: Photo, speaks_for_design: bool) -> None:
        names = ("caption", "view", "strip_order", "taken_on", "taken_precision", "taken_by_name", "shows_assembly")
        said = {name: getattr(photo, name) for name in (*names, "version")}
        super().__init__(data, initial=said)
        self.photo = photo
        if not speaks_for_design:
            del self.fields["shows_assembly"]

    def clean_taken_on(self) -> date | None:
        on: date | None = self.cleaned_data["taken_on"]
        if on and on > timezone.localdate():
            raise ValidationError("That day is yet to come.")
        return on

    def columns(self) -> dict[str, Any]:
        """The columns of the row; the moment stays as the camera had it unless the day was changed."""
        data = dict(self.cleaned_data)
        on, exactly = data["taken_on"], data["taken_precision"]
        columns = {name: data[name] for name in ("caption", "view", "strip_order", "taken_by_name")}
        if "shows_assembly" in data:
            columns["design"] = self.photo.engine.design if data["shows_assembly"] else None
        if on != self.photo.taken_on:
            columns["taken_at"] = timezone.make_aware(datetime.combine(on, time(12))) if on else None
            exactly = "day" if on and exactly == "minute" else exactly
        return {**columns, "taken_precision": exactly}


def _per_cent(label: str, **options: Any) -> forms.FloatField:
    widget = forms.NumberInput({"class": "short", "step": "0.5", "min": "0", "max": "100"})
    return forms.FloatField(label=label, min_value=0, max_value=100, widget=widget, **options)


class MarkFields(forms.Form):
    """A balloon: its words, the spot it is about, and where it stands; in per cent of the picture."""

    words = forms.CharField(label="What is there", max_length=200)
    across = _per_cent("From the left, per cent")
    down = _per_cent("From the top, per cent")
    balloon_across = _per_cent("Balloon from the left, per cent", required=False)
    balloon_down = _per_cent("Balloon from the top, per cent", required=False)

    def clean(self) -> dict[str, Any]:
        data = super().clean() or {}
        if not self.errors and (data["balloon_across"] is None) != (data["balloon_down"] is None):
            raise ValidationError("Give both numbers of the balloon's place, or neither.")
        return data

    def plan(self) -> MarkPlan:
        data = {name: value / 100 for name, value in self.cleaned_data.items() if isinstance(value, float)}
        balloon = (data["balloon_across"], data["balloon_down"]) if "balloon_down" in data else None
        return MarkPlan(self.cleaned_data["words"], (data["across"], data["down"]), balloon)


class MarkForm(MarkFields, OnceForm):
    field_order = ("submission", "words")


class ChangeMarkForm(MarkFields, VersionedForm):
    field_order = ("submission", "version", "words")


class PairForm(VersionedForm):
    """Which earlier photo of the engine shows the same before; empty takes it back."""

    before = forms.IntegerField(label="Before", required=False, min_value=1, max_value=2**63 - 1)


class ClipForm(OnceForm):
    clip = ClipField(label="Sound or video")
    caption = forms.CharField(
        label="What is heard or seen", max_length=200, help_text="“Knock at slow running, left side”."
    )
