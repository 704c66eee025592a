"""On which day somebody is to be told that a paper lapses. No row is read here."""

from datetime import date

NOTICE = (7, 30, 90)
TOLD_AFTER = 30  # after a pause, a paper that has lapsed meanwhile is still told of for so many days


def notice_due(lapses_on: date, on: date) -> int | None:
    """The nearest of 7, 30 and 90 days that has been reached, of a paper that lapses; None where none is due.

    After a pause only that one is due, not those that went by. What has just lapsed counts as the last notice.
    """
    left = (lapses_on - on).days
    if left < -TOLD_AFTER:
        return None
    return next((days for days in NOTICE if left <= days), None)
