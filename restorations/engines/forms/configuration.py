"""The questions of what an engine is made of."""

from typing import Any

from django import forms
from django.forms.boundfield import BoundField
from django.http import QueryDict

from restorations.engines.forms.answers import AnswerField
from restorations.engines.forms.asking import AskingForm
from restorations.engines.models import EngineConfiguration
from restorations.engines.models.configuration import MEASURES, QUESTIONS
from restorations.engines.questions import DECIDING, GROUPS, choices_for, settled_by
from restorations.knowledge.configuration import CHOICES, LABELS, NOT_KNOWN
from restorations.knowledge.places import MOST_AXLES
from restorations.web.conflicts import VersionedForm
from restorations.web.fields import QuantityField

_LENGTHS = {  # lowest and highest [m], and the same in words
    "gauge_typed": (0.010, 0.700, "between the rails, 10 mm to 700 mm"),
    "bore_typed": (0.002, 0.200, "a bore of 2 mm to 200 mm"),
    "stroke_typed": (0.002, 0.300, "a stroke of 2 mm to 300 mm"),
    "wheel_diameter_typed": (0.010, 1.500, "over the tread, 10 mm to 1500 mm"),
}
_UNITS = {"length": "millimeter", "pressure": "kilopascal"}
_HELP = {
    "gauge_typed": "Between the rails: 5 in or 89 mm.",
    "bore_typed": "As on the drawing, or as measured: 1 1/8 in or 28.6 mm.",
    "stroke_typed": "Travel of the piston: 1 1/2 in or 38 mm.",
    "wheel_diameter_typed": "Over the tread, flange left out.",
    "working_pressure_typed": "Where the safety valve lifts: 90 psi or 6.2 bar.",
    "coupled_axles": "Trucks and tenders left out: an 0-6-0 or a 4-6-2 has three.",
}


def _choice(field: str) -> AnswerField:
    return AnswerField(label=LABELS[field], choices=CHOICES[field].items())


def _count(field: str, most: int) -> AnswerField:
    choices = [(NOT_KNOWN, "not known"), *((number, str(number)) for number in range(1, most + 1))]
    return AnswerField(label=LABELS[field], choices=choices, coerce=int, unknown=None)


def _measure(name: str) -> QuantityField:
    if name == "working_pressure_typed":
        return QuantityField(
            dimension="pressure",
            lowest=10e3,
            highest=2.5e6,
            limits="a working pressure of 2 psi to 360 psi",
            label=QUESTIONS[name],
            required=False,
        )
    lowest, highest, limits = _LENGTHS[name]
    return QuantityField(
        dimension="length", lowest=lowest, highest=highest, limits=limits, label=QUESTIONS[name], required=False
    )


class ConfigurationForm(AskingForm, VersionedForm):
    """Everything may stay open; what is derived is not asked. A known answer is replaced only with a reason."""

    deciding = DECIDING
    follows = staticmethod(settled_by)

    why = forms.CharField(
        label="Why it is corrected",
        max_length=200,
        required=False,
        help_text="Needed where an answer that stood is replaced: “measured with the cover off”.",
    )

    def __init__(
        self, data: QueryDict | None = None, *, current: EngineConfiguration, typed: QueryDict | None = None
    ) -> None:
        self.current = current
        super().__init__(data, said=said_of(current), typed=typed)
        self.initial.setdefault("version", current.number)

    def add_questions(self) -> None:
        self.fields |= {name: _choice(name) for name in CHOICES}
        self.fields |= {name: _count(name, MOST_AXLES) for name in ("coupled_axles", "driving_axle")}
        self.fields |= {name: _measure(name) for name in MEASURES}

    def ask(self) -> None:
        super().ask()
        for name, field in self.fields.items():
            field.help_text = _HELP.get(name, field.help_text)
        if "valve" in self.fields:
            self.fields["valve"].choices = choices_for("valve", self.so_far)  # type: ignore[attr-defined]
        if "driving_axle" in self.fields:
            self.fields["driving_axle"] = _count("driving_axle", self.so_far["coupled_axles"])

    def clean(self) -> dict[str, Any]:
        cleaned = super().clean() or {}
        for typed, column in MEASURES.items():
            quantity = cleaned.get(typed)
            cleaned[column] = quantity.to(_UNITS[quantity.dimension]) if quantity else None
            cleaned[typed] = quantity.typed if quantity else ""
        # Where somebody saved meanwhile, the two versions are shown first.
        on_latest = cleaned.get("version") == self.current.number
        if on_latest and not self.errors and not cleaned["why"] and self.replaced:
            words = "; ".join(self.replaced)
            self.add_error("why", f"Say why, so that others can follow it: this replaces what stood for {words}.")
        return cleaned

    @property
    def replaced(self) -> list[str]:
        """Questions whose known answer another one takes the place of."""
        after = self.answers()
        return [
            QUESTIONS[name].lower()
            for name in self.questions
            if self.initial[name] not in (NOT_KNOWN, None, "") and after[name] != self.initial[name]
        ]

    def answers(self) -> dict[str, Any]:
        """All columns of the next version: what was answered, what follows from it, and "not known" for the rest."""
        asked = {name: self.cleaned_data.get(name) or NOT_KNOWN for name in CHOICES}
        counts = {name: self.cleaned_data.get(name) for name in ("coupled_axles", "driving_axle")}
        measures = {name: self.cleaned_data[name] for name in (*MEASURES, *MEASURES.values())}
        return asked | counts | measures | self.settled

    @property
    def groups(self) -> list[tuple[str, list[BoundField]]]:
        """The questions asked, by heading."""
        fields = ((heading, [self[name] for name in names if name in self.fields]) for heading, names in GROUPS.items())
        return [(heading, asked) for heading, asked in fields if asked]


def said_of(configuration: EngineConfiguration) -> dict[str, Any]:
    """Each question with its answer as typed or chosen."""
    return {name: getattr(configuration, name) for name in QUESTIONS}
