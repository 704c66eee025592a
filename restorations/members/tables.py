"""The list of people as a table to take away."""

from typing import Any

from restorations.members.models import Member
from restorations.web.tables_out import Table


def _offices(person: Member) -> str:
    return ", ".join(person.offices)


_PEOPLE: tuple[tuple[str, Any], ...] = (
    ("Name", str),
    ("Sign-in name", lambda person: person.sign_in_name),
    ("Offices", _offices),
    ("Joined on", lambda person: person.joined_on),
    ("Left on", lambda person: person.left_on),
)
PEOPLE = Table("people", _PEOPLE)
PEOPLE_WITH_EMAIL = Table("people", (*_PEOPLE, ("E-mail", lambda person: person.email)))
