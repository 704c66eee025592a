"""Charts drawn on the server: a plain SVG of our own look, without style attributes, read out as one picture.

Figures are made as objects; nothing is kept between two charts, so that threads can draw side by side.
"""

import io
import re
from functools import cache
from pathlib import Path
from typing import TYPE_CHECKING, Any
from xml.etree import ElementTree as ET

from django.utils.safestring import SafeString, mark_safe

if TYPE_CHECKING:
    from matplotlib.figure import Figure

INK, ACCENT, HAIR = "#111111", "#222222", "#333333"
STYLE = Path(__file__).parent / "charts.mplstyle"
_SVG, _XLINK = "http://www.w3.org/2000/svg", "{http://www.w3.org/1999/xlink}"
# The stand-in colours of the style file, and the class by which the style sheet colours them in every look.
_CLASSES = {INK: "chart-ink", ACCENT: "chart-accent", HAIR: "chart-hair"}
_REFERENCE = re.compile(r"#([\w.-]+)")


def new_figure(*, width_inches: float = 5.2, height_inches: float = 2.9) -> "Figure":
    """An empty figure in our style; draw on `figure.add_subplot()`."""
    _use_style()
    from matplotlib.figure import Figure

    return Figure(figsize=(width_inches, height_inches), layout="constrained")


@cache
def _use_style() -> None:
    """Read our style file, once in the life of the process and never changed after."""
    import matplotlib as mpl

    mpl.rcParams.update(mpl.rc_params_from_file(str(STYLE), use_default_template=False))


def as_svg(figure: "Figure", *, title: str, words: str) -> SafeString:
    """The figure as markup to put into a page; `words` say to a screen reader what it shows."""
    from matplotlib.backends.backend_svg import FigureCanvasSVG

    drawn = io.StringIO()
    canvas: Any = FigureCanvasSVG(figure)
    canvas.print_svg(drawn, metadata={"Date": None})
    root = ET.fromstring(drawn.getvalue())  # noqa: S314 - our own drawing, made a line above
    _drop_what_the_page_has(root)
    for element in root.iter():
        style_to_attributes(element)
    _drop_unused_ids(root)
    _name(root, title, words)
    ET.register_namespace("", _SVG)
    # ElementTree escapes every word and attribute.
    return mark_safe(ET.tostring(root, encoding="unicode"))  # noqa: S308


def style_to_attributes(element: ET.Element) -> None:
    """Turn a style attribute, which the content policy forbids, into presentation attributes and our classes."""
    style = element.attrib.pop("style", "")
    classes = []
    for declaration in filter(None, (part.strip() for part in style.split(";"))):
        name, _, value = (part.strip() for part in declaration.partition(":"))
        if name in {"font", "font-family"}:
            continue  # the page's own letters
        if name in {"fill", "stroke"} and value in _CLASSES:
            classes.append(f"{_CLASSES[value]}-{name}")
            value = "currentColor"
        element.set(name, value.removesuffix("px") if name == "font-size" else value)
    if classes:
        element.set("class", " ".join(classes))
    if f"{_XLINK}href" in element.attrib:
        element.set("href", element.attrib.pop(f"{_XLINK}href"))


def _drop_what_the_page_has(root: ET.Element) -> None:
    """Metadata and the inline style sheet; its one rule goes to the root as attributes."""
    for parent in list(root.iter()):
        for child in list(parent):
            if child.tag in {f"{{{_SVG}}}metadata", f"{{{_SVG}}}style"}:
                parent.remove(child)
    root.set("stroke-linejoin", "round")


def _drop_unused_ids(root: ET.Element) -> None:
    """Several charts stand on one page: only what is referred to keeps its name."""
    used = {
        name
        for element in root.iter()
        for key, value in element.attrib.items()
        if key == "href" or "url(" in value
        for name in _REFERENCE.findall(value)
    }
    for element in root.iter():
        if element.get("id") not in used:
            element.attrib.pop("id", None)


def _name(root: ET.Element, title: str, words: str) -> None:
    """The picture scales with the page, and is one image with a name for whoever cannot see it."""
    for size in ("width", "height"):
        root.attrib.pop(size, None)
    root.attrib.update({"class": "chart", "role": "img", "aria-label": f"{title}. {words}"})
    heading: Any = ET.Element(f"{{{_SVG}}}title")
    heading.text = title
    root.insert(0, heading)
