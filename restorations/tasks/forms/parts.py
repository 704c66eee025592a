"""Forms for parts coming off, being described, and going back."""

from typing import Any

from django import forms
from django.core.exceptions import ValidationError

from restorations.engines.models import Engine, OwnerConsent
from restorations.knowledge import Configuration
from restorations.photos.fields import PhotosField
from restorations.tasks.models import ENDINGS, StrippedPart
from restorations.tasks.models.boxes import MOST_PLACES
from restorations.tasks.models.parts import STAYS_OFF
from restorations.tasks.parts import part_names
from restorations.tasks.services import Ending, Fixings, Stripping, split_part_id
from restorations.web.conflicts import VersionedForm
from restorations.web.fields import OnceForm, QuantityField

ONE_NAME = "Choose the part, or write your own name for it: one of the two."


def part_choices(configuration: Configuration, none: str) -> list[tuple[str, str]]:
    return [("", none), *part_names(configuration).items()]


def place_field() -> forms.IntegerField:
    return forms.IntegerField(
        label="Place in the box", required=False, min_value=1, max_value=MOST_PLACES,
        widget=forms.NumberInput(attrs={"class": "short", "inputmode": "numeric"}),
    )  # fmt: skip


def thickness_field(label: str) -> QuantityField:
    return QuantityField(
        label=label, dimension="length", lowest=0.0, highest=0.05, limits="from nothing to 50 mm", required=False,
        help_text="As measured: 4 thou, 0.1 mm, 1/64 in.",
    )  # fmt: skip


class TakeOffForm(OnceForm):
    """What came off, by the knowledge's name or one's own, and the box it went into. The rest can wait."""

    photos = PhotosField(label="Photo, as it sat", required=False)
    part = forms.ChoiceField(label="Part", required=False)
    name = forms.CharField(
        label="Or in your own words", max_length=80, required=False, help_text="For what is not in the list."
    )
    box = forms.CharField(label="Box", max_length=60, help_text="Its number, code or label. A new one is made for you.")
    tray_place = place_field()

    def __init__(self, *args: Any, configuration: Configuration, offered: str = "", **options: Any) -> None:
        super().__init__(*args, **options)
        part: Any = self.fields["part"]
        part.choices = part_choices(configuration, "not in this list")
        box = self.fields["box"]
        box.widget.attrs["list"] = "boxes"
        if offered:
            box.help_text = f"Its number, code or label. {offered} is empty; a new one is made for you."

    def clean(self) -> dict[str, Any]:
        data = super().clean() or {}
        if data.get("part") and data.get("name"):
            self.add_error("name", ONE_NAME)
        if not (data.get("part") or data.get("name") or data.get("photos") or self.errors):
            raise ValidationError("Add a photo or say what it is: one of the two is enough for now.")
        return data

    @property
    def caption(self) -> str:
        """What its photos show."""
        part: Any = self.fields["part"]
        return str(self.cleaned_data["name"] or dict(part.choices).get(self.cleaned_data["part"] or None, ""))

    def stripping(self) -> Stripping:
        data = self.cleaned_data
        return Stripping(data["part"], data["name"], data["box"], data["tray_place"])


class DescribeForm(VersionedForm):
    """The rest about a part: its name, how it sat, what it belongs with, where it lies."""

    part = forms.ChoiceField(label="Part", required=False)
    name = forms.CharField(label="Or in your own words", max_length=80, required=False)
    orientation = forms.CharField(
        label="Which way it sat", max_length=200, required=False,
        help_text="Oil hole up, maker's mark to the front, two dots on both faces …",
    )  # fmt: skip
    mates = forms.CharField(
        label="What it belongs with", max_length=200, required=False, help_text="Its pair, its cap, the pin it runs on."
    )
    shim = thickness_field("Shims as found")
    gasket = thickness_field("Gasket as found")
    box = forms.CharField(label="Box", max_length=60, required=False, help_text="Its number, code or label.")
    tray_place = place_field()

    def __init__(self, *args: Any, configuration: Configuration, row: StrippedPart, **options: Any) -> None:
        options["initial"] = _described(row)
        super().__init__(*args, **options)
        part: Any = self.fields["part"]
        part.choices = part_choices(configuration, "not in this list, or not known yet")
        if row.part_id and row.part_id not in dict(part.choices):
            part.choices.append((row.part_id, row.part_id.replace("_", " ")))
        self.fields["box"].widget.attrs["list"] = "boxes"

    def clean(self) -> dict[str, Any]:
        data = super().clean() or {}
        if data.get("part") and data.get("name"):
            self.add_error("name", ONE_NAME)
        return data

    def columns(self) -> dict[str, Any]:
        """The columns of the row; each thickness as typed and in millimetres."""
        data = self.cleaned_data
        component, place = split_part_id(data["part"])
        plain = {name: data[name] for name in ("name", "orientation", "mates", "tray_place")}
        thick = _in_two_columns("shim", data["shim"]) | _in_two_columns("gasket", data["gasket"])
        return {"component": component, "place": place, **plain, **thick}


def _described(row: StrippedPart) -> dict[str, Any]:
    plain = {name: getattr(row, name) for name in ("name", "orientation", "mates", "box", "tray_place", "version")}
    return plain | {"part": row.part_id, "shim": row.shim_typed, "gasket": row.gasket_typed}


def _in_two_columns(name: str, quantity: Any) -> dict[str, Any]:
    if quantity is None:
        return {f"{name}_typed": "", f"{name}_mm": None}
    return {f"{name}_typed": quantity.typed, f"{name}_mm": quantity.to("millimeter")}


class PartPhotosForm(OnceForm):
    photos = PhotosField(label="Photos of it")


class FixingsForm(OnceForm):
    """One set of screws, bolts or studs."""

    how_many = forms.IntegerField(
        label="How many", min_value=1, max_value=999, widget=forms.NumberInput(attrs={"class": "short"})
    )
    thread = forms.CharField(label="Thread and head", max_length=40, help_text="6 BA hexagon, M3 cap, 3/16 x 40 stud.")
    length = QuantityField(
        label="Length", dimension="length", lowest=0.0005, highest=0.5, limits="from 0.5 mm to 500 mm", required=False
    )
    holes = forms.CharField(
        label="Which holes", max_length=80, required=False, help_text="The two at the top; the long one by the cock."
    )
    lie_in = forms.CharField(label="Where they lie", max_length=80, required=False)

    def fixings(self) -> Fixings:
        data = self.cleaned_data
        return Fixings(
            how_many=data["how_many"], thread=data["thread"], holes=data["holes"], lie_in=data["lie_in"],
            **_in_two_columns("length", data["length"]),
        )  # fmt: skip


def _consents(engine: Engine) -> Any:
    return OwnerConsent.objects.not_struck().filter(engine=engine)


class EndPartForm(OnceForm):
    """How a part's time off ended."""

    ending = forms.ChoiceField(label="How did it end?", choices=list(ENDINGS.items()), widget=forms.RadioSelect)
    reason = forms.CharField(
        label="Why", max_length=200, required=False, help_text="Needed where it stays off on purpose."
    )
    consent = forms.ModelChoiceField(
        OwnerConsent.objects.none(), label="The owner's consent", required=False, empty_label="none",
        help_text="Needed where it is scrapped; it is recorded with the engine's papers.",
    )  # fmt: skip

    def __init__(self, *args: Any, engine: Engine, **options: Any) -> None:
        super().__init__(*args, **options)
        consent: Any = self.fields["consent"]
        consent.queryset = _consents(engine)

    def how(self) -> Ending:
        data = self.cleaned_data
        consent = data["consent"] if data["ending"] == "scrapped" else None
        return Ending(data["ending"], data["reason"], consent)


class NeverOffForm(OnceForm):
    """A part went back on that nobody had written down as off."""

    part = forms.ChoiceField(label="Part", required=False)
    name = forms.CharField(label="Or in your own words", max_length=80, required=False)
    ending = forms.ChoiceField(
        label="How", choices=[pair for pair in ENDINGS.items() if pair[0] not in STAYS_OFF], initial="refitted"
    )

    def __init__(self, *args: Any, configuration: Configuration, **options: Any) -> None:
        super().__init__(*args, **options)
        part: Any = self.fields["part"]
        part.choices = part_choices(configuration, "not in this list")

    def clean(self) -> dict[str, Any]:
        data = super().clean() or {}
        if bool(data.get("part")) == bool(data.get("name")):
            raise ValidationError(ONE_NAME)
        return data

    def stripping(self) -> Stripping:
        return Stripping(self.cleaned_data["part"], self.cleaned_data["name"])


class ReasonForm(OnceForm):
    reason = forms.CharField(label="Why is it struck out?", max_length=200)
