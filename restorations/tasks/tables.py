"""The lists of the shop as tables to take away."""

from typing import Any

from restorations.tasks.models import Connection, DayBookEntry, FreeingAttempt, JobCard, Wanted
from restorations.web.tables_out import Table


def pounds(pence: int | None) -> float | None:
    return None if pence is None else pence / 100


def _helped(entry: DayBookEntry) -> str:
    return ", ".join(entry.helped)


def _on_it(card: JobCard) -> str:
    return ", ".join(card.on_it)


PARTS = Table("parts off", (
    ("Number", lambda part: part.number),
    ("Part", str),
    ("Part in the knowledge", lambda part: part.part_id),
    ("Lies in", lambda part: part.lies_in),
    ("Which way it sat", lambda part: part.orientation),
    ("Belongs with", lambda part: part.mates),
    ("Shim", lambda part: part.shim_typed),
    ("Gasket", lambda part: part.gasket_typed),
    ("Off at", lambda part: part.off_at),
    ("Off by", lambda part: part.off_by),
    ("Ended", lambda part: part.get_ending_display()),
    ("Ended at", lambda part: part.ended_at),
    ("Ended by", lambda part: part.ended_by),
    ("Why", lambda part: part.ending_reason),
))  # fmt: skip

CONNECTIONS = Table("connections", (
    ("Number", lambda row: row.number),
    ("Connection", str),
    ("Carries", Connection.get_carries_display),
    ("Flow", Connection.get_flow_display),
    ("End A", lambda row: row.end_a),
    ("End A is", Connection.get_closed_a_display),
    ("End B", lambda row: row.end_b),
    ("End B is", Connection.get_closed_b_display),
    ("Parted at", lambda row: row.parted_at),
    ("Parted by", lambda row: row.parted_by),
    ("Joined at", lambda row: row.joined_at),
    ("Joined by", lambda row: row.joined_by),
    ("Both ends looked over at", lambda row: row.checked_at),
))  # fmt: skip

TAGS = Table("tags", (
    ("Tag", str),
    ("Why", lambda tag: tag.reason),
    ("Hung at", lambda tag: tag.put_on_at),
    ("Hung by", lambda tag: tag.put_on_by),
    ("Taken off at", lambda tag: tag.taken_off_at),
    ("Taken off by", lambda tag: tag.taken_off_by),
))  # fmt: skip

SOAKS = Table("soaks", (
    ("Where", lambda soak: soak.place),
    ("In", lambda soak: soak.fluid),
    ("Volatile", lambda soak: soak.is_volatile),
    ("Begun at", lambda soak: soak.begun_at),
    ("Begun by", lambda soak: soak.begun_by),
    ("Due at", lambda soak: soak.due_at),
    ("Meanwhile", lambda soak: soak.care),
    ("Ended at", lambda soak: soak.ended_at),
    ("Ended by", lambda soak: soak.ended_by),
))  # fmt: skip

ATTEMPTS = Table("freeing", (
    ("Where", lambda row: row.place),
    ("Tried at", lambda row: row.tried_at),
    ("Tried by", lambda row: row.tried_by),
    ("How", lambda row: row.method),
    ("It moved", FreeingAttempt.get_push_display),
    ("Forward", lambda row: row.forward_typed),
    ("Back", lambda row: row.back_typed),
    ("Right round", lambda row: row.full_turn),
    ("Note", lambda row: row.note),
))  # fmt: skip

BOXES = Table("boxes", (
    ("Number", lambda box: box.number),
    ("Code", lambda box: box.code),
    ("Label", lambda box: box.label),
    ("Stands", lambda box: box.where),
    ("Places", lambda box: box.places),
    ("Parts in it", lambda box: box.filled),
))  # fmt: skip

CARDS = Table("job cards", (
    ("Engine", lambda card: card.engine),
    ("Job", lambda card: card.job or ""),
    ("Card", str),
    ("What", lambda card: card.what),
    ("Where", lambda card: card.where),
    ("State", JobCard.get_state_display),
    ("Waits for", lambda card: card.waits_for),
    ("Waits until", lambda card: card.waits_until),
    ("On it", _on_it),
    ("Hours spent", lambda card: round(card.spent_minutes / 60, 2)),
    ("Ended at", lambda card: card.ended_at),
))  # fmt: skip

DAY_BOOK = Table("day book", (
    ("When", lambda entry: entry.happened_at),
    ("How exactly that is known", DayBookEntry.get_happened_precision_display),
    ("Engine", lambda entry: entry.engine),
    ("Done by", lambda entry: entry.doer),
    ("Helped", _helped),
    ("What was done", lambda entry: entry.text),
    ("Where", lambda entry: entry.where),
    ("Minutes", lambda entry: entry.minutes),
    ("People", lambda entry: entry.people),
    ("Card", lambda entry: entry.card or ""),
    ("Stands", lambda entry: entry.stands),
    ("Struck out because", lambda entry: entry.struck_reason),
))  # fmt: skip

READINGS = Table("readings", (
    ("When", lambda row: row.happened_at),
    ("What", lambda row: row.what),
    ("Where", lambda row: row.where),
    ("As typed", lambda row: row.typed),
    ("Mean for comparison", lambda row: row.for_comparison),
    ("Repeats", lambda row: row.repeats),
    ("Spread", lambda row: row.spread),
    ("State of the engine", lambda row: row.state),
    ("Measured by", lambda row: row.doer),
    ("Struck out because", lambda row: row.struck_reason),
))  # fmt: skip

_WANTED: tuple[tuple[str, Any], ...] = (
    ("Engine", lambda row: row.engine),
    ("What", str),
    ("Size", lambda row: row.size),
    ("State", Wanted.get_state_display),
    ("From", lambda row: row.from_whom),
    ("Promised by", lambda row: row.promised_by),
    ("Card", lambda row: row.card or ""),
)  # fmt: skip
WANTED = Table("wanted", _WANTED)
WANTED_WITH_MONEY = Table("wanted", (
    *_WANTED,
    ("Price in pounds", lambda row: pounds(row.price_pence)),
    ("Paid by", lambda row: row.paid_by),
    ("Repaid on", lambda row: row.repaid_on),
))  # fmt: skip

HOLDINGS = Table("who holds what", (
    ("What", str),
    ("Kind", lambda row: row.get_kind_display()),
    ("Engine", lambda row: row.engine or ""),
    ("Who has it", lambda row: row.holder_in_words),
    ("Since", lambda row: row.since),
    ("Kept", lambda row: row.where),
    ("What went with it", lambda row: row.note),
    ("Handed over by", lambda row: row.handed_by),
))  # fmt: skip
