"""The folder of stored files: each named by the hash of its bytes, written whole or not at all, never changed.

A file is there before the row that names it; one that never got a row is swept away after a day.
"""

import hashlib
import os
import tempfile
from collections.abc import Iterable, Iterator
from datetime import datetime, timedelta
from math import inf
from pathlib import Path
from typing import BinaryIO

from django.conf import settings

KEPT_WITHOUT_A_ROW = timedelta(days=1)
_CHUNK = 1 << 20


def folder() -> Path:
    return Path(settings.DATA_DIR) / "photos"


def keep(chunks: Iterable[bytes], suffix: str) -> str:
    """Write, sync, rename; gives the file's name. The same bytes again are kept once."""
    folder().mkdir(mode=0o700, parents=True, exist_ok=True)
    digest = hashlib.sha256()
    descriptor, unfinished = tempfile.mkstemp(prefix=".part-", dir=folder())
    try:
        with os.fdopen(descriptor, "wb") as file:
            for chunk in chunks:
                digest.update(chunk)
                file.write(chunk)
            file.flush()
            os.fsync(file.fileno())
        name = f"{digest.hexdigest()}{suffix}"
        os.replace(unfinished, folder() / name)  # over the same bytes it makes it young again, so no sweep takes it
    except BaseException:
        Path(unfinished).unlink(missing_ok=True)
        raise
    _sync_folder()
    return name


def keep_file(file: BinaryIO, suffix: str) -> str:
    file.seek(0)
    return keep(_chunks(file), suffix)


def chunks_of(path: Path) -> Iterator[bytes]:
    with path.open("rb") as file:
        yield from _chunks(file)


def _chunks(file: BinaryIO) -> Iterator[bytes]:
    return iter(lambda: file.read(_CHUNK), b"")


def path_of(name: str) -> Path:
    return folder() / name


def older_than_a_day(at: datetime) -> list[Path]:
    """Files that could have had a row by now."""
    if not folder().is_dir():
        return []
    youngest = (at - KEPT_WITHOUT_A_ROW).timestamp()
    return [path for path in sorted(folder().iterdir()) if _changed_at(path) < youngest]


def _changed_at(path: Path) -> float:
    try:
        return path.stat().st_mtime
    except FileNotFoundError:  # an unfinished one that got its name meanwhile
        return inf


def _sync_folder() -> None:
    """So that the name outlives a power cut as the bytes do."""
    descriptor = os.open(folder(), os.O_RDONLY)
    try:
        os.fsync(descriptor)
    finally:
        os.close(descriptor)
