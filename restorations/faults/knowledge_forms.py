"""Forms of a change of the knowledge: an entry as numbers and words, or as its text; beginning, and answering."""

import tomllib
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Any

from django import forms
from django.core.exceptions import ValidationError
from django.forms.boundfield import BoundField

from restorations.faults.finding_search import SYSTEMS
from restorations.faults.knowledge_words import AUTHORITY_WORDS, CLASS_WORDS
from restorations.faults.models.knowledge_change import LONGEST_REASON
from restorations.faults.wording import RISK_TO_PEOPLE, RISK_TO_THE_ENGINE
from restorations.knowledge import Knowledge
from restorations.knowledge.entry_text import Path, with_values
from restorations.knowledge.overlay import LONGEST_ENTRY, EntryText
from restorations.web.conflicts import VersionedForm
from restorations.web.fields import OnceForm

KIND_CHOICES = [
    ("causes", "a cause"),
    ("findings", "something that can be seen"),
    ("checks", "a check"),
    ("remedies", "a remedy"),
]


def _reason() -> forms.CharField:
    return forms.CharField(
        label="Why", required=False, max_length=LONGEST_REASON, widget=forms.Textarea(attrs={"rows": 3}),
        help_text="For the mentor who accepts it, and whoever reads the entry later.",
    )  # fmt: skip


@dataclass(frozen=True, slots=True)
class Asked:
    """One value of an entry as a form asks for it."""

    path: Path
    label: str
    how: str
    """number | line | words | lines | flag | choice"""
    choices: Sequence[tuple[Any, str]] = ()


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
        for legend, asked in _asked(entry.kind, self.raw, knowledge):
            value = _at(self.raw, asked.path)
            if _suits(value, asked.how):
                self._add(legend, asked, value)
        self.fields["reason"] = _reason()
        self.fields["reason"].initial = self.initial.get("reason", "")

    def _add(self, legend: str, asked: Asked, value: Any) -> None:
        name = "value_" + "_".join(map(str, asked.path))
        self.asked[name] = asked
        self.legends.setdefault(legend, []).append(name)
        self.fields[name] = _field(asked)
        self.fields[name].initial = "\n".join(value) if asked.how == "lines" else value

    @property
    def groups(self) -> list[Group]:
        return [Group(legend, [self[name] for name in names]) for legend, names in self.legends.items()]

    @property
    def text_typed(self) -> str:
        """The entry's text with what was changed."""
        changed = {}
        for name, asked in self.asked.items():
            value = _plain(self.cleaned_data[name], asked)
            if value != _at(self.raw, asked.path) and not (value in ("", [], False) and not self._is_written(asked)):
                changed[asked.path] = value
        return with_values(self.entry.text, self.entry.id, changed)

    def _is_written(self, asked: Asked) -> bool:
        return _at(self.raw, asked.path) is not None


def _at(raw: Any, path: Path) -> Any:
    for step in path:
        try:
            raw = raw[step]
        except (KeyError, IndexError, TypeError):
            return None
    return raw


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


def _asked(kind: str, raw: dict[str, Any], knowledge: Knowledge) -> Iterator[tuple[str, Asked]]:
    yield "", Asked(("title",), "What it is called", "line")
    if kind == "causes":
        yield from _of_cause(raw)
    elif kind == "findings":
        yield from _of_finding(raw, knowledge)
    else:
        yield from _of_action(kind, raw)


def _of_cause(raw: dict[str, Any]) -> Iterator[tuple[str, Asked]]:
    yield "", Asked(("explain",), "What it is", "words")
    legend = "How common it is: engines of 1 that have it"
    for name, label in CLASS_WORDS.items():
        yield legend, Asked(("rate", name), label, "number")
    for number, factor in _tables(raw.get("when")):
        told = ", ".join(f"{key.replace('_', ' ')}: {value}" for key, value in factor.items() if key != "times")
        yield "What multiplies the odds", Asked(("when", number, "times"), told.capitalize(), "number")
    yield "", Asked(("dangerous",), "It can hurt somebody", "flag")


def _of_finding(raw: dict[str, Any], knowledge: Knowledge) -> Iterator[tuple[str, Asked]]:
    yield "", Asked(("ask",), "How it is asked for", "words")
    yield "", Asked(("words",), "What members say for it", "lines")
    levels = [str(level) for level in _listed(raw.get("levels"))]
    steps = [f"{level} or more" for level in levels[1:-1]] + levels[-1:]
    for number, level in enumerate(steps):
        yield "Seen with nothing wrong", Asked(("leak", number), level.capitalize(), "number")
    for place, link in _tables(raw.get("links")):
        cause = knowledge.causes.get(str(link.get("cause")))
        legend = f"Chance that it shows: {cause.title if cause else link.get('cause', '')}"
        legend += " (on the other side)" if link.get("across") else ""
        for number, level in enumerate(steps):
            yield legend, Asked(("links", place, "strengths", number), level.capitalize(), "number")


def _of_action(kind: str, raw: dict[str, Any]) -> Iterator[tuple[str, Asked]]:
    yield "", Asked(("how",), "How it is done", "words")
    yield "Effort", Asked(("minutes",), "Minutes at the bench", "number")
    yield "Effort", Asked(("waiting_days",), "Days of waiting", "number")
    if kind == "remedies":
        yield "Effort", Asked(("success",), "Chance that it cures", "number")
    else:
        yield "How far it can be trusted", Asked(("sensitivity",), "Chance to find it when it is there", "number")
        yield "How far it can be trusted", Asked(("false_alarm",), "Chance to say so when it is not", "number")
    yield "", Asked(("tools",), "Tools", "lines")
    yield "Risk", Asked(("risk_person",), "Risk to people", "choice", list(enumerate(RISK_TO_PEOPLE)))
    yield "Risk", Asked(("risk_engine",), "Risk to the engine", "choice", list(enumerate(RISK_TO_THE_ENGINE)))
    yield "Risk", Asked(("authority",), "Who may do it", "choice", list(AUTHORITY_WORDS.items()))
    yield "", Asked(("cautions",), "Cautions", "lines")
    if kind == "remedies":
        yield "", Asked(("cannot_be_undone",), "It cannot be undone: the owner's consent is needed", "flag")
    meaning = raw.get("meaning")
    for outcome in meaning if isinstance(meaning, dict) else ():
        yield "What each answer means", Asked(("meaning", outcome), str(outcome).capitalize(), "words")


def _listed(value: Any) -> list[Any]:
    return value if isinstance(value, list) else []


def _tables(value: Any) -> list[tuple[int, dict[str, Any]]]:
    return [(number, item) for number, item in enumerate(_listed(value)) if isinstance(item, dict)]


class TextForm(VersionedForm):
    """The whole entry, in the form of the files."""

    text = forms.CharField(
        label="The entry", max_length=LONGEST_ENTRY, strip=False,
        widget=forms.Textarea(attrs={"rows": 24, "class": "code", "spellcheck": "false"}),
        help_text="As in the files, so it can be taken out again. Its name in brackets stays as it is.",
    )  # fmt: skip

    def __init__(self, *args: Any, **options: Any) -> None:
        super().__init__(*args, **options)
        self.fields["reason"] = _reason()

    @property
    def text_typed(self) -> str:
        return str(self.cleaned_data["text"])


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
