"""Forms of the fault sheet. What a form cannot know is asked in words; what can be derived is not asked."""

from datetime import UTC, datetime
from typing import Any

from django import forms
from django.core.exceptions import ValidationError
from django.utils import timezone

from restorations.faults.facts import SheetState
from restorations.faults.models.sheet import LONGEST_COMPLAINT
from restorations.faults.wording import STATE_WORDS, part_apart
from restorations.knowledge import EngineKnowledge
from restorations.knowledge.gates import PREPARATIONS
from restorations.photos.fields import PhotosField
from restorations.web.fields import OnceForm

YES_NO = [("not_known", "not known"), ("yes", "yes"), ("no", "no")]
EARLIEST = datetime(1900, 1, 1, tzinfo=UTC)
STORED = [("dry", "dry"), ("damp", "damp"), ("oiled", "oiled"), ("drained", "drained")]


class HistoryForm(OnceForm):
    """The history answers this sheet rests on; everything may be "not known"."""

    ever_ran = forms.ChoiceField(label="Has it ever run?", choices=YES_NO, initial="not_known")
    ran_well_when_put_away = forms.ChoiceField(
        label="Did it run well when it was put away?", choices=YES_NO, initial="not_known"
    )
    rebuilt_since = forms.ChoiceField(label="Taken apart or rebuilt since?", choices=YES_NO, initial="not_known")
    first_run_done = forms.ChoiceField(label="Has it run since that?", choices=YES_NO, initial="not_known")
    stored = forms.MultipleChoiceField(
        label="How was it stored?", choices=STORED, required=False, widget=forms.CheckboxSelectMultiple,
        help_text="Leave all open where nobody knows.",
    )  # fmt: skip
    years = forms.FloatField(
        label="Years out of use", min_value=0, max_value=150, required=False, help_text="Leave open where nobody knows."
    )
    why_stopped = forms.CharField(label="Why was it stopped?", max_length=200, required=False)

    def clean_stored(self) -> list[str]:
        stored: list[str] = self.cleaned_data["stored"]
        if {"damp", "dry"} <= set(stored):
            raise ValidationError("Damp and dry cannot both be so: say which it was for the longer time.")
        return stored

    def general(self) -> dict[str, Any]:
        data = self.cleaned_data
        return {name: data[name] for name in HISTORY_FIELDS} | {"stored": sorted(data["stored"])}


HISTORY_FIELDS = (
    "ever_ran", "ran_well_when_put_away", "rebuilt_since", "first_run_done", "stored", "years", "why_stopped",
)  # fmt: skip


class OpenSheetForm(HistoryForm):
    complaint = forms.CharField(
        label="What is wrong, in your own words",
        max_length=LONGEST_COMPLAINT,
        widget=forms.Textarea(attrs={"rows": 3}),
        help_text="What it does or will not do. The first line becomes the heading.",
        error_messages={"required": "Say in a few words what it does or will not do."},
    )
    field_order = ("complaint",)


class FindingForm(OnceForm):
    """Something seen: at which level, where in the turn, when."""

    level = forms.IntegerField(min_value=0, max_value=9)
    turn_degrees = forms.CharField(
        label="Where in the turn, in degrees", required=False, max_length=60,
        help_text="From the marked place on the tyre, with commas: 5, 185.",
    )  # fmt: skip
    note = forms.CharField(
        label="In your words", required=False, max_length=4000, widget=forms.Textarea(attrs={"rows": 2})
    )
    happened_at = forms.DateTimeField(
        label="When, if not just now", required=False, widget=forms.DateTimeInput(attrs={"type": "datetime-local"}),
        input_formats=["%Y-%m-%dT%H:%M", "%Y-%m-%dT%H:%M:%S", "%Y-%m-%d %H:%M", "%d.%m.%Y %H:%M"],
    )  # fmt: skip

    photos = PhotosField(required=False)

    def clean_turn_degrees(self) -> str:
        text = self.cleaned_data["turn_degrees"]
        for piece in text.replace(" ", "").split(",") if text else []:
            try:
                lawful = 0 <= float(piece) <= 360
            except ValueError:
                lawful = False
            if not lawful:
                raise ValidationError("Degrees from 0 to 360 with commas between them, such as 5, 185.")
        return str(text)

    def clean_happened_at(self) -> datetime | None:
        moment = self.cleaned_data["happened_at"]
        if moment is not None and moment > timezone.now():
            raise ValidationError("That is still to come; a step is written down after it was done.")
        if moment is not None and moment < EARLIEST:
            raise ValidationError("That is before anybody now could have seen it. Check the year.")
        return moment  # type: ignore[no-any-return]


class AnswerForm(FindingForm):
    """The answer to a check or remedy, with the parts it moved."""

    level = None  # type: ignore[assignment]
    action = forms.CharField(max_length=120, widget=forms.HiddenInput)
    answer = forms.CharField(max_length=20)
    taken_off = forms.CharField(required=False)
    refitted = forms.CharField(required=False)
    box = forms.CharField(label="Box or place", required=False, max_length=60)

    def __init__(self, *args: Any, expanded: EngineKnowledge, **options: Any) -> None:
        super().__init__(*args, **options)
        self.expanded = expanded

    def parts(self, name: str) -> tuple[str, ...]:
        """The ticked parts, those that this engine has; a fire is no part that lies in a box."""
        parts = self.expanded.parts
        return tuple(part for part in self._ticked(name) if part in parts and not parts[part].entry.is_state)

    @property
    def prepared(self) -> tuple[str, ...]:
        return tuple(fact for fact in self._ticked("prepared") if fact in PREPARATIONS)

    def _ticked(self, name: str) -> list[str]:
        return self.data.getlist(name) if hasattr(self.data, "getlist") else list(self.data.get(name, []))


def _as_read_out(condition: str) -> tuple[int, str]:
    """What changes most in an evening first."""
    first = list(STATE_WORDS)
    return (first.index(condition) if condition in first else len(first), condition)


class StateForm(OnceForm):
    """The state the engine stands in: asked once, carried on."""

    def __init__(self, *args: Any, expanded: EngineKnowledge, state: SheetState, **options: Any) -> None:
        super().__init__(*args, **options)
        self.expanded = expanded
        for name in sorted(expanded.conditions, key=_as_read_out):
            condition = expanded.conditions[name]
            self.fields[f"condition_{name}"] = forms.ChoiceField(
                label=condition.title,
                choices=[(value, value.replace("_", " ")) for value in condition.values],
                initial=state.conditions.get(name, condition.assumed),
            )
        self.fields["tied_down"] = forms.BooleanField(
            label="Tied down with stops, nothing on the wheels", required=False, initial=state.tied_down
        )
        self.fields["air_isolated"] = forms.BooleanField(
            label="Steam pipe parted and blanked from the boiler, or the boiler open to the air",
            required=False,
            initial=state.air_isolated,
            help_text="A shut regulator does not count.",
        )
        self.fields["boiler"] = forms.ChoiceField(
            label="Boiler",
            choices=[("cold", "cold"), ("hydraulic", "under hydraulic test"), ("in_steam", "in steam")],
            initial=state.boiler,
        )
        slackened = [
            (part.id, ": ".join(filter(None, part_apart(part.name))))
            for part in expanded.parts.values() if part.entry.can_be
        ]  # fmt: skip
        self.fields["slackened"] = forms.MultipleChoiceField(
            label="Slackened or hung up now", choices=slackened, required=False,
            widget=forms.CheckboxSelectMultiple, initial=sorted(state.slackened),
        )  # fmt: skip

    def state(self) -> SheetState:
        data = self.cleaned_data
        return SheetState(
            conditions={name: data[f"condition_{name}"] for name in self.expanded.conditions},
            slackened=frozenset(data["slackened"]),
            tied_down=data["tied_down"],
            air_isolated=data["air_isolated"],
            boiler=data["boiler"],
        )


class StrikeForm(OnceForm):
    reason = forms.CharField(
        label="Why is it struck out?", max_length=200, error_messages={"required": "Say why; the line stays readable."}
    )


class NoteForm(OnceForm):
    note = forms.CharField(label="Note", max_length=4000, widget=forms.Textarea(attrs={"rows": 2}))
    photos = PhotosField(required=False)
