"""Forms of the app; each file one subject."""
