"""The knowledge that rankings of an engine are made with."""

from restorations.engines.models import Engine
from restorations.knowledge import Knowledge, load


def in_force(engine: Engine) -> Knowledge:
    """What is known now, for this engine; its checksum tells one state of it from another."""
    return load()
