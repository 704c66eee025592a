"""Address converters: a row's number small enough for any database, so that a silly address is a plain 404."""


class RowNumber:
    """A whole number from 1 that fits a 64-bit key."""

    regex = "[1-9][0-9]{0,17}"

    def to_python(self, value: str) -> int:
        return int(value)

    def to_url(self, value: int) -> str:
        return str(value)
