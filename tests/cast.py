"""The nine people of the demo, and anonymous: the same names and offices as there.

`member` and `mate` work on the same engine, `owner` owns one, `stranger` is a member with no part in either.
"""

from dataclasses import dataclass, field

import pytest
from django.test import Client

from restorations.home.demo.cast import CAST, PASSWORD
from restorations.members.models import Member

__all__ = ["ANONYMOUS", "EVERYBODY", "NAMES", "PASSWORD", "Cast", "cast", "make_cast"]

ANONYMOUS = "anonymous"
NAMES = {person.sign_in_name: person.full_name for person in CAST}
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
    people = {
        person.sign_in_name: Member.objects.create_member(
            sign_in_name=person.sign_in_name,
            full_name=person.full_name,
            password=PASSWORD,
            email=f"{person.sign_in_name}@club.example",
            **{f"is_{office}": True for office in person.offices},
        )
        for person in CAST
    }
    return Cast(people)


@pytest.fixture
def cast(db: None) -> Cast:
    return make_cast()
