from restorations.members.models.club import Club
from restorations.members.models.competent import CompetentPerson, answers_for_others, is_competent
from restorations.members.models.entries import AcceptedEntry, Changed, Happened, Struck, Versioned
from restorations.members.models.invitations import Invitation, OneTimeSlip, SignInAttempt
from restorations.members.models.member import OFFICES, Member, plain_name
from restorations.members.models.records import Act, Message, Submission, record, submit_once
from restorations.members.models.short_codes import ShortCode, ShortCodeAttempt

__all__ = [
    "OFFICES",
    "AcceptedEntry",
    "Act",
    "Changed",
    "Club",
    "CompetentPerson",
    "Happened",
    "Invitation",
    "Member",
    "Message",
    "OneTimeSlip",
    "ShortCode",
    "ShortCodeAttempt",
    "SignInAttempt",
    "Struck",
    "Submission",
    "Versioned",
    "answers_for_others",
    "is_competent",
    "plain_name",
    "record",
    "submit_once",
]
