"""A question that always has an answer, since "not known" is one."""

from collections.abc import Callable, Iterable
from typing import Any

from django import forms

from restorations.knowledge.configuration import NOT_KNOWN


class AnswerField(forms.TypedChoiceField):
    """Offers "not known" first; nothing sent, or that, gives `unknown`."""

    def __init__(
        self,
        *,
        label: str,
        choices: Iterable[tuple[Any, str]],
        coerce: Callable[[str], Any] = str,
        unknown: Any = NOT_KNOWN,
        help_text: str = "",
    ) -> None:
        super().__init__(label=label, choices=choices, coerce=coerce, help_text=help_text)
        self.unknown = unknown

    def clean(self, value: Any) -> Any:
        return self.unknown if value in (None, "", NOT_KNOWN) else super().clean(value)

    def prepare_value(self, value: Any) -> Any:
        return NOT_KNOWN if value in (None, "") else value
