"""The list of engines, and the stops of one, as tables to take away."""

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
STOPS = Table("stops", (
    ("Engine", lambda stop: stop.engine),
    ("Kind", lambda stop: stop.get_kind_display()),
    ("Where it lies", lambda stop: stop.get_cause_class_display()),
    ("What is wrong", lambda stop: stop.words),
    ("Out of traffic since", lambda stop: stop.began_on),
    ("First day back", lambda stop: stop.ended_on),
    ("Waits for", lambda stop: stop.get_waits_for_display() if stop.waits_for else ""),
    ("Stands", lambda stop: stop.place),
    ("Who has it", lambda stop: stop.custody),
    ("Expected back", lambda stop: stop.expected_on),
    ("Says", lambda stop: stop.expected_by),
    ("Reported by", lambda stop: stop.seen_by or stop.reported_by),
    ("Lifted by", lambda stop: stop.lifted_by),
    ("Struck out", lambda stop: stop.struck_reason),
))  # fmt: skip
