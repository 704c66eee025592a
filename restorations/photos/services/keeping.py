"""Putting files in their place before any row names them, with what can go wrong said in words."""

from collections.abc import Callable
from datetime import timedelta
from typing import Any

from django.core.exceptions import ValidationError

from restorations.members.doing import Doing

MOST_IN_AN_HOUR = 300


def kept(keep: Callable[[], str]) -> str:
    """Run `keep`; a full or read-only disk is answered in words and nothing is saved."""
    try:
        return keep()
    except OSError as error:
        raise ValidationError(
            f"The club's computer could not keep the file ({error.strerror or 'no reason given'}). "
            "Nothing was saved; tell the administrator."
        ) from error


def refuse_flood(rows: Any, doing: Doing, arriving: int) -> None:
    """A phone gone wild must not fill the disk."""
    lately = rows.filter(made_by=doing.member, made_at__gt=doing.at - timedelta(hours=1)).count()
    if lately + arriving > MOST_IN_AN_HOUR:
        raise ValidationError(f"At most {MOST_IN_AN_HOUR} go up in an hour. Wait a little, then send the rest.")
