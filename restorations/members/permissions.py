"""Who may do what: one table of acts by place.

A place is where somebody stands towards the row in question. "member" is every signed-in member who has not left; the
offices come from the member's row; "hands", "owner" and "guest" are added by whoever knows the engine, and so is
"competent": whoever stands in for a second mentor in a club with one, for engine work. An office only adds. That an
engine, or its contents, can be seen at all is decided before this, by its query sets.
"""

from django.core.exceptions import PermissionDenied

from restorations.members.models import Member

MEMBER_PLACES = ("member", "mentor", "secretary", "inspector", "administrator")
ENGINE_PLACES = ("hands", "owner", "guest", "competent")
PLACES = frozenset(MEMBER_PLACES + ENGINE_PLACES)

ALLOWED: dict[str, frozenset[str]] = {
    # looking
    "see an engine": frozenset({"member"}),
    "see a private engine": frozenset({"hands", "owner", "guest"}),
    "see the state and papers of a private engine": frozenset({"hands", "owner", "guest", "secretary"}),
    # at the bench
    "log work": frozenset({"hands", "owner", "mentor"}),
    "log work as a helper": frozenset({"member"}),
    "accept a helper's entry": frozenset({"hands", "owner"}),
    "strike out another's entry": frozenset({"mentor"}),
    "plan work": frozenset({"hands", "owner", "mentor"}),
    "see what was spent": frozenset({"owner", "secretary", "administrator"}),
    "record a repayment": frozenset({"owner", "secretary", "administrator"}),  # never to oneself
    "do a risky step": frozenset({"hands", "owner", "mentor"}),  # each after a go-ahead; a mentor after another's
    # judgements; never on one's own step or work
    "give a go-ahead": frozenset({"mentor", "competent"}),
    "give a go-ahead for boiler work": frozenset({"mentor", "inspector"}),
    "give a go-ahead of the inspector's": frozenset({"inspector"}),  # where the knowledge says so
    "give a standing go-ahead": frozenset({"mentor"}),
    "look at what was done without a go-ahead": frozenset({"mentor", "competent"}),
    "look at boiler work done without a go-ahead": frozenset({"mentor", "inspector"}),
    "answer a mentor's question": frozenset({"hands", "owner"}),  # and whoever asked for the go-ahead
    "ask a mentor": frozenset({"member"}),
    "answer a helper's question": frozenset({"mentor", "competent"}),
    "give a sign-off": frozenset({"mentor", "competent"}),
    "give a sign-off for boiler work": frozenset({"mentor", "inspector"}),
    "propose a confirmed cause": frozenset({"hands", "owner", "mentor"}),
    "close a fault sheet": frozenset({"mentor"}),
    "open a fault sheet again": frozenset({"mentor"}),  # and whoever may sign it off
    "propose a change of knowledge": frozenset({"mentor"}),
    "accept a change of knowledge": frozenset({"mentor"}),  # never one's own; nobody stands in for a mentor here
    # the engine and its papers
    "take in an engine": frozenset({"member"}),
    "change an engine": frozenset({"hands", "owner", "mentor"}),
    "change who works on an engine": frozenset({"owner", "mentor", "secretary"}),
    "invite a guest to an engine": frozenset({"hands", "owner"}),
    "move an engine": frozenset({"hands", "owner", "mentor", "secretary"}),
    "record a hand-over": frozenset({"hands", "owner", "mentor", "secretary", "administrator"}),
    "stop an engine": frozenset({"member", "hands", "owner", "mentor", "secretary", "inspector"}),
    "keep the state of an engine": frozenset({"hands", "owner", "mentor", "secretary"}),
    "strike out a stop": frozenset({"mentor", "competent"}),  # never on one's own engine; a boiler's: inspector
    "sign fit for traffic": frozenset({"mentor", "competent"}),
    "record the return to traffic": frozenset({"secretary"}),
    "lift a boiler stop": frozenset({"inspector"}),
    "work out a forecast": frozenset({"hands", "owner", "mentor", "secretary"}),
    "record that an engine left": frozenset({"owner", "secretary"}),
    "word an emergency card": frozenset({"inspector"}),
    "set the emergency number": frozenset({"inspector", "secretary", "administrator"}),
    "record a certificate": frozenset({"inspector"}),  # of a boiler: not as its owner, hands, or who worked on it
    "record another paper": frozenset({"owner", "secretary", "inspector"}),
    "verify a rule set": frozenset({"inspector"}),
    "record an owner's consent": frozenset({"owner", "mentor", "secretary"}),  # whose: the next three
    "consent as the owner": frozenset({"owner"}),
    "consent for the club": frozenset({"secretary"}),
    "record an outsider's consent": frozenset({"mentor"}),
    # the club
    "lay out the yard": frozenset({"secretary", "administrator"}),
    "see the office": frozenset({"secretary", "administrator"}),
    "see e-mail addresses": frozenset({"secretary", "administrator"}),
    "invite": frozenset({"secretary", "administrator"}),
    "set roles": frozenset({"administrator"}),
    "name a competent person": frozenset({"administrator"}),
    "record that a member left": frozenset({"administrator"}),
    "print a slip": frozenset({"administrator"}),
    "club settings": frozenset({"administrator"}),
    "set the working sessions": frozenset({"secretary", "administrator"}),
    # running days and test sessions
    "plan running days": frozenset({"secretary"}),
    "ask for an engine on a running day": frozenset({"member"}),
    "allocate an engine to a running day": frozenset({"secretary"}),
    "record what an engine did on a running day": frozenset({"hands", "owner", "mentor", "secretary"}),
    "record who came to a running day": frozenset({"secretary"}),
    "report an incident": frozenset({"member"}),
    "see every incident": frozenset({"mentor", "secretary", "inspector"}),  # others: some, see Incident
    "ask for a test session": frozenset({"hands", "owner", "mentor", "secretary"}),
    "book a test session": frozenset({"secretary", "inspector"}),
}


def allowed(act: str, places: frozenset[str], *, own: bool = False) -> bool:
    """Whether anybody standing in these places may do the act; "never one's own" beats every place."""
    unknown = places - PLACES
    if unknown:
        raise ValueError(f"no such place: {', '.join(sorted(unknown))}")
    return not own and not ALLOWED[act].isdisjoint(places)


def office_places(member: Member) -> frozenset[str]:
    """The places that come with the member, whatever the engine: none for whoever has left."""
    if member.left_on is not None:
        return frozenset()
    return frozenset({"member", *member.offices})


def may(member: Member, act: str, *, own: bool = False) -> bool:
    """`allowed` for acts of the club, where no engine is in question."""
    return allowed(act, office_places(member), own=own)


def require(member: Member, act: str, *, own: bool = False) -> None:
    """Refuse, naming who could do it."""
    if not may(member, act, own=own):
        who = " or ".join(place for place in MEMBER_PLACES if place in ALLOWED[act])
        raise PermissionDenied(f"“{act.capitalize()}” is for the {who}.")
