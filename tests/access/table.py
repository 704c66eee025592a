"""The access table: what each role gets at each route by each method, in words.

To add a route, add a Row to the file of its app beside this one (members.py, engines.py, tasks.py, faults.py,
home.py); tests/test_access.py fails for a route without one. For example

    Row("engines:engine", args=lambda world: [world.engine.pk], get={"*": "ok"})
    Row("engines:engine", why="private", args=lambda world: [world.private_engine.pk],
        get={"owner": "ok", "member": "ok", "secretary": "ok", "*": "hidden"})
    Row("faults:note", args=lambda world: [make_sheet(world.engine).pk], data=lambda world: {"text": "tight"},
        post={"member": "redirect", "stranger": "redirect", "secretary": "refused", "*": "redirect"})

`get` and `post` name the answer by role: each of tests/cast.py, "anonymous", or "*" for the others. A method that no
row of a route has is "wrong_method" for everybody signed in. Anonymous gets "sign_in" unless the row says otherwise.
`data` is what is posted (default: nothing, so whoever may is answered "invalid"); every role starts from a fresh world.
"""

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from typing import Any

from tests.cast import ANONYMOUS, Cast
from tests.factories import make_engine

ANSWERS = {
    "ok": {200},
    "redirect": {302},
    "hidden": {404},
    "refused": {403},
    "wrong_method": {405},
    "conflict": {409},
    "invalid": {422},
    "throttled": {429},
}
Answers = Mapping[str, str]


@dataclass
class World:
    """The cast, `owner`'s engine that `member` and `mate` work on, and a private one of `owner` and `member`."""

    cast: Cast
    _made: dict[str, Any] = field(default_factory=dict)

    @property
    def engine(self) -> Any:
        return self._once("engine", name="Wren", hands=(self.cast.member, self.cast.mate))

    @property
    def private_engine(self) -> Any:
        return self._once("private", name="Dot", is_private=True, hands=(self.cast.member,))

    def _once(self, key: str, **changes: Any) -> Any:
        if key not in self._made:
            self._made[key] = make_engine(made_by=self.cast.owner, owner_member=self.cast.owner, **changes)
        return self._made[key]


@dataclass(frozen=True)
class Row:
    route: str
    args: Callable[[World], list[Any]] = lambda world: []
    get: Answers = field(default_factory=dict)
    post: Answers = field(default_factory=dict)
    data: Callable[[World], dict[str, Any]] = lambda world: {}
    why: str = ""

    def answers(self, method: str) -> Answers:
        return self.get if method == "get" else self.post

    def expected(self, method: str, role: str) -> str:
        """The word for this role: its own, else the others', else what follows from being signed in or not."""
        answers = self.answers(method)
        if role == ANONYMOUS:
            is_public = ANONYMOUS in {*self.get, *self.post}
            return answers.get(ANONYMOUS, "wrong_method" if is_public and not answers else "sign_in")
        return answers.get(role) or answers.get("*", "wrong_method")
