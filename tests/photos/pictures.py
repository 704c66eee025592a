"""Pictures and clips made in the test, with the data of a camera where it is asked for."""

import io
import struct
from typing import Any
from zlib import crc32

from PIL import Image, PngImagePlugin

# What must never come through; the last two are 51 degrees, as a camera writes them in either order of bytes.
SECRETS = (b"Quillbeck Shed", b"Canonet", b"51.4778", b"<script>", b"rdf:Description", b"ICC_PROFILE", b"alert(1)")
SECRETS += (struct.pack("<II", 51, 1), struct.pack(">II", 51, 1))
XMP = (
    b"<x:xmpmeta xmlns:x='adobe:ns:meta/'><rdf:Description exif:GPSLatitude='51.4778N'>Quillbeck Shed"
    b"</rdf:Description></x:xmpmeta>"
)
COMMENT = b"Quillbeck Shed <script>alert(1)</script>"
ICC = b"\x00\x00\x02\x0cICC_PROFILE of Quillbeck Shed" + bytes(480)


def drawn(width: int = 640, height: int = 480) -> Image.Image:
    """Red above left, green above right, blue below left, white below right."""
    image = Image.new("RGB", (width, height), "white")
    half = (width // 2, height // 2)
    image.paste("red", (0, 0, *half))
    image.paste("green", (half[0], 0, width, half[1]))
    image.paste("blue", (0, half[1], half[0], height))
    return image


def camera_exif(*, orientation: int = 1, taken: str = "2026:11:14 10:30:00", offset: str = "") -> Image.Exif:
    """Make, place and moment, as a phone writes them."""
    exif = Image.Exif()
    exif[0x010F], exif[0x0112] = "Canonet of Quillbeck Shed", orientation
    inner = exif.get_ifd(0x8769)
    inner[0x9003] = taken
    if offset:
        inner[0x9011] = offset
    place = exif.get_ifd(0x8825)
    place[1], place[2], place[3], place[4] = "N", (51.0, 28.0, 40.0), "W", (0.0, 0.0, 5.0)
    return exif


def encoded(image: Image.Image, kind: str = "JPEG", **options: Any) -> bytes:
    file = io.BytesIO()
    image.save(file, kind, **options)
    return file.getvalue()


def jpeg(width: int = 640, height: int = 480, *, tell_all: bool = False, **exif: Any) -> bytes:
    """A photo as a camera makes it; with `tell_all` also comment, XMP, profile and an archive behind its end."""
    if not tell_all:
        return encoded(drawn(width, height), exif=camera_exif(**exif))
    options = {"comment": COMMENT, "xmp": XMP, "icc_profile": ICC}
    return encoded(drawn(width, height), exif=camera_exif(**exif), **options) + b"PK\x03\x04 Quillbeck Shed <script>"


def png(width: int = 640, height: int = 480) -> bytes:
    """With text, XMP, profile and the data of a camera."""
    words = PngImagePlugin.PngInfo()
    words.add_text("Comment", "Quillbeck Shed <script>")
    words.add_itxt("XML:com.adobe.xmp", XMP.decode())
    return encoded(drawn(width, height), "PNG", pnginfo=words, exif=camera_exif(), icc_profile=ICC)


def webp(width: int = 640, height: int = 480) -> bytes:
    return encoded(drawn(width, height), "WEBP", exif=camera_exif().tobytes(), xmp=XMP, icc_profile=ICC)


def png_that_claims(width: int, height: int) -> bytes:
    """A few bytes that promise a picture of any size: what a bomb begins with."""
    header = struct.pack(">IIBBBBB", width, height, 8, 2, 0, 0, 0)
    return b"\x89PNG\r\n\x1a\n" + _chunk(b"IHDR", header) + _chunk(b"IDAT", b"x\x9c\x03\x00") + _chunk(b"IEND", b"")


def _chunk(kind: bytes, data: bytes) -> bytes:
    return struct.pack(">I", len(data)) + kind + data + struct.pack(">I", crc32(kind + data))


def box(kind: bytes, payload: bytes = b"") -> bytes:
    """One box of an MP4 or MOV file."""
    return struct.pack(">I", 8 + len(payload)) + kind + payload


def handler(kind: bytes) -> bytes:
    return box(b"hdlr", bytes(8) + kind + bytes(12) + b"\x00")


def mp4(
    *, brand: bytes = b"isom", inside: bytes = b"", track: bytes = b"vide", media: bytes = b"\xa9xyz sound"
) -> bytes:
    """The boxes of a clip, with no film in it."""
    moov = box(b"moov", box(b"mvhd", bytes(100)) + box(b"trak", box(b"mdia", handler(track))) + inside)
    return box(b"ftyp", brand + bytes(4) + brand) + box(b"mdat", media) + moov
