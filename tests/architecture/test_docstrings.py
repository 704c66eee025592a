"""What calc offers says what it takes and gives, and enforces the ranges it states.

A parameter line such as `bore : float - cylinder bore [m], 0.002 to 0.2` is taken at its word: the docstring's own
example, called with that argument just outside, must raise OutOfRange of that name.
"""

import ast
import doctest
import importlib
import inspect
import pkgutil
import re
from collections.abc import Callable, Iterator
from typing import Any

import pytest

import restorations.calc
from restorations.calc.errors import OutOfRange

RANGE = re.compile(
    r"^\s*(?P<name>\w+) : [^\n]*?[,\s](?P<low>-?\d[\d.]*(?:e-?\d+)?) to (?P<high>-?\d[\d.]*(?:e-?\d+)?)", re.M
)
JUST_OUTSIDE = 1e-6


def _modules() -> Iterator[Any]:
    for found in pkgutil.walk_packages(restorations.calc.__path__, "restorations.calc."):
        yield importlib.import_module(found.name)


def _offered() -> dict[str, Callable[..., Any]]:
    """The functions that a package of calc offers by `__all__`."""
    things = [(module, name, getattr(module, name)) for module in _modules() for name in getattr(module, "__all__", ())]
    return {f"{module.__name__}.{name}": thing for module, name, thing in things if inspect.isfunction(thing)}


def _parameters(function: Callable[..., Any]) -> list[str]:
    return [name for name in inspect.signature(function).parameters if name not in {"self", "cls"}]


def _section(text: str, heading: str) -> str:
    found = re.search(rf"^{heading}\n-{{3,}}\n(.*?)(?=^\w[^\n]*\n-{{3,}}\n|\Z)", text, re.DOTALL | re.M)
    return found[1] if found else ""


def unsaid(function: Callable[..., Any]) -> list[str]:
    """What the docstring leaves out: a heading, or a parameter under it."""
    text = inspect.getdoc(function) or ""
    parameters, missing = _parameters(function), []
    if not text:
        return ["a docstring"]
    described = _section(text, "Parameters")
    missing += [
        f"Parameters: {name}" for name in parameters if not re.search(rf"^[\w, ]*\b{name}\b[\w, ]* :", described, re.M)
    ]
    if inspect.signature(function).return_annotation not in {None, "None"} and not _section(text, "(?:Returns|Yields)"):
        missing.append("Returns")
    return missing


def stated_ranges(function: Callable[..., Any]) -> list[tuple[str, float, float]]:
    described = _section(inspect.getdoc(function) or "", "Parameters")
    return [(match["name"], float(match["low"]), float(match["high"])) for match in RANGE.finditer(described)]


def unkept(function: Callable[..., Any]) -> list[str]:
    """The ends of stated ranges beyond which the example is answered with anything but OutOfRange of that name."""
    wrong = []
    for name, low, high in stated_ranges(function):
        step = JUST_OUTSIDE * max(abs(low), abs(high), high - low)
        for value in (low - step, high + step):
            try:
                _call_example(function, name, value)
            except OutOfRange as refusal:
                if refusal.name != name:
                    wrong.append(f"{name}={value}: OutOfRange names {refusal.name}")
            else:
                wrong.append(f"{name}={value}: accepted")
    return wrong


def _call_example(function: Callable[..., Any], name: str, value: float) -> Any:
    """Run the docstring's examples up to the call of the function, and that call with one argument changed."""
    names = dict(vars(inspect.getmodule(function)))
    for example in doctest.DocTestParser().get_examples(inspect.getdoc(function) or ""):
        tree = ast.parse(example.source)
        call = next((node for node in ast.walk(tree) if isinstance(node, ast.Call) and _calls(node, function)), None)
        if call is None:
            exec(compile(tree, "example", "exec"), names)  # noqa: S102 - our own docstring
            continue
        _change(call, function, name, value)
        expression = ast.fix_missing_locations(ast.Expression(call))
        return eval(compile(expression, "example", "eval"), names)  # noqa: S307 - our own docstring
    raise LookupError(f"{function.__qualname__} states a range and has no example that calls it")


def _calls(node: ast.Call, function: Callable[..., Any]) -> bool:
    called = node.func.attr if isinstance(node.func, ast.Attribute) else getattr(node.func, "id", "")
    return called == function.__name__


def _change(call: ast.Call, function: Callable[..., Any], name: str, value: float) -> None:
    parameters = _parameters(function)
    place = parameters.index(name)
    new = ast.Constant(value)
    if place < len(call.args):
        call.args[place] = new
        return
    call.keywords = [keyword for keyword in call.keywords if keyword.arg != name]
    call.keywords.append(ast.keyword(arg=name, value=new))


def test_everything_offered_says_what_it_takes_and_gives() -> None:
    missing = {name: unsaid(function) for name, function in _offered().items()}
    assert {name: left_out for name, left_out in missing.items() if left_out} == {}


def test_every_stated_range_is_enforced_under_its_own_name() -> None:
    broken = {name: unkept(function) for name, function in _offered().items()}
    assert {name: wrong for name, wrong in broken.items() if wrong} == {}


def test_every_public_function_and_class_of_calc_has_a_docstring() -> None:
    silent = [
        f"{module.__name__}.{name}"
        for module in _modules()
        for name, thing in vars(module).items()
        if not name.startswith("_")
        and (inspect.isfunction(thing) or inspect.isclass(thing))
        and (thing.__module__, thing.__name__) == (module.__name__, name)
        and not (thing.__doc__ or "").strip()
    ]
    assert silent == []


def kept(bore: float, *, stroke: float = 0.05) -> float:
    """Give the swept volume.

    Parameters
    ----------
    bore : float - cylinder bore [m], 0.002 to 0.2
    stroke : float - piston stroke [m], 0.002 to 0.3

    Returns
    -------
    float - volume [m³]

    Examples
    --------
    >>> kept(0.03, stroke=0.04) > 0
    True
    """
    for name, value, high in (("bore", bore, 0.2), ("stroke", stroke, 0.3)):
        if not 0.002 <= value <= high:
            raise OutOfRange(name, value, 0.002, high, "m")
    return bore**2 * stroke


def broken(bore: float) -> float:
    """Give the bore back.

    Parameters
    ----------
    bore : float - cylinder bore [m], 0.002 to 0.2

    Examples
    --------
    >>> broken(0.03)
    0.03
    """
    return bore


def test_this_test_tells_a_kept_promise_from_a_broken_one() -> None:
    assert (unsaid(kept), unkept(kept)) == ([], [])
    assert unsaid(broken) == ["Returns"]
    assert len(unkept(broken)) == 2
    assert stated_ranges(kept) == [("bore", 0.002, 0.2), ("stroke", 0.002, 0.3)]


@pytest.mark.parametrize("line", ["n : int - number of axles", "p : float - [Pa], positive", "to : str - 3 to go"])
def test_other_words_are_not_taken_for_a_range(line: str) -> None:
    assert RANGE.search(line) is None or line.startswith("to")
