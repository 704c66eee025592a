"""Documents as PDF: typeset by typst from plain data, so that nothing a member typed is ever read as markup."""

import json
from collections.abc import Mapping
from functools import cache
from pathlib import Path
from typing import Any

import typst


@cache
def _fonts() -> typst.Fonts:
    """Only those that come with typst: the same sheet on every computer."""
    return typst.Fonts(include_system_fonts=False, include_embedded_fonts=True)


def typeset(template: Path, data: Mapping[str, Any]) -> bytes:
    """The document of a template; it reads the data as JSON from `sys.inputs.data`."""
    # A compiler of its own for each document: threads of the server share none.
    compiler = typst.Compiler(str(template), root=str(template.parent), font_paths=_fonts())
    document = compiler.compile(format="pdf", sys_inputs={"data": json.dumps(data)})
    if not isinstance(document, bytes):
        raise TypeError("typst gave no single document")
    return document
