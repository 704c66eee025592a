"""The take-in sheet, its signatures, and what is found later."""

from datetime import date
from typing import Any, ClassVar

from django import forms
from django.forms.boundfield import BoundField

from restorations.engines.forms.papers import not_ahead
from restorations.engines.models import TakeIn
from restorations.engines.models.take_in import HAZARDS, LOOKED, MARKS, SIGNS
from restorations.web.conflicts import VersionedForm
from restorations.web.fields import OnceForm, QuantityField, day_field

LIGHTEST_KG, HEAVIEST_KG = 0.1, 20_000.0


def _words(label: str, help_text: str = "", rows: int = 2) -> forms.CharField:
    widget = forms.Textarea(attrs={"rows": rows})
    return forms.CharField(label=label, max_length=2000, required=False, widget=widget, help_text=help_text)


def _line(label: str, longest: int, help_text: str = "") -> forms.CharField:
    return forms.CharField(label=label, max_length=longest, required=False, help_text=help_text)


class TakeInForm(VersionedForm):
    """Everything may stay open until it is looked at; "not looked" is never "not found"."""

    brought_by = _line("Who brought it", 80)
    came_on = day_field("When it came", required=False)
    agreed_use = _words("What was agreed about its use", "Who may run it, where, for how long, who pays for what.")
    keys = _line("Keys, handles and tools that came with it", 200)
    stamped_number = _line("Number stamped on the boiler", 40, "As it is stamped: look with a lamp, do not scrape.")
    papers_number = _line("Boiler number in the papers", 40)
    weight_typed = QuantityField(
        dimension="mass", lowest=LIGHTEST_KG, highest=HEAVIEST_KG, limits="from 0.1 kg to 20000 kg",
        label="Weight", required=False,
    )  # fmt: skip
    lifting = _words("Where to lift it, and where not", "Two people or a table; never by pipes, cab or chimney.")
    missing = _words("Missing")
    broken = _words("Broken")
    altered = _words("Altered")
    loose_parts = _words("Loose parts, and in which bag")
    marks = forms.MultipleChoiceField(
        label="Somebody has been here before", choices=list(MARKS.items()), required=False,
        widget=forms.CheckboxSelectMultiple, help_text="Tick what is seen.",
    )  # fmt: skip
    marks_note = _words("Where those marks are")

    parts: ClassVar[dict[str, tuple[str, ...]]] = {
        "How it came": ("brought_by", "came_on", "agreed_use", "keys"),
        "Boiler number": ("stamped_number", "papers_number"),
        "Weight and lifting": ("weight_typed", "lifting"),
        "What is there and what is not": ("missing", "broken", "altered", "loose_parts"),
        "Marks of earlier work": ("marks", "marks_note"),
    }

    def __init__(self, *args: Any, on: date, **options: Any) -> None:
        super().__init__(*args, **options)
        self.on = on
        for key, title in HAZARDS.items():
            self.fields[key] = forms.ChoiceField(
                label=title, choices=list(LOOKED.items()), initial="not_looked", widget=forms.RadioSelect
            )
            self.fields[f"{key}_note"] = _line(f"{title}: where, how much", 200)

    def clean_came_on(self) -> date | None:
        day: date | None = self.cleaned_data["came_on"]
        return not_ahead(day, self.on) if day else None

    def clean(self) -> dict[str, Any]:
        cleaned = super().clean() or {}
        quantity = cleaned.get("weight_typed")
        cleaned["weight_kg"] = quantity.si if quantity else None
        cleaned["weight_typed"] = quantity.typed if quantity else ""
        return cleaned

    def facts(self) -> dict[str, Any]:
        """The columns to save."""
        return {name: value for name, value in self.cleaned_data.items() if name not in {"submission", "version"}}

    @property
    def groups(self) -> list[tuple[str, list[BoundField]]]:
        """The fields by heading; the hazards stand by themselves."""
        return [(heading, [self[name] for name in names]) for heading, names in self.parts.items()]

    @property
    def hazards(self) -> list[tuple[BoundField, BoundField]]:
        return [(self[key], self[f"{key}_note"]) for key in HAZARDS]

    @classmethod
    def said_of(cls, sheet: TakeIn | None) -> dict[str, Any]:
        """What to draw the form with; a sheet not begun yet is version 1."""
        if sheet is None:
            return {"version": 1}
        names = [name for part in cls.parts.values() for name in part]
        hazards = [name for key in HAZARDS for name in (key, f"{key}_note")]
        return {name: getattr(sheet, name) for name in ("version", *names, *hazards)}


class SignForm(OnceForm):
    """Whoever took it in signs as the member signed in; whoever brought it types the name."""

    version = forms.IntegerField(widget=forms.HiddenInput, min_value=1, max_value=2**31 - 1)
    sign = forms.ChoiceField(widget=forms.HiddenInput, choices=list(SIGNS.items()))
    name = forms.CharField(
        label="Your name", max_length=80, required=False, help_text="You have read the sheet above and stand by it."
    )

    def clean(self) -> dict[str, Any]:
        cleaned = super().clean() or {}
        if cleaned.get("sign") == "brought" and not cleaned.get("name") and "name" not in self.errors:
            self.add_error("name", "Whoever brought it types their own name here.")
        return cleaned


class LaterFindingForm(OnceForm):
    text = forms.CharField(label="What was found", max_length=2000, widget=forms.Textarea(attrs={"rows": 3}))
    found_on = day_field("Found on")

    def __init__(self, *args: Any, on: date, **options: Any) -> None:
        super().__init__(*args, **{"initial": {"found_on": on}, **options})
        self.on = on

    def clean_found_on(self) -> date:
        return not_ahead(self.cleaned_data["found_on"], self.on)
