"""What every view needs of the person asking, and of a form two people may have open at once."""

from collections.abc import Callable
from dataclasses import dataclass

from django.core.exceptions import PermissionDenied, ValidationError
from django.http import HttpRequest, QueryDict

from restorations.members.models import Changed, Member
from restorations.web.conflicts import Difference, VersionedForm, differences
from restorations.web.fields import OnceForm


def signed_in(request: HttpRequest) -> Member:
    """The member asking; the sign-in middleware has turned everybody else away."""
    if not isinstance(request.user, Member):
        raise PermissionDenied("Sign in first.")
    return request.user


def sent(request: HttpRequest) -> QueryDict | None:
    """What was posted, even where it is nothing at all; None when the page is only looked at."""
    return request.POST if request.method == "POST" else None


def try_once(form: OnceForm, save: Callable[[], object]) -> bool:
    """Run `save` if the form is right; what it refuses ends in the form, in words."""
    if not form.is_valid():
        return False
    try:
        save()
    except ValidationError as error:
        form.add_error(None, error)
        return False
    return True


@dataclass(frozen=True, slots=True)
class Tried:
    """How saving went: 200 saved, 409 changed meanwhile (with both versions), 422 something to mend in the form."""

    status: int
    differences: list[Difference] | None = None

    @property
    def saved(self) -> bool:
        return self.status == 200


NOT_TRIED = Tried(status=200)


def try_saving(form: VersionedForm, save: Callable[[], object]) -> Tried:
    """Run `save` if the form is right; what it refuses ends in the form, in words."""
    if not form.is_valid():
        return Tried(status=422)
    try:
        save()
    except Changed as conflict:
        return Tried(status=409, differences=differences(form, conflict.theirs))
    except ValidationError as error:
        form.add_error(None, error)
        return Tried(status=422)
    return Tried(status=200)
