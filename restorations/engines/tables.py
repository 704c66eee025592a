"""The list of engines as a table to take away."""

from restorations.engines.showing import kind_in_words
from restorations.web.tables_out import Table

ENGINES = Table("engines", (
    ("Name", lambda engine: engine.name),
    ("Number", lambda engine: engine.number),
    ("Kind and gauge", kind_in_words),
    ("Design", lambda engine: engine.design or ""),
    ("Builder", lambda engine: engine.builder),
    ("Built", lambda engine: engine.built),
    ("Owner", lambda engine: engine.owner),
    ("Private", lambda engine: engine.is_private),
))  # fmt: skip
