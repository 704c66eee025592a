"""What changes people, the club and the ways in; each service is one transaction and leaves an act."""
