"""Lines of the log: one line each, in UTC, without secrets."""

import logging

from restorations.members.log_lines import OneLine, without_secrets


def _line(message: str, *values: object) -> str:
    record = logging.LogRecord("clubshop", logging.WARNING, "here", 1, message, values, None)
    record.created, record.msecs = 0.0, 0.0
    return OneLine("%(asctime)s %(message)s").format(record)


def test_what_a_visitor_typed_cannot_begin_a_line_of_its_own() -> None:
    assert _line("Not Found: %s", "/x\n2026 ERROR invented\r\u2028more") == (
        "1970-01-01 00:00:00,000 Not Found: /x 2026 ERROR invented  more"
    )


def test_secret_addresses_stay_out_wherever_they_stand() -> None:
    line = _line("Not Found: %s", "/join/Abc-123_x/ and /slip/Def456/?next=/join/Ghi/ and /feeds/Jkl/")
    assert line.endswith("/join/…/ and /slip/…/?next=/join/…/ and /feeds/…/")


def test_other_addresses_stay_readable() -> None:
    readable = "/people/7/slip/ and /joinery/x/ and /me/feeds/3/revoke/"
    assert without_secrets(readable) == readable
