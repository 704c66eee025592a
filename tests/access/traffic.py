"""Routes of traffic: who gets what."""

from tests.access.table import Row

ROWS: list[Row] = []
