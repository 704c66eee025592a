from restorations.members.models.club import Club
from restorations.members.models.entries import AcceptedEntry, Happened, Struck, Versioned
from restorations.members.models.invitations import Invitation, OneTimeSlip, SignInAttempt
from restorations.members.models.member import Member
from restorations.members.models.records import Act, Message, Submission

__all__ = [
    "AcceptedEntry",
    "Act",
    "Club",
    "Happened",
    "Invitation",
    "Member",
    "Message",
    "OneTimeSlip",
    "SignInAttempt",
    "Struck",
    "Submission",
    "Versioned",
]
