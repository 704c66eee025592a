"""Taking a picture in: refused in words, or decoded and drawn afresh, so that nothing of the file that came is kept.

Pure: it knows no rows and no folder. Work is bounded: bytes, pixels and sides are looked at before anything is decoded,
and two pictures at most are decoded at once in one process.
"""

import io
import threading
from dataclasses import dataclass
from datetime import datetime
from typing import Any, BinaryIO

from PIL import Image

from restorations.photos.recognising import HEAD, recognise

MOST_BYTES = 25_000_000
MOST_PIXELS = 60_000_000
LONGEST_SIDE = 12_000
LARGE_SIDE, THUMBNAIL_SIDE = 2048, 480
LIMITS = "JPEG, PNG or WebP, at most 25 MB, 60 megapixels and 12,000 pixels a side"

_QUALITY, _EFFORT = 80, 2  # a higher effort takes twice as long for one byte in a hundred
_AT_ONCE = threading.BoundedSemaphore(2)
_FORMATS = {"jpeg": "JPEG", "png": "PNG", "webp": "WEBP", "heic": "HEIF"}
_AS_JPEG = "Send it as a JPEG: open it, and save or export a copy."
_REFUSED = {
    "empty": "The file is empty. Choose it again; if it stays empty, it was not copied whole.",
    "avif": f"This is an AVIF picture, which is not read here. {_AS_JPEG}",
    "gif": f"This is a GIF, which is not a photograph. {_AS_JPEG}",
    "bmp": f"This is a BMP picture, which is not read here. {_AS_JPEG}",
    "tiff": f"This is a TIFF or a camera's raw file, which is not read here. {_AS_JPEG}",
    "pdf": "This is a PDF, not a picture. Photograph the page, or send a picture of it as JPEG or PNG.",
    "eps": f"This is a PostScript drawing, which is a program and not a picture. {_AS_JPEG}",
    "markup": "This is an SVG drawing or a web page, which can carry programs. Send a picture of it as PNG or JPEG.",
    "zip": "This is an archive. Unpack it and send the pictures in it.",
    **dict.fromkeys(
        ("mp4", "mov", "webm", "mkv", "m4a", "mp3", "ogg", "wav"),
        "This is a video or a sound. Send it under “Sound and video” of the engine.",
    ),
}
_NOT_KNOWN = f"This is not a picture that can be read here. Send a {LIMITS}."
_DAMAGED = "The picture is damaged or was cut off on the way. Send it again; if that fails, save a copy of it first."
_NO_HEIC = (
    "This is a HEIC picture, and this installation has no decoder for it. On an iPhone choose Settings, Camera, "
    "Formats, Most Compatible; or send a copy saved as JPEG. (The administrator can install pillow-heif.)"
)
_TOO_MANY_BYTES = "The file is larger than 25 MB. Send a smaller copy of the picture."
_TOO_MANY_PIXELS = (
    "The picture is larger than 60 megapixels or 12,000 pixels a side. "
    "Send a smaller copy: no more than 2048 pixels a side are kept."
)

_ORIENTATION, _EXIF, _ORIGINAL, _ORIGINAL_OFFSET = 0x0112, 0x8769, 0x9003, 0x9011
_TURNED = {
    2: Image.Transpose.FLIP_LEFT_RIGHT,
    3: Image.Transpose.ROTATE_180,
    4: Image.Transpose.FLIP_TOP_BOTTOM,
    5: Image.Transpose.TRANSPOSE,
    6: Image.Transpose.ROTATE_270,
    7: Image.Transpose.TRANSVERSE,
    8: Image.Transpose.ROTATE_90,
}


class NotAPicture(ValueError):
    """Refused, with the reason and what to do instead in words."""


@dataclass(frozen=True, slots=True)
class Picture:
    """Two WebP files without a byte of the original, and when the camera says it was taken.

    `width` and `height` are those of the large one; `taken` carries a time zone only if the camera wrote one.
    """

    large: bytes
    thumbnail: bytes
    width: int
    height: int
    taken: datetime | None


def read_picture(file: BinaryIO) -> Picture:
    """Check, decode, turn upright, draw afresh and encode; raises NotAPicture and nothing else."""
    kind = _kind_to_decode(file)
    with _AT_ONCE:
        try:
            return _taken_in(file, _FORMATS[kind])
        except NotAPicture:
            raise
        except (Image.DecompressionBombError, Image.DecompressionBombWarning):
            raise NotAPicture(_TOO_MANY_PIXELS) from None
        except Exception as error:  # whatever a decoder makes of bytes that anybody may have put together
            raise NotAPicture(_DAMAGED) from error


def reads_heic() -> bool:
    """Whether the optional decoder is installed."""
    try:
        import pillow_heif
    except ImportError:
        return False
    pillow_heif.register_heif_opener()
    return True


def _kind_to_decode(file: BinaryIO) -> str:
    """The kind, if it is one that is decoded at all: by size and first bytes, before any decoder sees it."""
    if file.seek(0, io.SEEK_END) > MOST_BYTES:
        raise NotAPicture(_TOO_MANY_BYTES)
    file.seek(0)
    kind = recognise(file.read(HEAD))
    file.seek(0)
    if kind not in _FORMATS:
        raise NotAPicture(_REFUSED.get(kind, _NOT_KNOWN))
    if kind == "heic" and not reads_heic():
        raise NotAPicture(_NO_HEIC)
    return kind


def _taken_in(file: BinaryIO, decoder: str) -> Picture:
    with Image.open(file, formats=[decoder]) as image:
        if image.width * image.height > MOST_PIXELS or max(image.size) > LONGEST_SIDE:
            raise NotAPicture(_TOO_MANY_PIXELS)
        exif = _exif_of(image)
        if decoder == "JPEG":
            image.draft("RGB", (LARGE_SIDE, LARGE_SIDE))  # a very large one is decoded at a half or a quarter
        image.load()
        large = _drawn_afresh(_upright(_within(_flat(image), LARGE_SIDE), exif))
    thumbnail = _within(large, THUMBNAIL_SIDE)
    return Picture(_encoded(large), _encoded(thumbnail), large.width, large.height, _taken_at(exif))


def _exif_of(image: Image.Image) -> dict[int, Any]:
    """The few entries that are read; a broken block of them is no reason to refuse the picture."""
    try:
        exif = image.getexif()
        return {**exif, **exif.get_ifd(_EXIF)}
    except Exception:
        return {}


def _flat(image: Image.Image) -> Image.Image:
    """In three colours of eight bits, on white where it was transparent."""
    if image.mode.startswith(("I", "F")):  # 16 bits of grey, which a plain conversion would clip to white
        image = image.point(lambda value: value * (1 / 256)).convert("L")
    if "A" not in image.mode and "transparency" not in image.info:
        return image.convert("RGB")
    see_through = image.convert("RGBA")
    paper = Image.new("RGB", image.size, "white")
    paper.paste(see_through, mask=see_through)
    return paper


def _within(image: Image.Image, side: int) -> Image.Image:
    scale = side / max(image.size)
    if scale >= 1:
        return image
    size = (max(1, round(image.width * scale)), max(1, round(image.height * scale)))
    return image.resize(size, Image.Resampling.LANCZOS, reducing_gap=2.0)


def _upright(image: Image.Image, exif: dict[int, Any]) -> Image.Image:
    turn = _TURNED.get(exif.get(_ORIENTATION, 1))
    return image if turn is None else image.transpose(turn)


def _drawn_afresh(image: Image.Image) -> Image.Image:
    """A new picture with the same dots: comments, profiles and tags stay behind with the old one."""
    fresh = Image.new("RGB", image.size)
    fresh.paste(image)
    return fresh


def _encoded(image: Image.Image) -> bytes:
    file = io.BytesIO()
    image.save(file, "WEBP", quality=_QUALITY, method=_EFFORT)
    return file.getvalue()


def _taken_at(exif: dict[int, Any]) -> datetime | None:
    """What the camera's clock said; nothing where it said nothing that is a date."""
    text = _plain(exif.get(_ORIGINAL))
    offset = _plain(exif.get(_ORIGINAL_OFFSET))
    for said, pattern in ((f"{text} {offset}", "%Y:%m:%d %H:%M:%S %z"), (text, "%Y:%m:%d %H:%M:%S")):
        try:
            return datetime.strptime(said, pattern)
        except ValueError:
            continue
    return None


def _plain(value: object) -> str:
    return value.strip("\x00 ") if isinstance(value, str) else ""
