"""Lines for the log: one line each, in UTC, and no secret address in them."""

import logging
import re
import time

_SECRET = re.compile(r"/(join|slip|(?<!/me/)feeds)/[^/\s\"'<>]+")
_CONTROL = re.compile(r"[\x00-\x1f\x7f\u2028\u2029]")


def without_secrets(text: str) -> str:
    """The text with the secret part of invitation, slip and feed addresses left out."""
    return _SECRET.sub(r"/\1/…", text)


class OneLine(logging.Formatter):
    """What a visitor typed can neither begin a line of its own nor leave a secret behind."""

    converter = staticmethod(time.gmtime)

    def formatMessage(self, record: logging.LogRecord) -> str:
        record.message = _CONTROL.sub(" ", record.message)
        return super().formatMessage(record)

    def format(self, record: logging.LogRecord) -> str:
        return without_secrets(super().format(record))
