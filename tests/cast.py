"""The nine people of the demo, and anonymous: the same sign-in names, offices and places as there.

`member` and `mate` work on the same engine, `owner` owns one, `stranger` is a member with no part in either.
"""

from dataclasses import dataclass, field

import pytest
from django.test import Client

from restorations.members.models import Member

PASSWORD = "demo"
NAMES = {
    "member": "Arthur Tindle",
    "mate": "Bess Farrow",
    "mentor": "Walter Grice",
    "mentor2": "Hilda Sorrell",
    "secretary": "Nora Peck",
    "inspector": "Ivor Callow",
    "owner": "Maud Elstone",
    "administrator": "Colin Raikes",
    "stranger": "Ted Youlden",
}
OFFICE = {
    "mentor": "mentor",
    "mentor2": "mentor",
    "secretary": "secretary",
    "inspector": "inspector",
    "administrator": "administrator",
}
ANONYMOUS = "anonymous"
EVERYBODY = (*NAMES, ANONYMOUS)


@dataclass
class Cast:
    """Everybody by sign-in name: `cast.member`, `cast["member"]`; `cast.browser("member")` is signed in."""

    people: dict[str, Member] = field(default_factory=dict)

    def __getitem__(self, name: str) -> Member:
        return self.people[name]

    def __getattr__(self, name: str) -> Member:
        try:
            return self.__dict__["people"][name]
        except KeyError:
            raise AttributeError(name) from None

    def browser(self, name: str) -> Client:
        """A browser in which this person is signed in; nobody for "anonymous"."""
        client = Client()
        if name != ANONYMOUS:
            client.force_login(self[name])
        return client


def make_cast() -> Cast:
    people = {}
    for name, full_name in NAMES.items():
        offices = {f"is_{OFFICE[name]}": True} if name in OFFICE else {}
        people[name] = Member.objects.create_member(
            sign_in_name=name, full_name=full_name, password=PASSWORD, email=f"{name}@club.example", **offices
        )
    return Cast(people)


@pytest.fixture
def cast(db: None) -> Cast:
    return make_cast()
