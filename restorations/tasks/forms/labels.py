"""The form that chooses what is printed on which sheet; it only asks, so it is sent by GET."""

from collections.abc import Callable
from typing import Any

from django import forms
from django.core.exceptions import ValidationError

from restorations.tasks.labels import SHEETS
from restorations.tasks.models import Box, Connection
from restorations.web.fields import SeveralField


class LabelsForm(forms.Form):
    sheet = forms.ChoiceField(
        label="Labels", choices=[(key, sheet.title) for key, sheet in SHEETS.items()], widget=forms.RadioSelect,
        initial="a4_24",
    )  # fmt: skip
    box = SeveralField(Box.objects.none(), label="Boxes", required=False, widget=forms.CheckboxSelectMultiple)
    connection = SeveralField(
        Connection.objects.none(), label="Connections, two labels each", required=False,
        widget=forms.CheckboxSelectMultiple,
    )  # fmt: skip
    skip = forms.IntegerField(
        label="Labels gone from the sheet already", min_value=0, max_value=64, required=False,
        widget=forms.NumberInput(attrs={"class": "short"}),
    )  # fmt: skip

    def __init__(self, *args: Any, boxes: Any, connections: Any, **options: Any) -> None:
        super().__init__(*args, **options)
        self._offer("box", boxes, _box_words)
        self._offer("connection", connections, _connection_words)

    def _offer(self, name: str, rows: Any, words: Callable[[Any], str]) -> None:
        field: Any = self.fields[name]
        field.queryset, field.label_from_instance = rows, words

    def clean(self) -> dict[str, Any]:
        data = super().clean() or {}
        if not self.errors and not data["box"] and not data["connection"]:
            raise ValidationError("Tick at least one box or connection.")
        sheet = SHEETS.get(data.get("sheet", ""))
        if sheet and (data.get("skip") or 0) >= sheet.on_a_page > 1:
            self.add_error("skip", f"A sheet has {sheet.on_a_page} labels; leave at least one.")
        return data


def _box_words(box: Any) -> str:
    return f"Box {box.number} ({box.code}){': ' + box.label if box.label else ''}"


def _connection_words(row: Any) -> str:
    return f"{row.number}: {row}, {row.end_a} {row.arrow} {row.end_b}"
