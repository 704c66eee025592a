"""Pages that show rows of several apps: the front page, an engine, its sheets and what is off; the demo."""
