"""A folder of stored files of the test's own."""

from pathlib import Path
from typing import Any

import pytest


@pytest.fixture
def stored(settings: Any, tmp_path: Path) -> Path:
    settings.DATA_DIR = tmp_path
    return tmp_path / "photos"
