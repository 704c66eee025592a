"""What is asked about test sessions."""

from typing import Any

from django import forms

from restorations.engines.models import Engine
from restorations.members.models import Member
from restorations.traffic.forms.running import time_field
from restorations.traffic.models import BoilerTestSession
from restorations.traffic.models.sessions import OUTCOMES, TESTS
from restorations.traffic.services.sessions import Booking, Outcome
from restorations.web.conflicts import VersionedForm
from restorations.web.fields import OnceForm, SeveralField, day_field

BOOKED = ("on", "begins_at", "inspector", "inspector_name", "place", "witness")


class AskForTestForm(OnceForm):
    engine = forms.ModelChoiceField(Engine.objects.none(), label="Engine", empty_label="choose one")
    test = forms.ChoiceField(label="What test", choices=list(TESTS.items()))
    words = forms.CharField(label="What the inspector should know", max_length=400, required=False)

    def __init__(self, *args: Any, engines: Any, **options: Any) -> None:
        super().__init__(*args, **options)
        self.fields["engine"].queryset = engines  # type: ignore[attr-defined]


class BookForm(VersionedForm):
    """A day, and who tests."""

    on = day_field("Day")
    begins_at = time_field("From")
    inspector = forms.ModelChoiceField(
        Member.objects.none(), label="The club's inspector", required=False, empty_label="not one of ours"
    )
    inspector_name = forms.CharField(label="Inspector from outside", max_length=80, required=False)
    place = forms.CharField(label="Where", max_length=120, required=False)
    witness = forms.CharField(label="Witness", max_length=80, required=False)

    def __init__(self, *args: Any, **options: Any) -> None:
        super().__init__(*args, **options)
        inspectors = Member.objects.current().filter(is_inspector=True)
        self.fields["inspector"].queryset = inspectors  # type: ignore[attr-defined]

    @staticmethod
    def said_of(row: BoilerTestSession) -> dict[str, Any]:
        return {**{name: getattr(row, name) for name in BOOKED}, "version": row.version}

    def booking(self) -> Booking:
        return Booking(**{name: self.cleaned_data[name] for name in BOOKED})


class OutcomeOfTestForm(OnceForm):
    """How it went, and who came of those expected; the others missed it."""

    outcome = forms.ChoiceField(label="How it went", choices=list(OUTCOMES.items()), widget=forms.RadioSelect)
    came = SeveralField(
        Member.objects.none(), label="Who came", required=False, widget=forms.CheckboxSelectMultiple,
        help_text="Whoever is not ticked missed it.",
    )  # fmt: skip
    others = forms.CharField(label="Who else came", max_length=200, required=False)
    words = forms.CharField(label="In a few words", max_length=400, required=False)

    def __init__(self, *args: Any, expected: list[Member], **options: Any) -> None:
        super().__init__(*args, **options)
        people = Member.objects.filter(pk__in=[member.pk for member in expected])
        self.fields["came"].queryset = people  # type: ignore[attr-defined]

    def result(self) -> Outcome:
        data = self.cleaned_data
        return Outcome(data["outcome"], data["words"], list(data["came"]), data["others"])
