"""The committee's report of a period: counted once, shown as a page, a PDF and a table."""
