"""A finding that went and came back: a sheet goes on although what was cured once is there again."""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Any

from restorations.calc.diagnosis import Observed, Remedied


def looked_at_afresh(events: Sequence[Any]) -> list[Any]:
    """What went and came back is judged afresh after each further remedy.

    A finding shares its draws among all looks, so that what was cured once cannot be cured again: the second cure of a
    thing that came back would contradict the first, and nothing could be ranked any more.
    """
    looks: dict[str, _Look] = {}
    made: list[Any] = []
    for event in events:
        if isinstance(event, Remedied):
            looks = {name: replace(look, was_treated=True) for name, look in looks.items()}
        made.append(_judged(event, looks) if isinstance(event, Observed) else event)
    return made


def _judged(event: Observed, looks: "dict[str, _Look]") -> Observed:
    before = looks.get(event.finding, _Look())
    looks[event.finding] = before.then(event)
    return replace(event, fresh=True) if before.is_back and before.was_treated else event


@dataclass(frozen=True, slots=True)
class _Look:
    """How one finding stood: seen with these causes silent, gone with these, and whether it has come back."""

    seen: frozenset[str] | None = None
    gone: frozenset[str] | None = None
    is_back: bool = False
    was_treated: bool = False

    def then(self, look: Observed) -> "_Look":
        silent = frozenset(look.inactive)
        if look.level:
            back = self.is_back or (self.gone is not None and self.gone <= silent)
            return replace(self, seen=silent, is_back=back, was_treated=False)
        whole = self.seen is not None and silent <= self.seen
        return replace(self, gone=silent if whole else self.gone, was_treated=False)
