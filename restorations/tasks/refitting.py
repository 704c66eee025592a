"""What is missing before a part can go back as it came off. Plain questions of one row."""

from restorations.tasks.models import StrippedPart


def missing_from(part: StrippedPart) -> list[str]:
    """In words, shortest first; photos and fixings are read from what was fetched with the part."""
    fixings = [row for row in part.fixings.all() if row.struck_at is None]
    asked = {
        "a photo": any(photo.struck_at is None for photo in part.photos.all()),
        "a name": bool(part.component or part.name),
        "where it lies": bool(part.box),
        "which way it sat": bool(part.orientation),
        "its fixings": bool(fixings),
    }
    return [words for words, known in asked.items() if not known]
