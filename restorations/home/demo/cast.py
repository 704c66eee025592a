"""The people of the demo; all invented. They share one password, which the demo prints."""

from dataclasses import dataclass, field

PASSWORD = "demo"  # noqa: S105 - an invented club on this machine only
CLUB = "Quillbeck and Dunmoor Model Engineers"


@dataclass(frozen=True, slots=True)
class Person:
    sign_in_name: str
    full_name: str
    offices: frozenset[str] = field(default_factory=frozenset)
    about: str = ""


CAST = (
    Person("member", "Anneli Thwaite", about="works on Pipit, Dabchick and Turnstone"),
    Person("mate", "Jory Penhallick", about="works on Pipit, Whinchat and Corncrake"),
    Person("mentor", "Mungo Askerrigg", frozenset({"mentor"}), "answers for what could hurt; short code 402917"),
    Person("mentor2", "Philippa Oxenhope", frozenset({"mentor"}), "the other mentor"),
    Person("secretary", "Desmond Yarlsby", frozenset({"secretary"}), "papers, people, what is out of service"),
    Person("inspector", "Ottoline Braithe", frozenset({"inspector"}), "boilers; records certificates"),
    Person("owner", "Kester Willowdene", about="owns Dunlin, which is private"),
    Person(
        "administrator", "Rhoswen Tallack", frozenset({"administrator"}), "invitations, offices, the club's settings"
    ),
    Person("stranger", "Barnaby Crosthwick", about="has just joined; on no engine yet"),
)
