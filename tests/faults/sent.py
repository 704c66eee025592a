"""What the buttons and forms of a sheet send, and what the page says of it."""

from typing import Any

from django.http import HttpResponse

from restorations.faults.models import FaultSheet
from tests.cast import Cast
from tests.engines.sent import once

SHEET = {"hx-request": "true", "hx-target": "sheet"}


def post(cast: Cast, who: str, address: str, *, headers: dict[str, str] | None = None, **data: Any) -> HttpResponse:
    """One form sent by one person, with a fresh mark unless one is given."""
    return cast.browser(who).post(address, once(**data), headers=headers)  # type: ignore[return-value]


def observe(cast: Cast, sheet: FaultSheet, who: str = "member", **data: Any) -> HttpResponse:
    plain = {"finding": "wheels_stiff", "level": "1", "reported": "yes"}
    return post(cast, who, f"/sheets/{sheet.pk}/observe/", **{**plain, **data})


def answer(cast: Cast, sheet: FaultSheet, action: str, said: str, *, who: str = "member", **data: Any) -> HttpResponse:
    return post(cast, who, f"/sheets/{sheet.pk}/record/", action=action, answer=said, **data)


def page_of(cast: Cast, sheet: FaultSheet, who: str = "member") -> str:
    return str(cast.browser(who).get(sheet.get_absolute_url()).text)


def trouble(response: HttpResponse) -> str:
    """The words of the box that says why nothing was saved."""
    text = response.content.decode()
    return text.partition("<h2>Not saved</h2><p>")[2].partition("</p>")[0]
