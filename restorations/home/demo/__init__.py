"""The demo: an invented club, its people, four engines and one long story. Nothing here is a fact of the trade."""
