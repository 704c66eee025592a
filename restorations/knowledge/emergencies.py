"""The emergencies a club keeps a card for: what a dangerous finding leads to."""

CARDS = {
    "low_water": "Low water, or the level is not to be believed",
    "past_red_line": "Gauge past the red line",
    "gas": "Gas escaping",
    "fire": "Fire",
    "scald": "Scald or burn",
}
