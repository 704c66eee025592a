"""The text a new entry begins with: every field that it must have, to be filled in."""

from __future__ import annotations

_FOOT = """status = "in_use"
basis = "club_record"
source = "common_practice"
"""
_ACTION = """how = ""
tools = []
minutes = 10
needs = []
excludes = []
risk_engine = 0
risk_person = 0
authority = "member"
cautions = []
"""
_BODIES = {
    "causes": """title = ""
place = "engine"
at = "frame"
applies = {}
rate = { idle_for_years = 0.015, freshly_assembled = 0.015, in_regular_use = 0.015, per = "engine" }
when = []
remedies = []
explain = ""
""",
    "findings": """title = ""
words = []
place = "engine"
at = "frame"
ask = ""
levels = ["no", "yes"]
leak = [0.01]
""",
    "checks": f"""title = ""
place = "engine"
examines = ""
sensitivity = 0.9
false_alarm = 0.03
{_ACTION}meaning = {{ "found" = "", "not found" = "" }}
""",
    "remedies": f"""title = ""
success = 0.9
{_ACTION}""",
}
_TAIL = {
    "findings": """
[[{id}.links]]
cause = ""
strengths = [0.5]
"""
}


def skeleton(kind: str, entry_id: str) -> str:
    """Return the text that a new entry of a kind begins with."""
    return f"[{entry_id}]\n{_BODIES[kind]}{_FOOT}{_TAIL.get(kind, '').format(id=entry_id)}"
