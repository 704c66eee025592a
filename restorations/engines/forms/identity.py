"""Who an engine is, whose it is, and finding one."""

from typing import Any

from django import forms
from django.db.models import Q

from restorations.engines.forms.answers import AnswerField
from restorations.engines.models import Design, Engine
from restorations.engines.models.engine import CLUB, OUTSIDER
from restorations.knowledge.configuration import CHOICES, LABELS
from restorations.members.models import Member
from restorations.web.conflicts import VersionedForm

IDENTITY = ("name", "number", "builder", "built", "design", "about")
STANDS = [
    ("works", "to be restored or repaired: not in traffic"),
    ("laid_up", "put away: laid up"),
    ("", "it runs: in traffic"),
]
FIRST_QUESTIONS = ("kind", "cylinder_layout", "cylinder_mounting")


class SearchForm(forms.Form):
    q = forms.CharField(label="Name, number, builder or design", max_length=80, required=False)


class IdentityForm(VersionedForm):
    """Name and marks of one engine. A design is chosen, or a new one named."""

    name = forms.CharField(label="Name", max_length=80, help_text="As you speak of it in the club.")
    number = forms.CharField(label="Number or mark on the engine", max_length=40, required=False)
    builder = forms.CharField(label="Builder", max_length=80, required=False)
    built = forms.CharField(
        label="When built", max_length=40, required=False, help_text="As well as it is known: 1986, about 1950."
    )
    design = forms.ModelChoiceField(
        label="Design",
        queryset=Design.objects.all(),
        required=False,
        empty_label="not known, or not in this list",
        help_text="The drawing or commercial pattern that sister engines share.",
    )
    new_design = forms.CharField(label="A design not in the list", max_length=80, required=False)
    about = forms.CharField(
        label="What else is known of it", max_length=4000, required=False, widget=forms.Textarea(attrs={"rows": 4})
    )

    def clean(self) -> dict[str, Any]:
        cleaned = super().clean() or {}
        if cleaned.get("design") and cleaned.get("new_design"):
            self.add_error("new_design", "Choose a design from the list or name a new one, not both.")
        return cleaned

    def columns(self) -> dict[str, Any]:
        """What to save; `new_design` names one that is not in the list yet."""
        return {name: self.cleaned_data[name] for name in (*IDENTITY, "new_design")}

    @staticmethod
    def said_of(engine: Engine) -> dict[str, Any]:
        """What to draw the form with."""
        return {name: getattr(engine, name) for name in ("version", *IDENTITY)}


class OwnerForm(VersionedForm):
    """Whose it is: the club's, a member's, or somebody's with an address."""

    owner_choice = forms.ChoiceField(label="Owner")
    owner_name = forms.CharField(
        label="Owner's name", max_length=80, required=False, help_text="Only for an owner who is not a member."
    )
    owner_address = forms.CharField(label="Owner's address", max_length=200, required=False)
    is_private = forms.BooleanField(
        label="Private", required=False, help_text="Only its owner, its hands and people they invite see it."
    )

    def __init__(self, *args: Any, **options: Any) -> None:
        super().__init__(*args, **options)
        present = self.initial.get("owner_choice", "")
        # An owner who has left the club still owns the engine.
        members = Member.objects.filter(Q(left_on__isnull=True) | Q(pk=int(present) if present.isdigit() else None))
        self.fields["owner_choice"].choices = [  # type: ignore[attr-defined]
            (CLUB, "the club"),
            *((str(member.pk), member.full_name) for member in members),
            (OUTSIDER, "somebody else, named below"),
        ]

    def clean(self) -> dict[str, Any]:
        cleaned = super().clean() or {}
        named = cleaned.get("owner_name") or cleaned.get("owner_address")
        choice = cleaned.get("owner_choice")
        if choice == OUTSIDER and cleaned.get("owner_name") == "":
            self.add_error("owner_name", "Give the owner's name, or choose the club or a member above.")
        elif choice and choice != OUTSIDER and named:
            self.add_error("owner_choice", "A name is given below: choose “somebody else”, or empty name and address.")
        return cleaned

    def columns(self) -> dict[str, Any]:
        choice = self.cleaned_data["owner_choice"]
        return {
            "owner_is_club": choice == CLUB,
            "owner_member": Member.objects.get(pk=int(choice)) if choice.isdigit() else None,
            **{name: self.cleaned_data[name] for name in ("owner_name", "owner_address", "is_private")},
        }

    @staticmethod
    def said_of(engine: Engine) -> dict[str, Any]:
        """What to draw the form with."""
        names = ("version", "owner_choice", "owner_name", "owner_address", "is_private")
        return {name: getattr(engine, name) for name in names}


class NewEngineForm(IdentityForm, OwnerForm):
    """Enough to enter an engine; how it is built is asked on the next page, for its kind."""

    stands = forms.ChoiceField(label="How it stands", choices=STANDS, required=False, widget=forms.RadioSelect)
    works_on_it = forms.BooleanField(
        label="I work on this engine", required=False, help_text="You become one of its hands."
    )

    def __init__(self, *args: Any, member: Member, **options: Any) -> None:
        self.member = member
        only_office = bool(member.offices) and not member.is_mentor
        initial = {"owner_choice": str(member.pk), "works_on_it": not only_office, "stands": "works"}
        super().__init__(*args, **options, initial=initial)
        del self.fields["version"]
        for name in FIRST_QUESTIONS:
            self.fields[name] = AnswerField(label=LABELS[name], choices=CHOICES[name].items())
        self.order_fields(("submission", "name", *FIRST_QUESTIONS))

    def clean(self) -> dict[str, Any]:
        cleaned = super().clean()
        in_sight = cleaned.get("works_on_it") or cleaned.get("owner_choice") == str(self.member.pk)
        if cleaned.get("is_private") and not in_sight and not self.member.is_secretary:
            self.add_error("is_private", "You would not see it yourself: say that you work on it, or leave this open.")
        return cleaned

    def columns(self) -> dict[str, Any]:
        return IdentityForm.columns(self) | OwnerForm.columns(self) | {"stands": self.cleaned_data["stands"]}

    def build(self) -> dict[str, Any]:
        """The first configuration: what is answered here."""
        return {name: self.cleaned_data[name] for name in FIRST_QUESTIONS}
