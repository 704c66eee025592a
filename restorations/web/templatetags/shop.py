"""Template tags every app uses: quantities, moments, form fields, the mark that makes a form count once."""

import uuid
from datetime import datetime, timedelta
from typing import Any

from django import forms, template
from django.forms.boundfield import BoundField
from django.utils import timezone
from django.utils.html import format_html
from django.utils.safestring import SafeString

from restorations.web.tables_out import ASKED

register = template.Library()

NOT_KNOWN = "not known"
DAYS_NAMED_BY_WEEKDAY = 6


@register.filter
def quantity(value: float | None, unit_and_places: str) -> str:
    """`{{ bore|quantity:"mm,1" }}` gives 28.6 mm; nothing known gives "not known"."""
    if value is None:
        return NOT_KNOWN
    unit, _, places = unit_and_places.partition(",")
    return f"{value:.{int(places or 0)}f}\u00a0{unit}"


@register.filter
def when(at: datetime | None, precision: str = "minute") -> str:
    """A moment in the club's zone, no more exact than it is known: "Tue 19.40", "17 Nov 2024", "about 1998"."""
    if at is None:
        return NOT_KNOWN
    local, today = timezone.localtime(at), timezone.localdate()
    year = "" if local.year == today.year else f" {local.year}"
    day = f"{local.day} {local:%b}{year}"
    if precision == "minute":
        recent = timedelta(0) <= today - local.date() <= timedelta(days=DAYS_NAMED_BY_WEEKDAY)
        return f"{local:%a}\u00a0{local:%H.%M}" if recent else f"{day}, {local:%H.%M}"
    words = {"day": day, "month": f"{local:%b %Y}", "year": str(local.year), "about": f"about {local.year}"}
    return words[precision]


@register.inclusion_tag("web/_field.html")
def field(bound: BoundField) -> dict[str, Any]:
    """One field of a form: label above, help, errors tied to it, then what was typed."""
    ticked = isinstance(bound.field, forms.BooleanField | forms.MultipleChoiceField)  # left empty, they say no
    return {"field": bound, "optional": not bound.field.required and not ticked}


@register.inclusion_tag("web/_error_summary.html")
def error_summary(form: forms.BaseForm) -> dict[str, Any]:
    """All there is to mend, each with a link to its field."""
    errors = [{"words": words, "label": "", "href": ""} for words in form.non_field_errors()]
    for bound in form:
        href = "" if bound.is_hidden else f"#{bound.id_for_label or f'{bound.auto_id}_0'}"
        errors += [{"words": words, "label": bound.label, "href": href} for words in bound.errors]
    return {"errors": errors}


@register.simple_tag
def submission() -> SafeString:
    """The mark for a form written by hand: a second sending of the same page is known by it."""
    return format_html('<input type="hidden" name="submission" value="{}">', uuid.uuid4())


@register.inclusion_tag("web/_take_out.html", takes_context=True)
def take_out(context: dict[str, Any], words: str = "The whole list") -> dict[str, Any]:
    """A link to the list as a table, by the filters the page was asked with; `words` where that is not all of it."""
    asked = context["request"].GET.copy()
    for name in ("page", "before"):
        asked.pop(name, None)
    asked[ASKED] = "csv"
    return {"address": f"{context['request'].path}?{asked.urlencode()}", "words": words}
