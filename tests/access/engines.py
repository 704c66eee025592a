from tests.access.table import Row

ROWS: list[Row] = []
