"""People: members and their offices, the club, invitations, sign-in, who did what, each form once, waiting mail."""
