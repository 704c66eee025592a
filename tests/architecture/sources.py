"""Reading our own source for the tests beside this file."""

import ast
from collections.abc import Iterator
from pathlib import Path

ROOT = Path(__file__).resolve().parents[2]
RESTORATIONS = ROOT / "restorations"


def python_files(folder: Path) -> list[Path]:
    return sorted(path for path in folder.rglob("*.py") if "migrations" not in path.parts)


def templates() -> list[Path]:
    return sorted(RESTORATIONS.rglob("templates/**/*.html"))


def shown(path: Path) -> str:
    return str(path.relative_to(ROOT))


def imported(tree: ast.AST) -> Iterator[tuple[int, str]]:
    """Line and full dotted name of everything imported, wherever it stands in the file."""
    for node in ast.walk(tree):
        if isinstance(node, ast.Import):
            yield from ((node.lineno, alias.name) for alias in node.names)
        elif isinstance(node, ast.ImportFrom):
            module = "." * node.level + (node.module or "")
            yield from ((node.lineno, f"{module}.{alias.name}") for alias in node.names)


def called(tree: ast.AST) -> Iterator[tuple[int, str, ast.Call]]:
    """Line, dotted name and node of every call of something with a name."""
    for node in ast.walk(tree):
        if isinstance(node, ast.Call):
            yield node.lineno, _dotted(node.func), node


def _dotted(node: ast.AST) -> str:
    if isinstance(node, ast.Attribute):
        return f"{_dotted(node.value)}.{node.attr}"
    return node.id if isinstance(node, ast.Name) else ""
