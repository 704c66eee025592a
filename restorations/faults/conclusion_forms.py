"""Forms for closing a sheet, signing it off and opening it again: each cause is one tap on how it was confirmed."""

from collections.abc import Mapping
from itertools import groupby
from typing import Any

from django import forms
from django.forms.boundfield import BoundField

from restorations.faults.candidates import Candidate
from restorations.faults.closing import ConclusionDraft
from restorations.faults.confirming import Confirmed
from restorations.faults.finding_search import SYSTEMS
from restorations.faults.models.conclusion import HOW, OUTCOMES, ROLES
from restorations.knowledge import UNLISTED, EngineKnowledge
from restorations.web.fields import OnceForm

VERDICT, WORDS = "verdict:", "words:"
VERDICTS = [
    ("", "no, or not known"),
    *((ROLES[role], [(f"{role}.{how}", f"{ROLES[role]}: {words}") for how, words in HOW.items()]) for role in ROLES),
]
LONGEST_WORDS = 400


class ConcludeForm(OnceForm):
    """What it was, by tap; the unlisted cause in own words."""

    outcome = forms.ChoiceField(
        label="Was the cause found?", choices=list(OUTCOMES.items()), widget=forms.RadioSelect,
        error_messages={"required": "Say whether the cause was found."},
    )  # fmt: skip
    another = forms.ChoiceField(label="Another cause of the list", required=False)
    words = forms.CharField(
        label="What it was and what was done", required=False, max_length=4000,
        widget=forms.Textarea(attrs={"rows": 3}), help_text="For whoever has this fault next.",
    )  # fmt: skip
    regardless = forms.CharField(
        label="Why it is closed regardless", required=False, max_length=2000, widget=forms.Textarea(attrs={"rows": 2}),
        help_text="Only where something above is missing: engine sold, given up, taken to pieces for another reason.",
    )  # fmt: skip

    def __init__(self, *args: Any, offered: Mapping[str, Candidate], expanded: EngineKnowledge, **options: Any) -> None:
        super().__init__(*args, **options)
        self.offered = {**offered, UNLISTED: offered.get(UNLISTED, Candidate(UNLISTED, "Something on no list", ""))}
        for one in self.offered.values():
            verdict = forms.ChoiceField(label=one.name, choices=VERDICTS, required=False, initial=one.verdict)
            words = forms.CharField(
                label=f"{one.name}: in words", required=False, max_length=LONGEST_WORDS, initial=one.words
            )
            self.fields |= {f"{VERDICT}{one.id}": verdict, f"{WORDS}{one.id}": words}
        another: Any = self.fields["another"]
        another.choices = [("", "none"), *_by_system(expanded)]

    @property
    def rows(self) -> list[tuple[Candidate, BoundField, BoundField]]:
        """Each cause offered with its two fields; the unlisted one last."""
        return [(one, self[f"{VERDICT}{key}"], self[f"{WORDS}{key}"]) for key, one in self.offered.items()]

    def draft(self) -> ConclusionDraft:
        data = self.cleaned_data
        causes = []
        for cause in self.offered:
            role, _, how = data[f"{VERDICT}{cause}"].partition(".")
            if role:
                causes.append(Confirmed(cause, how, role, data[f"{WORDS}{cause}"]))
        return ConclusionDraft(data["outcome"], tuple(causes), data["words"], data["regardless"])

    def clean(self) -> dict[str, Any]:
        data: dict[str, Any] = super().clean() or {}
        if data.get("another"):
            self.add_error("another", "It is on the list above now: say there how it was confirmed.")
        if data.get(f"{WORDS}{UNLISTED}") and not data.get(f"{VERDICT}{UNLISTED}"):
            self.add_error(f"{VERDICT}{UNLISTED}", "Say how it was confirmed, or take the words out.")
        return data


def _by_system(expanded: EngineKnowledge) -> list[tuple[str, list[tuple[str, str]]]]:
    """Every cause of this engine under the words of its system."""
    placed = [one for one in expanded.causes.values() if one.id != UNLISTED]
    ordered = sorted(placed, key=lambda one: (one.entry.system, one.name))
    groups = groupby(ordered, key=lambda one: one.entry.system)
    return [(SYSTEMS.get(system, system), [(one.id, one.name) for one in causes]) for system, causes in groups]


class SignOffForm(OnceForm):
    words = forms.CharField(
        label="In your words", required=False, max_length=2000, widget=forms.Textarea(attrs={"rows": 2}),
        help_text="What you looked at yourself.",
    )  # fmt: skip


class ReopenForm(OnceForm):
    reason = forms.CharField(
        label="Why is it opened again?", max_length=LONGEST_WORDS,
        error_messages={"required": "Say why; the conclusion stays readable with it."},
    )  # fmt: skip


class WithdrawForm(OnceForm):
    reason = forms.CharField(
        label="Why is it withdrawn?", max_length=200,
        error_messages={"required": "Say why; it stays readable."},
    )  # fmt: skip
