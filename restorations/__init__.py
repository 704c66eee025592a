"""Clubshop's own packages; DEVELOPERS.md says which may import which."""
