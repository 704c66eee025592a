from restorations.members.models.club import Club
from restorations.members.models.entries import AcceptedEntry, Changed, Happened, Struck, Versioned
from restorations.members.models.invitations import Invitation, OneTimeSlip, SignInAttempt
from restorations.members.models.member import OFFICES, Member, plain_name
from restorations.members.models.records import Act, Message, Submission, record, submit_once

__all__ = [
    "OFFICES",
    "AcceptedEntry",
    "Act",
    "Changed",
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
    "plain_name",
    "record",
    "submit_once",
]
