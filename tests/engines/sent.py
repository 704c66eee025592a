"""What the forms of the engine pages send, as a browser would."""

import re
import uuid
from typing import Any

from django.test import Client

HTMX = {"hx-request": "true"}


def once(**data: Any) -> dict[str, Any]:
    """The data of a form with a fresh mark."""
    return {"submission": str(uuid.uuid4()), **data}


def names_asked(page: str) -> set[str]:
    """Names of all boxes and lists on the page."""
    return set(re.findall(r'<(?:input|select|textarea)[^>]* name="([a-z_]+)"', page))


def said_in_box(page: str, name: str) -> str:
    """What stands in a box; nothing where it is empty."""
    box = re.search(rf'<input[^>]* name="{name}"[^>]*>', page)
    value = re.search(r' value="([^"]*)"', box[0]) if box else None
    return value[1] if value else ""


def error_beside(page: str, name: str) -> str:
    """The words beside one box."""
    error = re.search(rf'id="id_{name}_error"[^>]*>(.*?)</ul>', page, re.S)
    return re.sub(r"<[^>]+>", "", error[1]).strip() if error else ""


def told(browser: Client) -> str:
    """What the next page says of what was done."""
    page = browser.get("/engines/").text
    return page.partition('<ul class="messages">')[2].partition("</ul>")[0]
