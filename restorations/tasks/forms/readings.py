"""One reading by itself."""

from collections.abc import Mapping
from typing import Any

from django import forms
from django.core.exceptions import ValidationError

from restorations.tasks.forms.when import WhenForm
from restorations.tasks.measuring import LONGEST_LINE, TypedReading, dimension_of, plain, read_repeats
from restorations.web.units import NotAQuantity


class ReadingForm(WhenForm):
    what = forms.CharField(
        label="What was measured", max_length=80, help_text="From the list, or in your own words.",
        widget=forms.TextInput(attrs={"list": "whats", "autocomplete": "off"}),
    )  # fmt: skip
    where = forms.CharField(
        label="Where on the engine", max_length=40, required=False, help_text="Such as left, front."
    )
    value = forms.CharField(
        label="Value with its unit", max_length=LONGEST_LINE,
        help_text="1 1/8 in, 28.6 mm, 4 thou, 90 psi (as the gauge shows). Repeats with ; between.",
        widget=forms.TextInput(attrs={"autocomplete": "off"}),
    )  # fmt: skip
    state = forms.CharField(
        label="State of the engine", max_length=120, required=False, help_text="Such as cold, rods off, cocks open."
    )

    field_order = ("submission", "what", "where", "value", "state", "on", "about", "by_name")

    def __init__(self, *args: Any, known: Mapping[str, str] | None = None, **options: Any) -> None:
        super().__init__(*args, **options)
        self.known = dict(known or {})

    def clean(self) -> dict[str, Any]:
        data = super().clean()
        if data.get("what") and data.get("value"):
            what = data["what"]
            try:
                data["measured"] = read_repeats(data["value"], dimension_of(what) or self.known.get(plain(what), ""))
            except NotAQuantity as error:
                self.add_error("value", ValidationError(str(error)))
        return data

    def typed(self) -> TypedReading:
        data = self.cleaned_data
        return TypedReading(
            " ".join(data["what"].split()), " ".join(data["where"].split()), data["measured"], data["state"]
        )
