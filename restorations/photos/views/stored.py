"""The stored files themselves: only after the row was visible, never as anything but what they are."""

from pathlib import Path

from django.http import Http404, HttpRequest, StreamingHttpResponse
from django.views.decorators.http import require_safe

from restorations.photos.access import clip_visit, photo_visit
from restorations.photos.files import chunks_of, path_of
from restorations.photos.models import Photo

# A browser that opens the file by itself runs nothing in it, whatever it takes it for.
_HEADERS = {
    "Content-Security-Policy": "default-src 'none'; sandbox",
    "Cross-Origin-Resource-Policy": "same-origin",
    "Cache-Control": "private, no-store",
}


@require_safe
def large(request: HttpRequest, pk: int) -> StreamingHttpResponse:
    _, photo = photo_visit(request, pk)
    return served_photo(photo)


def served_photo(photo: Photo) -> StreamingHttpResponse:
    """For whoever has found that it may be seen."""
    disposition = f'inline; filename="photo-{photo.pk}.webp"'
    return _served(path_of(photo.large), content_type="image/webp", disposition=disposition)


@require_safe
def thumbnail(request: HttpRequest, pk: int) -> StreamingHttpResponse:
    _, photo = photo_visit(request, pk)
    disposition = f'inline; filename="photo-{pk}-small.webp"'
    return _served(path_of(photo.thumbnail), content_type="image/webp", disposition=disposition)


@require_safe
def download(request: HttpRequest, pk: int) -> StreamingHttpResponse:
    _, clip = clip_visit(request, pk)
    disposition = f'attachment; filename="clip-{pk}.{clip.kind}"'
    return _served(path_of(clip.file), content_type=clip.content_type, disposition=disposition)


def _served(path: Path, *, content_type: str, disposition: str) -> StreamingHttpResponse:
    """In chunks, opened only when the first is asked for."""
    if not path.is_file():
        raise Http404("the file is missing; restore it from the backup")
    headers = {**_HEADERS, "Content-Disposition": disposition, "Content-Length": str(path.stat().st_size)}
    return StreamingHttpResponse(chunks_of(path), content_type=content_type, headers=headers)
