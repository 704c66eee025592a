"""A form that asks only what applies: some answers decide which other questions there are."""

from collections.abc import Mapping
from typing import Any, ClassVar, cast

from django import forms
from django.http import QueryDict

from restorations.engines.forms.answers import AnswerField
from restorations.web.fields import OnceForm

SHOW = "show"  # the button that draws the questions anew without saving


class AskingForm(OnceForm):
    """`said` is what stands now; `typed` draws the form with what was typed, unjudged, after a deciding answer."""

    deciding: ClassVar[tuple[str, ...]] = ()

    def __init__(
        self, data: QueryDict | None = None, *, said: Mapping[str, Any], typed: QueryDict | None = None
    ) -> None:
        super().__init__(data, initial=dict(said))
        self.add_questions()
        given = typed if data is None else data
        self.so_far = {name: self._answer_to(name, given) for name in self.deciding}
        self.settled = self.follows(self.so_far)
        self.ask()
        self.questions = tuple(name for name in self.fields if name in said)
        for name in self.deciding:
            if name in self.fields:
                self.fields[name].widget.attrs |= _REDRAWS
        if typed is not None:
            self._show_as_typed(typed)

    @staticmethod
    def follows(so_far: Mapping[str, Any]) -> dict[str, Any]:
        """Give the fields that need not be asked, each with its value."""
        raise NotImplementedError

    def add_questions(self) -> None:
        """For a form whose questions come from elsewhere."""

    def ask(self) -> None:
        """Leave out what is settled."""
        for name in self.settled:
            self.fields.pop(name, None)

    def _answer_to(self, name: str, given: QueryDict | None) -> Any:
        if given is None:
            return self.initial[name]
        field = cast(AnswerField, self.fields[name])
        try:
            return field.clean(given.get(name))
        except forms.ValidationError:
            return field.unknown

    def _show_as_typed(self, typed: QueryDict) -> None:
        for name, field in self.fields.items():
            if not field.widget.value_omitted_from_data(typed, {}, name):
                self.initial[name] = field.widget.value_from_datadict(typed, {}, name)

    @property
    def not_yet_asked(self) -> list[str]:
        """Questions that came up with the answers just sent, and so were not on the page."""
        return [
            name
            for name in self.questions
            if self.fields[name].widget.value_omitted_from_data(self.data, self.files, name)
        ]


_REDRAWS = {
    "hx-post": "",
    "hx-trigger": "change",
    "hx-vals": f'{{"{SHOW}": "1"}}',
    "hx-target": "closest form",
    "hx-swap": "outerHTML",
}
