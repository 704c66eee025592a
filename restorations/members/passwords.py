"""Words nobody may take as a password here: the club's own."""

from typing import Any

from django.core.exceptions import ValidationError

from restorations.members.models import Club, plain_name


class NotTheClubsName:
    """Refuses the club's name and the tool's, with or without digits and marks around them."""

    def validate(self, password: str, user: Any = None) -> None:
        if _letters(password) in {_letters(Club.current().name), "clubshop"}:
            raise ValidationError("The club's name is the first thing anybody would try. Choose something else.")

    def get_help_text(self) -> str:
        return "The club's name will not do."


def _letters(text: str) -> str:
    return "".join(letter for letter in plain_name(text) if letter.isalpha())
