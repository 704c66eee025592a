"""One line of the wanted list."""

from typing import Any

from django import forms
from django.core.exceptions import ValidationError
from django.db.models import Q

from restorations.engines.models import Engine
from restorations.members.models import Member
from restorations.tasks.models import JobCard, Wanted
from restorations.tasks.models.jobs import OPEN_STATES
from restorations.tasks.models.wanted import WANTED_STATES
from restorations.tasks.money import NotAPrice, Pence, read_price
from restorations.web.conflicts import VersionedForm
from restorations.web.fields import day_field


class PriceField(forms.CharField):
    """Takes `12.50`; gives Pence, or None where it is left open."""

    def clean(self, value: Any) -> Any:
        text = super().clean(value)
        try:
            return read_price(text) if text else None
        except NotAPrice as error:
            raise ValidationError(str(error)) from None

    def prepare_value(self, value: Any) -> Any:
        return str(value) if isinstance(value, Pence) else value


class WantedForm(VersionedForm):
    what = forms.CharField(label="What is wanted", max_length=120)
    size = forms.CharField(label="Size", max_length=80, required=False, help_text="Such as 5/32 × 40 ME, 6 off.")
    card = forms.ModelChoiceField(
        label="For the card", queryset=JobCard.objects.none(), required=False, empty_label="none of them"
    )
    state = forms.ChoiceField(label="How far it is", choices=list(WANTED_STATES.items()))
    from_whom = forms.CharField(label="From whom", max_length=80, required=False)
    promised_by = day_field("Promised by", required=False)
    price = PriceField(
        label="Price, all together", max_length=20, required=False, help_text="Pounds and pence, such as 12.50.",
        widget=forms.TextInput(attrs={"class": "short", "inputmode": "decimal", "autocomplete": "off"}),
    )  # fmt: skip
    paid_by = forms.ModelChoiceField(
        label="Who paid", queryset=Member.objects.none(), required=False, empty_label="nobody yet, or the club"
    )

    def __init__(self, *args: Any, engine: Engine, row: Wanted | None = None, **options: Any) -> None:
        super().__init__(*args, **options)
        if row is None:
            del self.fields["version"]
        fields: dict[str, Any] = self.fields
        fields["card"].queryset = JobCard.objects.filter(
            Q(state__in=OPEN_STATES) | Q(pk=row.card_id if row else None), engine=engine
        )
        fields["paid_by"].queryset = Member.objects.filter(
            Q(left_on__isnull=True) | Q(pk=row.paid_by_id if row else None)
        )

    def clean(self) -> dict[str, Any]:
        data = super().clean() or {}
        if data.get("state") == "promised" and not data.get("promised_by"):
            self.add_error("promised_by", "Say for which day it is promised.")
        if data.get("paid_by") and not data.get("price") and "price" not in self.errors:
            self.add_error("price", "Give the price that was paid, or leave open who paid.")
        return data

    def columns(self) -> dict[str, Any]:
        names = ("what", "size", "card", "state", "from_whom", "promised_by", "paid_by")
        price = self.cleaned_data["price"]
        return {
            **{name: self.cleaned_data[name] for name in names},
            "price_pence": None if price is None else int(price),
        }

    @staticmethod
    def said_of(row: Wanted) -> dict[str, Any]:
        return {name: getattr(row, name) for name in WantedForm.base_fields if name != "submission"}
