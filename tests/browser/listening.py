"""Hears what a page complains of: script errors, console errors, reports of the content policy."""

import re

from playwright.sync_api import BrowserContext, ConsoleMessage

# A form to be mended, a conflict, a refusal: answered in words on the page, and reported by Chromium all the same.
ANSWERED_IN_WORDS = re.compile(r"the server responded with a status of (403|404|409|422|429) ")


class Listener:
    def __init__(self, context: BrowserContext) -> None:
        self.complaints: list[str] = []
        context.on("console", self._hear)
        context.on("weberror", lambda error: self.complaints.append(f"script error: {error.error}"))

    def _hear(self, message: ConsoleMessage) -> None:
        # What our pages and scripts do has an address; what has none is the measuring tool, which styles inline.
        address = message.location.get("url")
        if address and message.type in {"error", "warning"} and not ANSWERED_IN_WORDS.search(message.text):
            self.complaints.append(f"{message.type}: {message.text} ({address})")
