"""Fault sheets: what was seen, what is suspected and why, what to do next, and who allowed it."""
