"""What an engine is wanted for: running days, test sessions, forecast, return to traffic, reports, feeds."""
