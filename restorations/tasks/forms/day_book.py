"""One entry of the day book, and the filter of its lists."""

from collections.abc import Mapping, Sequence
from typing import Any

from django import forms
from django.core.exceptions import ValidationError
from django.db.models import Q
from django.utils import timezone

from restorations.engines.models import Engine
from restorations.members.models import Member
from restorations.photos.fields import PhotosField
from restorations.photos.models import Photo
from restorations.tasks.forms.jobs import side_field, system_field
from restorations.tasks.forms.when import WhenForm
from restorations.tasks.measuring import TypedReading, read_line, read_minutes
from restorations.tasks.models.jobs import OPEN_STATES, JobCard
from restorations.tasks.services.day_book import EntryDraft
from restorations.tasks.systems import SIDES, SYSTEMS
from restorations.web.units import NotAQuantity

MOST_READINGS = 20


class EntryForm(WhenForm):
    """What was done comes first and is all that must be given; the rest is folded away or left empty."""

    text = forms.CharField(
        label="What was done", max_length=2000, widget=forms.Textarea(attrs={"rows": 3, "autofocus": True}),
        error_messages={"required": "Say in a few words what was done."},
    )  # fmt: skip
    minutes = forms.CharField(
        label="Minutes", max_length=20, required=False, help_text="40, or 1 h 30.",
        widget=forms.TextInput(attrs={"class": "short", "autocomplete": "off"}),
    )  # fmt: skip
    readings = forms.CharField(
        label="Readings", max_length=2000, required=False, widget=forms.Textarea(attrs={"rows": 2}),
        help_text="One a line: cylinder bore, left = 28.6 mm. Repeats with ; between.",
    )  # fmt: skip
    photos = PhotosField(required=False)
    helped = forms.MultipleChoiceField(label="Who helped", required=False, widget=forms.CheckboxSelectMultiple)
    others = forms.CharField(
        label="Others who helped", max_length=200, required=False, help_text="Names, with commas between."
    )
    system = system_field()
    side = side_field()
    card = forms.ModelChoiceField(
        label="Card", queryset=JobCard.objects.none(), required=False, empty_label="none of them"
    )

    def __init__(
        self, *args: Any, engine: Engine, member: Member, known: Mapping[str, str] | None = None, **options: Any
    ) -> None:
        super().__init__(*args, **options)
        self.known = dict(known or {})
        hands = Member.objects.filter(hands_on__in=engine.hands.current(timezone.localdate())).exclude(pk=member.pk)
        fields: dict[str, Any] = self.fields
        fields["helped"].choices = [(str(person.pk), person.full_name) for person in hands.distinct()]
        fields["card"].queryset = JobCard.objects.filter(
            Q(state__in=OPEN_STATES) | Q(pk=self._asked_card()), engine=engine
        )

    def _asked_card(self) -> int | None:
        asked = str(self.initial.get("card") or "")
        return int(asked) if asked.isdigit() and len(asked) < 18 else None

    def clean_minutes(self) -> int | None:
        text = self.cleaned_data["minutes"]
        try:
            return read_minutes(text) if text else None
        except NotAQuantity as error:
            raise ValidationError(str(error)) from None

    def clean_readings(self) -> list[TypedReading]:
        lines = [line for line in self.cleaned_data["readings"].splitlines() if line.strip()]
        if len(lines) > MOST_READINGS:
            raise ValidationError(f"At most {MOST_READINGS} readings in one entry; write a second one.")
        found, wrong = [], []
        for line in lines:
            try:
                found.append(read_line(line, self.known))
            except NotAQuantity as error:
                wrong.append(str(error))
        if wrong:
            raise ValidationError(wrong)
        return found

    def draft(self, photos: Sequence[Photo]) -> EntryDraft:
        data = self.cleaned_data
        helpers, names = self._helpers()
        return EntryDraft(
            text=data["text"], minutes=data["minutes"], happened=self.happened, by_name=data["by_name"],
            helpers=helpers, helper_names=names, system=data["system"], side=data["side"], card=data["card"],
            readings=data["readings"], photos=photos,
        )  # fmt: skip

    def _helpers(self) -> tuple[list[Member], list[str]]:
        """Members by tick, or by their full name typed among the others; each once."""
        typed = dict.fromkeys(name.strip() for name in self.cleaned_data["others"].split(",") if name.strip())
        named = {member.full_name.casefold(): member for member in Member.objects.filter(full_name__in=typed)}
        ticked = Member.objects.in_bulk(map(int, self.cleaned_data["helped"]))
        members = {**ticked, **{member.pk: member for member in named.values()}}
        return list(members.values()), [name for name in typed if name.casefold() not in named]


class DayBookFilter(forms.Form):
    """What of the day book is shown; what cannot be read is taken as not asked."""

    q = forms.CharField(label="Words", max_length=80, required=False)
    system = forms.ChoiceField(label="System", required=False, choices=[("", "all"), *SYSTEMS.items()])
    side = forms.ChoiceField(label="Side", required=False, choices=[("", "all"), *SIDES.items()])
    person = forms.ModelChoiceField(
        label="Person", queryset=Member.objects.all(), required=False, empty_label="everybody"
    )

    @property
    def asked(self) -> dict[str, Any]:
        self.is_valid()
        return {name: value for name, value in self.cleaned_data.items() if value}
