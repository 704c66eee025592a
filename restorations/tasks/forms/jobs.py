"""Forms of jobs and cards."""

from typing import Any

from django import forms
from django.core.exceptions import ValidationError
from django.db.models import Q
from django.utils import timezone

from restorations.engines.models import Engine
from restorations.members.models import Member
from restorations.tasks.card_sets import CardSet
from restorations.tasks.models import JobCard, Restoration
from restorations.tasks.models.jobs import KINDS, MOST_HOURS, OPEN_STATES, STATES
from restorations.tasks.services.jobs import CardPlan, CardState
from restorations.tasks.systems import SIDES, SYSTEMS
from restorations.web.conflicts import VersionedForm
from restorations.web.fields import OnceForm, day_field

NOT_SAID = ("", "not said")


def system_field(**options: Any) -> forms.ChoiceField:
    return forms.ChoiceField(label="System", required=False, choices=[NOT_SAID, *SYSTEMS.items()], **options)


def side_field() -> forms.ChoiceField:
    return forms.ChoiceField(label="Side", required=False, choices=[NOT_SAID, *SIDES.items()])


class HoursField(forms.FloatField):
    """More than nothing, and no more than one card may hold."""

    def __init__(self, label: str) -> None:
        # A browser's own number box drops what it cannot read ("1,5") before we can say why.
        widget = forms.TextInput(attrs={"class": "short", "inputmode": "decimal", "autocomplete": "off"})
        words = {"invalid": "Type hours as a plain number with a point, such as 1.5."}
        super().__init__(label=label, widget=widget, error_messages=words)

    def validate(self, value: Any) -> None:
        super().validate(value)
        if value <= 0:
            raise ValidationError(f"{value:g} hours cannot be: give more than 0, such as 0.5 for half an hour.")
        if value >= MOST_HOURS:
            raise ValidationError(f"{value:g} hours are too much for one card (under {MOST_HOURS}): make several.")


class JobForm(OnceForm):
    kind = forms.ChoiceField(label="Kind of job", choices=list(KINDS.items()))
    title = forms.CharField(label="What the job is called", max_length=80, help_text="Such as “Back to steam”.")
    begun_on = day_field("Begun on", initial=timezone.localdate)

    def clean_begun_on(self) -> Any:
        begun = self.cleaned_data["begun_on"]
        if begun > timezone.localdate():
            raise ValidationError("This day is yet to come. A job is entered when it begins.")
        return begun


class CardForm(VersionedForm):
    """A card. The people on it and what comes first are ticked; both lists are of this engine."""

    title = forms.CharField(label="The card in a few words", max_length=80)
    what = forms.CharField(
        label="What is to be done", max_length=2000, required=False, widget=forms.Textarea(attrs={"rows": 3})
    )
    job = forms.ModelChoiceField(
        label="Part of", queryset=Restoration.objects.none(), required=False, empty_label="straight on the engine"
    )
    system = system_field()
    side = side_field()
    low_hours = HoursField("Hours at best")
    likely_hours = HoursField("Most likely")
    high_hours = HoursField("At worst")
    on_it = forms.MultipleChoiceField(label="Who is on it", required=False, widget=forms.CheckboxSelectMultiple)
    after = forms.MultipleChoiceField(label="What must come first", required=False, widget=forms.CheckboxSelectMultiple)
    may_wait = forms.BooleanField(
        label="May wait until it is back in traffic",
        required=False,
        help_text="Paint, a spare: the engine can run without it.",
    )
    is_good_first_job = forms.BooleanField(
        label="A good first job",
        required=False,
        help_text="Shown to newcomers: nothing can be spoilt, somebody is near.",
    )
    with_whom = forms.CharField(label="With whom", max_length=80, required=False)
    bring = forms.CharField(label="Bring", max_length=200, required=False)

    def __init__(self, *args: Any, engine: Engine, card: JobCard | None = None, **options: Any) -> None:
        super().__init__(*args, **options)
        if card is None:
            del self.fields["version"]
        chosen = card.after if card else []
        fields: dict[str, Any] = self.fields
        fields["job"].queryset = engine.jobs.filter(
            Q(closed_on__isnull=True) | Q(cards__in=[card] if card else [])
        ).distinct()
        fields["on_it"].choices = [(str(person.pk), person.full_name) for person in _people_for(card)]
        others = JobCard.objects.filter(engine=engine)
        others = others.exclude(pk=card.pk) if card else others
        fields["after"].choices = [
            (str(other.pk), other.title) for other in others if other.state in OPEN_STATES or str(other.pk) in chosen
        ]

    def clean(self) -> dict[str, Any]:
        data = super().clean() or {}
        hours = [data.get(name) for name in ("low_hours", "likely_hours", "high_hours")]
        if None not in hours and hours != sorted(hours):  # type: ignore[type-var]
            self.add_error("likely_hours", "The three rise: at best, then most likely, then at worst.")
        return data

    def plan(self) -> CardPlan:
        data = {name: value for name, value in self.cleaned_data.items() if name not in {"submission", "version"}}
        people = Member.objects.in_bulk(map(int, data.pop("on_it")))
        cards = JobCard.objects.in_bulk(map(int, data.pop("after")))
        return CardPlan(**data, on_it=list(people.values()), comes_after=list(cards.values()))

    @staticmethod
    def said_of(card: JobCard) -> dict[str, Any]:
        """What to draw the form with."""
        names = (name for name in CardForm.base_fields if name != "submission")
        return {name: getattr(card, name) for name in names}


def _people_for(card: JobCard | None) -> list[Member]:
    """Everybody who has not left, and whoever is on the card."""
    on_it = list(card.people.all()) if card else []
    current = list(Member.objects.current())
    return current + [person for person in on_it if person not in current]


class CardStateForm(VersionedForm):
    """How a card stands."""

    state = forms.ChoiceField(label="State", choices=list(STATES.items()), widget=forms.RadioSelect)
    waits_for = forms.CharField(label="Waits for", max_length=120, required=False)
    waits_until = day_field("Until", required=False)
    drop_reason = forms.CharField(label="Why it is dropped", max_length=200, required=False)

    def clean(self) -> dict[str, Any]:
        data = super().clean() or {}
        if data.get("state") == "waits" and not data.get("waits_for"):
            self.add_error("waits_for", "Say what it waits for, such as “rings from the supplier”.")
        if data.get("state") == "dropped" and not data.get("drop_reason"):
            self.add_error("drop_reason", "Say in a few words why it is dropped.")
        return data

    def wanted(self) -> CardState:
        names = ("state", "waits_for", "waits_until", "drop_reason")
        return CardState(**{name: self.cleaned_data[name] for name in names})

    @staticmethod
    def said_of(card: JobCard) -> dict[str, Any]:
        return {name: getattr(card, name) for name in CardStateForm.base_fields if name != "submission"}


class CardSetForm(OnceForm):
    """Which cards of a set to start with, all ticked at first."""

    job = forms.ModelChoiceField(
        label="Part of", queryset=Restoration.objects.none(), required=False, empty_label="straight on the engine"
    )
    cards = forms.MultipleChoiceField(
        label="Cards", widget=forms.CheckboxSelectMultiple, error_messages={"required": "Tick at least one card."}
    )

    def __init__(self, *args: Any, engine: Engine, card_set: CardSet, **options: Any) -> None:
        super().__init__(*args, **options)
        self.starting = card_set.for_sides(engine.configuration.as_configuration().cylinder_sides)
        fields: dict[str, Any] = self.fields
        fields["job"].queryset = engine.jobs.filter(closed_on__isnull=True)
        fields["cards"].choices = [(card.id, card.title) for card in self.starting]
        fields["cards"].initial = [card.id for card in self.starting]

    @property
    def chosen(self) -> list[Any]:
        ticked = set(self.cleaned_data["cards"])
        return [card for card in self.starting if card.id in ticked]
