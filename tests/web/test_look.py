"""The look keeps its promises: contrast in every variant, fonts of our own, nothing from another host."""

import re
from pathlib import Path

import pytest

STATIC = Path(__file__).parents[2] / "static"
TOKENS = (STATIC / "css" / "tokens.css").read_text()


def variants() -> dict[str, dict[str, str]]:
    """Colours by variant; what a variant does not name comes from daylight's plain sheet."""
    blocks = {
        selector.strip(): dict(re.findall(r"--([\w-]+): (#[0-9a-f]+)", body))
        for selector, body in re.findall(r"(:root[^{]*)\{([^}]*)\}", TOKENS)
    }
    plain = blocks[":root"]
    return {selector: {**plain, **colours} for selector, colours in blocks.items()}


def luminance(colour: str) -> float:
    """Relative luminance, WCAG 2.2."""
    digits = colour[1:] if len(colour) == 7 else "".join(2 * digit for digit in colour[1:])
    parts = [int(digits[place : place + 2], 16) / 255 for place in (0, 2, 4)]
    red, green, blue = (part / 12.92 if part <= 0.04045 else ((part + 0.055) / 1.055) ** 2.4 for part in parts)
    return 0.2126 * red + 0.7152 * green + 0.0722 * blue


def contrast(one: str, other: str) -> float:
    dark, light = sorted((luminance(one), luminance(other)))
    return (light + 0.05) / (dark + 0.05)


@pytest.mark.parametrize("variant", sorted(variants()))
def test_text_stands_out_seven_to_one_and_edges_three_to_one(variant: str) -> None:
    colours = variants()[variant]
    for text in ("ink", "ink-back", "accent", "stop"):
        assert contrast(colours[text], colours["paper"]) >= 7, text
    assert contrast(colours["edge"], colours["paper"]) >= 3


def test_the_dark_look_is_the_same_whether_chosen_or_taken_from_the_phone() -> None:
    by_selector = variants()
    assert by_selector[':root:not([data-look="daylight"])'] == by_selector[':root[data-look="workshop"]']


def test_nothing_is_fetched_from_another_host_and_every_file_named_is_there() -> None:
    sheets = list((STATIC / "css").glob("*.css"))
    assert len(sheets) >= 6
    for sheet in sheets:
        assert "//" not in sheet.read_text(), sheet.name
        for address in re.findall(r'url\("([^"]+)"\)', sheet.read_text()):
            assert (sheet.parent / address).is_file(), (sheet.name, address)


def test_the_fonts_come_with_their_licence() -> None:
    assert list((STATIC / "fonts").glob("*.woff2"))
    assert "SIL OPEN FONT LICENSE" in (STATIC / "fonts" / "barlow-OFL.txt").read_text()
