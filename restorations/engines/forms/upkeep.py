"""Lines of the oil chart and of the fastenings table, and notes on a design."""

from typing import Any, ClassVar

from django import forms

from restorations.engines.models.design_notes import NOTE_KINDS
from restorations.engines.models.upkeep import HOW_OFTEN, MOST_OF_ONE
from restorations.web.conflicts import VersionedForm
from restorations.web.fields import OnceForm, QuantityField


class UpkeepForm(VersionedForm):
    """What the two tables have in common; `columns` are saved as they are."""

    names: ClassVar[tuple[str, ...]] = ()

    def columns(self) -> dict[str, Any]:
        return {name: self.cleaned_data[name] for name in self.names}

    @classmethod
    def said_of(cls, row: Any) -> dict[str, Any]:
        """What to draw the form with; a new line is version 1."""
        if row is None:
            return {"version": 1}
        return {name: getattr(row, name) for name in ("version", *cls.names)}


class OilPointForm(UpkeepForm):
    names = ("point", "oil", "how_often", "note")

    point = forms.CharField(label="Point", max_length=80, help_text="Left crosshead, axleboxes, mechanical lubricator.")
    oil = forms.CharField(label="Oil", max_length=80, help_text="Steam oil 460, motion oil 68.")
    how_often = forms.ChoiceField(label="How often", choices=list(HOW_OFTEN.items()))
    note = forms.CharField(label="Note", max_length=200, required=False)


class FasteningForm(UpkeepForm):
    names = ("where", "thread", "length_typed", "length_mm", "how_many", "spanner", "note")

    where = forms.CharField(label="Place", max_length=80, help_text="Left cylinder, front cover.")
    thread = forms.CharField(label="Thread and head", max_length=40, help_text="6 BA hexagon, M3 cap head.")
    length_typed = QuantityField(
        dimension="length", lowest=0.5e-3, highest=1.0, limits="a length of 0.5 mm to 1 m", label="Length",
        required=False,
    )  # fmt: skip
    how_many = forms.IntegerField(label="How many", min_value=1, max_value=MOST_OF_ONE, required=False)
    spanner = forms.CharField(label="Spanner or key", max_length=40, required=False)
    note = forms.CharField(label="Note", max_length=200, required=False)

    def clean(self) -> dict[str, Any]:
        cleaned = super().clean() or {}
        quantity = cleaned.get("length_typed")
        cleaned["length_mm"] = quantity.to("millimeter") if quantity else None
        cleaned["length_typed"] = quantity.typed if quantity else ""
        return cleaned

    @classmethod
    def said_of(cls, row: Any) -> dict[str, Any]:
        said = super().said_of(row)
        said.pop("length_mm", None)
        return said


class DesignNoteForm(OnceForm):
    kind = forms.ChoiceField(label="What kind of note", choices=list(NOTE_KINDS.items()))
    text = forms.CharField(label="In your words", max_length=2000, widget=forms.Textarea(attrs={"rows": 3}))
