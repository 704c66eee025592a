"""Template tags of the fault sheet: the outline with its marks, words for places and states."""

from collections.abc import Iterable, Mapping

from django import template
from django.utils.safestring import SafeString, mark_safe

from restorations.engines.models import EngineConfiguration
from restorations.faults.suspicion import Suspect
from restorations.faults.wording import minutes_in_words
from restorations.web.outline import Mark, draw_outline, facing

register = template.Library()


@register.simple_tag
def outline(
    configuration: EngineConfiguration, side: str, links: Mapping[str, str], suspects: Iterable[Suspect] = ()
) -> SafeString:
    """The engine from its configuration, suspicion ringed and numbered as in the list beside it."""
    marks = [Mark(number=row.number, at=row.at, place=row.place, words=row.name) for row in suspects]
    drawing = draw_outline(configuration.as_configuration(), side=side, marks=marks, links=dict(links))
    # Our own drawing: the outline escapes the only words put into it (names from the knowledge files).
    return mark_safe(drawing)  # noqa: S308


@register.simple_tag
def outline_words(configuration: EngineConfiguration, side: str) -> str:
    return facing(configuration.as_configuration(), side)


@register.filter
def minutes(number: float) -> str:
    return minutes_in_words(number)


@register.filter
def percent(p: float) -> int:
    """For a meter; a ranking is no proof, so never above 99."""
    return min(99, round(100 * p))
