from django import forms

from restorations.tasks.models import TAG_KINDS
from restorations.web.fields import OnceForm


class TagForm(OnceForm):
    """A tag to hang on an engine."""

    kind = forms.ChoiceField(label="What it says", choices=list(TAG_KINDS.items()), widget=forms.RadioSelect)
    reason = forms.CharField(
        label="Why", max_length=120, help_text="In a few words, for whoever reads it with a hand on the regulator."
    )
