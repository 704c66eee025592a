"""Which calendar a private address is for."""

from django import forms

from restorations.traffic.models.feeds import FEEDS
from restorations.web.fields import OnceForm


class FeedForm(OnceForm):
    feed = forms.ChoiceField(label="Which calendar", choices=list(FEEDS.items()))
