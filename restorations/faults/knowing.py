"""The knowledge that rankings of an engine are made with."""

from restorations.engines.models import Engine
from restorations.faults.club_knowledge import club_knowledge
from restorations.faults.learning import knowledge_with, rows_holding
from restorations.knowledge import Knowledge


def in_force(engine: Engine) -> Knowledge:
    """What is known now: the files with the club's entries, and the base rates that closed sheets have taught, of its
    design or else of the club. Two small queries; its checksum tells one state of it from another."""
    return knowledge_with(club_knowledge(), rows_holding(engine.design_id))
