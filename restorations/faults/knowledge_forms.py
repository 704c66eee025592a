"""Forms of a change of the knowledge: an entry as numbers and words, or as its text; beginning, and answering."""

import tomllib
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

from django import forms
from django.core.exceptions import ValidationError
from django.forms.boundfield import BoundField

from restorations.faults.finding_search import SYSTEMS
from restorations.faults.knowledge_values import Asked, value_at, values_of
from restorations.faults.models.knowledge_change import LONGEST_REASON
from restorations.knowledge import Knowledge
from restorations.knowledge.entry_text import with_values
from restorations.knowledge.overlay import LONGEST_ENTRY, EntryText
from restorations.web.conflicts import VersionedForm
from restorations.web.fields import OnceForm

KIND_CHOICES = [
    ("causes", "a cause"),
    ("findings", "something that can be seen"),
    ("checks", "a check"),
    ("remedies", "a remedy"),
]


@dataclass(frozen=True, slots=True)
class Group:
    """Fields that stand together, under a legend where there is one."""

    legend: str
    fields: list[BoundField]


class NumbersForm(VersionedForm):
    """The numbers and words of an entry that matter; what is left as it is stays as it is in the text."""

    def __init__(self, *args: Any, entry: EntryText, knowledge: Knowledge, **options: Any) -> None:
        super().__init__(*args, **options)
        self.entry = entry
        self.raw: dict[str, Any] = tomllib.loads(entry.text)[entry.id]
        self.asked: dict[str, Asked] = {}
        self.legends: dict[str, list[str]] = {}
        for legend, asked in values_of(entry.kind, self.raw, knowledge):
            value = value_at(self.raw, asked.path)
            if _suits(value, asked.how):
                self._add(legend, asked, value)

    def _add(self, legend: str, asked: Asked, value: Any) -> None:
        name = "value_" + "_".join(map(str, asked.path))
        self.asked[name] = asked
        self.legends.setdefault(legend, []).append(name)
        self.fields[name] = _field(asked)
        self.fields[name].initial = "\n".join(value) if asked.how == "lines" else value

    @property
    def groups(self) -> list[Group]:
        """All but the strengths of links, which are many."""
        return [group for group in self._groups() if not self._is_link(group)]

    @property
    def strengths(self) -> list[Group]:
        return [group for group in self._groups() if self._is_link(group)]

    def _groups(self) -> list[Group]:
        return [Group(legend, [self[name] for name in names]) for legend, names in self.legends.items()]

    def _is_link(self, group: Group) -> bool:
        return self.asked[group.fields[0].name].path[0] == "links"

    @property
    def text_typed(self) -> str:
        """The entry's text with what was changed."""
        changed = {}
        for name, asked in self.asked.items():
            value = _plain(self.cleaned_data[name], asked)
            if value != value_at(self.raw, asked.path) and not (
                value in ("", [], False) and not self._is_written(asked)
            ):
                changed[asked.path] = value
        return with_values(self.entry.text, self.entry.id, changed)

    def _is_written(self, asked: Asked) -> bool:
        return value_at(self.raw, asked.path) is not None


def _suits(value: Any, how: str) -> bool:
    """Whether a form can show what stands there; what is wrong or odd is mended in the text."""
    if how == "lines":
        return value is None or (isinstance(value, list) and all(isinstance(item, str) for item in value))
    if how == "flag":
        return value is None or isinstance(value, bool)
    kinds: dict[str, Any] = {"number": int | float, "choice": int | str}
    return isinstance(value, kinds.get(how, str)) and not isinstance(value, bool)


def _field(asked: Asked) -> forms.Field:
    if asked.how == "number":
        return forms.FloatField(label=asked.label, widget=forms.NumberInput(attrs={"step": "any", "class": "short"}))
    if asked.how == "flag":
        return forms.BooleanField(label=asked.label, required=False)
    if asked.how == "choice":
        return forms.ChoiceField(label=asked.label, choices=asked.choices)
    widget = forms.TextInput() if asked.how == "line" else forms.Textarea(attrs={"rows": 3})
    return forms.CharField(
        label=asked.label, widget=widget, required=asked.how != "lines", max_length=4000,
        help_text="One on each line." if asked.how == "lines" else "",
    )  # fmt: skip


def _plain(value: Any, asked: Asked) -> Any:
    if asked.how == "number":
        return int(value) if value == int(value) and abs(value) < 1e9 else value
    if asked.how == "lines":
        return [line.strip() for line in value.splitlines() if line.strip()]
    if asked.how == "choice":
        return next(key for key, _ in asked.choices if str(key) == value)
    return value.replace("\r\n", "\n") if isinstance(value, str) else value


class TextForm(VersionedForm):
    """The whole entry, in the form of the files."""

    text = forms.CharField(
        label="The entry", max_length=LONGEST_ENTRY, strip=False,
        widget=forms.Textarea(attrs={"rows": 24, "class": "code", "spellcheck": "false"}),
        help_text="As in the files, so it can be taken out again. Its name in brackets stays as it is.",
    )  # fmt: skip

    @property
    def text_typed(self) -> str:
        return str(self.cleaned_data["text"])


class SendForm(VersionedForm):
    """Why, asked once, when it goes to the other mentors."""

    reason = forms.CharField(
        label="Why", max_length=LONGEST_REASON, widget=forms.Textarea(attrs={"rows": 3}),
        help_text="For the mentor who accepts it, and whoever reads the entry later.",
        error_messages={"required": "Say why, so that the other mentor can judge it."},
    )  # fmt: skip


class NewEntryForm(OnceForm):
    """A new entry: what kind, where it is filed, its name for good."""

    kind = forms.ChoiceField(label="What is new", choices=KIND_CHOICES)
    system = forms.ChoiceField(label="Filed under", choices=list(SYSTEMS.items()))
    entry = forms.CharField(
        label="Its name in the files", max_length=50,
        help_text="A few words in small letters with underscores, never used for anything else: pump_ram_scored.",
    )  # fmt: skip


class WithdrawForm(OnceForm):
    """What replaces an entry that is withdrawn."""

    heir = forms.ChoiceField(label="What replaces it")

    def __init__(self, *args: Any, heirs: Sequence[tuple[str, str]], **options: Any) -> None:
        super().__init__(*args, **options)
        self.fields["heir"].choices = [("", "choose"), *heirs]  # type: ignore[attr-defined]


class AnswerChangeForm(OnceForm):
    answer = forms.CharField(
        label="Your words", required=False, max_length=LONGEST_REASON, widget=forms.Textarea(attrs={"rows": 3}),
        help_text="Needed where you decline.",
    )  # fmt: skip
    decision = forms.ChoiceField(choices=[("accepted", "Accept"), ("declined", "Decline")])

    def clean(self) -> dict[str, Any]:
        data: dict[str, Any] = super().clean() or {}
        if data.get("decision") == "declined" and not data.get("answer"):
            raise ValidationError({"answer": "Say why not."})
        return data
