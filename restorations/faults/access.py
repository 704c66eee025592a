"""What a member may do on a sheet; the table of acts is in members.permissions."""

from dataclasses import dataclass
from datetime import date

from django.core.exceptions import PermissionDenied
from django.http import Http404

from restorations.engines.access import places_of
from restorations.faults.models import FaultSheet, GoAhead, Step
from restorations.knowledge import EngineKnowledge
from restorations.members.models import Member
from restorations.members.permissions import allowed


@dataclass(frozen=True, slots=True)
class Standing:
    """Where a member stands towards the engine of a sheet that they can see."""

    member: Member
    places: frozenset[str]
    is_closed: bool = False
    """A closed sheet is read: nobody writes on it until it is opened again."""

    def _may(self, act: str) -> bool:
        return not self.is_closed and allowed(act, self.places)

    @property
    def may_log(self) -> bool:
        return self._may("log work") or self._may("log work as a helper")

    @property
    def logs_stand(self) -> bool:
        """Whether what they log counts at once, or waits until one of the hands accepts it."""
        return self._may("log work")

    @property
    def may_accept(self) -> bool:
        return self._may("accept a helper's entry")

    @property
    def may_ask(self) -> bool:
        return self._may("do a risky step")

    @property
    def may_propose(self) -> bool:
        return self._may("propose a confirmed cause")

    @property
    def may_close(self) -> bool:
        return self._may("close a fault sheet")

    def may_strike(self, step: Step) -> bool:
        """One's own line, or a mentor correcting another's."""
        if self.is_closed:
            return False
        return step.recorded_by_id == self.member.pk or allowed("strike out another's entry", self.places)

    def may_answer(self, go_ahead: GoAhead, *, is_of_boiler: bool = False) -> bool:
        act = "give a go-ahead for boiler work" if is_of_boiler else "give a go-ahead"
        return allowed(act, self.places, own=go_ahead.asked_by_id == self.member.pk)

    def may_look_at(self, step: Step) -> bool:
        """Whether they may say that they have looked at what was done without a go-ahead."""
        own = self.member.pk in {step.done_by_id, step.recorded_by_id}
        return allowed("look at what was done without a go-ahead", self.places, own=own)


def needs_inspector(expanded: EngineKnowledge, action: str) -> bool:
    """Whether the step is boiler work, which an inspector may answer for as well."""
    placed = expanded.checks.get(action) or expanded.remedies.get(action)
    return placed is not None and placed.entry.authority == "inspector"


def standing_of(member: Member, sheet: FaultSheet, on: date) -> Standing:
    return Standing(member, places_of(member, sheet.engine, on), is_closed=sheet.closed_at is not None)


def visible_sheet(member: Member, pk: int, on: date) -> FaultSheet:
    """The sheet, or a plain 404 for whoever may not know of it."""
    rows = FaultSheet.objects.contents_visible_to(member, on=on).select_related("engine", "opened_by", "configuration")
    sheet = rows.filter(pk=pk).first()
    if sheet is None:
        raise Http404("no such sheet")
    return sheet


def require(holds: bool, otherwise: str) -> None:
    if not holds:
        raise PermissionDenied(otherwise)
