"""Laying an engine up, what was agreed for that time, and the care it was given."""

from datetime import date
from typing import Any

from django import forms

from restorations.engines.forms.papers import not_ahead
from restorations.engines.forms.stoppages import words_field
from restorations.engines.models import LayUp
from restorations.engines.models.lay_up import CARE, FROST, LONGEST_INTERVAL, TURN_OVER, months
from restorations.engines.services import StopDraft
from restorations.engines.services.lay_up import Care, LayUpPlan
from restorations.web.conflicts import VersionedForm
from restorations.web.fields import OnceForm, day_field

AT_ONCE = {item: words for item, words in CARE.items() if item not in {TURN_OVER, FROST}}


class PlanForm(VersionedForm):
    """How it stands, how often it is turned over, and when frost may come."""

    stands_on = forms.CharField(
        label="How it stands", max_length=200, required=False,
        help_text="Cocks open or shut, weight off the springs, wheels marked where they stood.",
    )  # fmt: skip
    turn_over_days = forms.IntegerField(
        label="Turned over every so many days", required=False, min_value=1, max_value=LONGEST_INTERVAL,
        widget=forms.NumberInput(attrs={"class": "short"}),
        help_text="By hand, a part of a turn further each time. 28 is common practice, no source. Empty: not at all.",
    )  # fmt: skip
    frost_month = forms.TypedChoiceField(
        label="Frost may come from", coerce=int, empty_value=None, required=False,
        choices=[("", "no frost where it stands"), *months().items()],
        help_text="You are reminded two weeks before, to see that it is drained.",
    )  # fmt: skip

    @staticmethod
    def said_of(lay_up: LayUp) -> dict[str, Any]:
        return {name: getattr(lay_up, name) for name in ("version", "stands_on", "turn_over_days", "frost_month")}

    def plan(self) -> LayUpPlan:
        return LayUpPlan(**{name: self.cleaned_data[name] for name in ("stands_on", "turn_over_days", "frost_month")})


class LayUpForm(PlanForm):
    """Laying it up: why and since when, and what is done already."""

    words = words_field("Why it is laid up")
    began_on = day_field("Laid up from")
    place = forms.CharField(label="Where it stands", max_length=120, required=False)
    custody = forms.CharField(label="Who looks after it", max_length=120, required=False)
    done = forms.MultipleChoiceField(
        label="Done already", required=False, choices=list(AT_ONCE.items()), widget=forms.CheckboxSelectMultiple
    )

    field_order = ("submission", "words", "began_on", "place", "custody", "done")

    def __init__(self, *args: Any, on: date, **options: Any) -> None:
        super().__init__(*args, **options)
        self.on = on
        del self.fields["version"]

    def clean_began_on(self) -> date:
        return not_ahead(self.cleaned_data["began_on"], self.on)

    def draft(self) -> StopDraft:
        names = ("words", "began_on", "place", "custody")
        return StopDraft(kind="laid_up", cause_class="storage", **{name: self.cleaned_data[name] for name in names})


class CareForm(OnceForm):
    """One thing done for it."""

    item = forms.ChoiceField(label="What was done", choices=[("", "choose"), *CARE.items()])
    done_on = day_field("On")
    done_by = forms.CharField(label="By whom", max_length=80)
    note = forms.CharField(label="Note", max_length=200, required=False)

    def __init__(self, *args: Any, on: date, **options: Any) -> None:
        super().__init__(*args, **options)
        self.on = on

    def clean_done_on(self) -> date:
        return not_ahead(self.cleaned_data["done_on"], self.on)

    def care(self) -> Care:
        return Care(**{name: self.cleaned_data[name] for name in ("item", "done_on", "done_by", "note")})
