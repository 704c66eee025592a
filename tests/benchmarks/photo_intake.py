"""How long one photo takes from the file to both kept sizes, by pixels and kind.

The aim is about a second for 12 megapixels; the ratio to decoding alone says more than the seconds of one machine.
"""

import io
import time
from collections.abc import Callable
from statistics import median

from PIL import Image

from restorations.photos.intake import read_picture, reads_heic

RUNS = 5
SIZES = {"12 megapixels": (4000, 3000), "24 megapixels": (6000, 4000), "50 megapixels": (8160, 6120)}


def bench_scene(width: int, height: int) -> Image.Image:
    """Grain over soft shapes: neither as easy as a drawing nor as hard as plain noise."""
    grain = Image.effect_noise((width, height), 24)
    shapes = Image.radial_gradient("L").resize((width, height))
    return Image.merge("RGB", (shapes, grain, Image.blend(shapes, grain, 0.3)))


def encoded(image: Image.Image, kind: str) -> bytes:
    file = io.BytesIO()
    if kind == "HEIC":
        import pillow_heif

        pillow_heif.from_pillow(image).save(file, quality=80)
    else:
        image.save(file, kind, **({"quality": 90} if kind != "PNG" else {"compress_level": 1}))
    return file.getvalue()


def seconds(work: Callable[[], object]) -> float:
    times = []
    for _ in range(RUNS):
        begun = time.perf_counter()
        work()
        times.append(time.perf_counter() - begun)
    return median(times)


def decode(data: bytes) -> None:
    with Image.open(io.BytesIO(data)) as image:
        image.load()


def main() -> None:
    heic = ["HEIC"] if reads_heic() else []
    print(f"{'picture':28}{'MB':>7}{'decoding, s':>14}{'intake, s':>12}{'ratio':>8}{'kept, kB':>11}")
    for name, size in SIZES.items():
        for kind in ["JPEG", *(["PNG", "WEBP", *heic] if name == "12 megapixels" else [])]:
            data = encoded(bench_scene(*size), kind)
            alone, whole = (
                seconds(lambda data=data: decode(data)),
                seconds(lambda data=data: read_picture(io.BytesIO(data))),
            )
            picture = read_picture(io.BytesIO(data))
            kept = (len(picture.large) + len(picture.thumbnail)) / 1e3
            measured = f"{len(data) / 1e6:7.1f}{alone:14.2f}{whole:12.2f}{whole / alone:8.1f}{kept:11.0f}"
            print(f"{name + ', ' + kind:28}{measured}")


if __name__ == "__main__":
    main()
