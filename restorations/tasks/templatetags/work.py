"""Template filters of cards and the day book: hours and money in words."""

from django import template

from restorations.tasks.measuring import in_hours
from restorations.tasks.money import Pence

register = template.Library()


@register.filter
def spent(minutes: int | None) -> str:
    """Minutes in hours and minutes; "nothing yet" where there are none."""
    return in_hours(minutes) or "nothing yet"


@register.filter
def hours(value: float) -> str:
    """`{{ card.likely_hours|hours }}` gives 1.5 h."""
    return f"{value:g}\u00a0h"


@register.filter
def in_minutes(value: float) -> int:
    """Hours as minutes, for a meter."""
    return round(value * 60)


@register.filter
def pounds(pence: int | None) -> str:
    return "" if pence is None else f"£{Pence(pence)}"
