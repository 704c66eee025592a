"""Two people edited the same row: what each wrote, side by side, so that nothing is overwritten unseen."""

from dataclasses import dataclass
from typing import Any

from django import forms
from django.forms.boundfield import BoundField

from restorations.web.fields import OnceForm


class VersionedForm(OnceForm):
    """A form that names the version of the row it was opened on."""

    version = forms.IntegerField(widget=forms.HiddenInput, min_value=1, max_value=2**31 - 1)


@dataclass(frozen=True, slots=True)
class Difference:
    """One field as it stands now and as it was about to be saved."""

    label: str
    theirs: str
    yours: str


def differences(form: VersionedForm, theirs: Any) -> list[Difference]:
    """The fields that differ from the row as it stands. The form moves to its version: sending it again is meant."""
    found = []
    for bound in form.visible_fields():
        if not hasattr(theirs, bound.name):
            continue
        pair = (in_words(bound, getattr(theirs, bound.name)), in_words(bound, form.cleaned_data.get(bound.name)))
        if pair[0] != pair[1]:
            found.append(Difference(str(bound.label), *pair))
    data: Any = form.data
    form.data = moved = data.copy()
    moved[form.add_prefix("version")] = str(theirs.version)
    return found


def in_words(bound: BoundField, value: Any) -> str:
    """A value as the form's reader would say it."""
    if isinstance(value, bool):
        return "yes" if value else "no"
    if value is None or value == "":
        return "empty"
    choices = dict(getattr(bound.field, "choices", ()))
    if isinstance(value, list | tuple | set | frozenset):
        return ", ".join(sorted(str(choices.get(item, item)) for item in value)) or "none"
    return str(choices.get(value, value))
