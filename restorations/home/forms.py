"""What a timeline is filtered by, and the words to look for."""

from django import forms

from restorations.home.search import LONGEST
from restorations.home.timeline_kinds import KINDS
from restorations.tasks.systems import SIDES, SYSTEMS


def _choice(label: str, choices: dict[str, str]) -> forms.ChoiceField:
    return forms.ChoiceField(label=label, required=False, choices=[("", "all"), *choices.items()])


class TimelineForm(forms.Form):
    kind = _choice("Kind", KINDS)
    system = _choice("System", SYSTEMS)
    side = _choice("Side", SIDES)


class SearchForm(forms.Form):
    q = forms.CharField(label="Words", max_length=LONGEST, required=False)
