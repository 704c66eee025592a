"""Form fields shared by every app: a typed quantity, and the mark that makes a form count once."""

import uuid
from datetime import date
from typing import Any

from django import forms
from django.core.exceptions import ValidationError

from restorations.web.units import EXAMPLES, LONGEST, NotAQuantity, Quantity, read_quantity


class QuantityField(forms.CharField):
    """Takes `1 1/8 in`; gives a Quantity (typed and SI), or None where it may be left open."""

    def __init__(self, *, dimension: str, lowest: float, highest: float, limits: str, **options: Any) -> None:
        self.dimension, self.lowest, self.highest, self.limits = dimension, lowest, highest, limits
        options.setdefault("help_text", f"For example {EXAMPLES[dimension]}.")
        super().__init__(**options)

    def clean(self, value: Any) -> Any:
        text = super().clean(value)
        if not text:
            return None
        try:
            quantity = read_quantity(text, self.dimension)
        except NotAQuantity as error:
            raise ValidationError(str(error)) from None
        if not self.lowest <= quantity.si <= self.highest:
            raise ValidationError(f"“{quantity.typed}” is outside what is possible here: {self.limits}.")
        return quantity

    def prepare_value(self, value: Any) -> Any:
        return value.typed if isinstance(value, Quantity) else value

    def widget_attrs(self, widget: forms.Widget) -> dict[str, Any]:
        # Read in clean(), which says in words what is too long; the browser would cut it silently.
        return {**super().widget_attrs(widget), "autocomplete": "off", "data-longest": str(LONGEST)}


LONGEST_NUMBER = 9  # of digits: what fits every database
FIRST_DAY, LAST_DAY = date(1700, 1, 1), date(2999, 12, 31)


def day_field(label: str, **options: Any) -> forms.DateField:
    """A day, typed or picked, in years that can be reckoned with."""
    widget = forms.DateInput(attrs={"type": "date", "class": "short"}, format="%Y-%m-%d")
    invalid = {"invalid": "Enter a valid date as year-month-day, such as 2026-03-14."}
    words = {**invalid, **options.pop("error_messages", {})}
    return forms.DateField(label=label, widget=widget, error_messages=words, validators=[_can_be_reckoned], **options)


def _can_be_reckoned(day: date) -> None:
    if not FIRST_DAY <= day <= LAST_DAY:
        raise ValidationError(f"Look at the year again: {FIRST_DAY.year} to {LAST_DAY.year}.")


class SeveralField(forms.ModelMultipleChoiceField):  # type: ignore[type-arg]
    """Rows ticked in a list; a number that no database holds is no row either."""

    def clean(self, value: Any) -> Any:
        for sent in value or ():
            if len(str(sent)) > LONGEST_NUMBER:
                raise ValidationError(self.error_messages["invalid_choice"], params={"value": str(sent)[:40]})
        return super().clean(value)


class OnceForm(forms.Form):
    """A form that carries the mark by which a second sending of it is known."""

    submission = forms.UUIDField(widget=forms.HiddenInput, initial=uuid.uuid4)

    @property
    def first_error(self) -> str:
        """One sentence for a status line: the first thing to mend."""
        return next((str(error) for errors in self.errors.values() for error in errors), "")
