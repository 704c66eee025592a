"""Prices: whole pence inside, typed and shown like 12.50."""

import re

DEAREST_PENCE = 10_000_000
_PRICE = re.compile(r"£?\s*(\d{1,6})(?:\.(\d{1,2}))?")


class NotAPrice(ValueError):
    """What was typed is no price; the message says how to type one."""


class Pence(int):
    """An amount of money that reads as pounds."""

    def __str__(self) -> str:
        return f"{'-' if self < 0 else ''}{abs(self) // 100}.{abs(self) % 100:02d}"


def read_price(text: str) -> Pence:
    """Read `12.50`, `£12.50` or `12`. Raises NotAPrice in words."""
    typed = text.strip()
    if re.search(r"\d,\d", typed):
        raise NotAPrice("Type the price with a point for the pence and no other mark, such as 12.50 or 1250.")
    if typed.startswith(("-", "\u2212")):
        raise NotAPrice("A price is not less than nothing. Type it like 12.50.")
    match = _PRICE.fullmatch(typed)
    if match is None:
        raise NotAPrice("This is not a price. Type pounds and pence like 12.50.")
    pence = Pence(int(match[1]) * 100 + int((match[2] or "0").ljust(2, "0")))
    if pence > DEAREST_PENCE:
        raise NotAPrice(f"That is more than {Pence(DEAREST_PENCE)}; ask the treasurer first.")
    return pence
