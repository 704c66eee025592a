"""Running days, sessions, forecasts, reports: rows of their own."""
