"""What a value may look like: read it from a node, or say what is wrong with it; and describe it as JSON Schema.

Each shape does both, so that the reader and the schema that editors use can't drift apart.
"""

import re
from collections.abc import Callable, Iterable
from collections.abc import Mapping as AnyMapping
from dataclasses import dataclass, field
from functools import lru_cache
from typing import Any, Generic, Protocol, TypeVar

from diagtree.model.problem import Place, Problem, problem
from diagtree.source.composer import shorten
from diagtree.source.nodes import MOST_PROBLEMS, Findings, Mapping, Node, Scalar, Sequence, Text, key_place, value_place

T = TypeVar("T")
T_co = TypeVar("T_co", covariant=True)

ID = re.compile(r"[a-z0-9]+(?:-[a-z0-9]+)*")
_NUMBER = re.compile(r"[-+]?(?:\d+(?:\.\d*)?|\.\d+)(?:[eE][-+]?\d+)?", re.ASCII)
_LONGEST_NUMBER = 40
_LARGEST_NUMBER = 1e15

Schema = dict[str, Any]


class Bad:
    """Stands where a value could not be read; the problem is reported already."""

    __slots__ = ()


BAD = Bad()


@dataclass(frozen=True, slots=True)
class Desk:
    """Where one file is read: its text, and the problems found so far."""

    text: Text
    problems: list[Problem] = field(default_factory=Findings)

    def report(self, place: Place, rule: str, message: str, hint: str = "") -> Bad:
        """Add a problem."""
        self.problems.append(problem(place, rule, message, hint=hint))
        return BAD

    def wrong(self, node: Node, wanted: str) -> Bad:
        """Add a problem with a value of the wrong type."""
        message = f"{_what(node)} stands here. Write {wanted}."
        return self.report(value_place(self.text, node), "wrong-type", message)

    def out(self, node: Node, message: str) -> Bad:
        """Add a problem with a number that is out of its range."""
        return self.report(value_place(self.text, node), "out-of-range", message)


def _what(node: Node) -> str:
    if isinstance(node, Mapping):
        return "A mapping"
    if isinstance(node, Sequence):
        return "A list"
    return f"'{shorten(node.text)}'" if node.text else "Nothing"


class Shape(Protocol[T_co]):
    """A value's form."""

    wanted: str  # what to write, for a message: 'a number of hours'

    def read(self, node: Node, desk: Desk) -> T_co | Bad:
        """The value, or BAD with its problems reported."""

    def schema(self) -> Schema:
        """The same form as JSON Schema."""


class Words:
    """Any text that is not empty."""

    wanted = "some text"

    def read(self, node: Node, desk: Desk) -> str | Bad:
        """The text with its outer blanks gone and each line's blanks folded."""
        if node.__class__ is not Scalar:
            return desk.wrong(node, self.wanted)
        text: str = node.text
        if not text.isprintable():  # line ends and tabs among others
            text = "\n".join(" ".join(line.split()) for line in text.strip().splitlines())
        text = text.strip()
        if not text or (node.plain and text in {"~", "null"}):
            return desk.wrong(node, self.wanted)
        return text

    def schema(self) -> Schema:
        """Editors see plain words such as 8 or yes as numbers and flags: both are text here."""
        return {"type": ["string", "number", "boolean"], "pattern": "\\S"}


class Pattern:
    """Text of one form."""

    def __init__(self, form: re.Pattern[str], wanted: str, rule: str) -> None:
        self.form = form
        self.wanted = wanted
        self.rule = rule
        # The same few hundred ids stand thousands of times in a library.
        self.fits = lru_cache(maxsize=1 << 16)(form.fullmatch)

    def read(self, node: Node, desk: Desk) -> str | Bad:
        """The text as written."""
        if node.__class__ is Scalar and self.fits(node.text):
            return node.text
        if not isinstance(node, Scalar) or not node.text:
            return desk.wrong(node, self.wanted)
        message = f"'{shorten(node.text)}' stands here. Write {self.wanted}."
        return desk.report(value_place(desk.text, node), self.rule, message)

    def schema(self) -> Schema:
        """The pattern, anchored; digits alone look like a number to an editor."""
        return {"type": ["string", "number", "boolean"], "pattern": f"^(?:{self.form.pattern})$"}


class Choice:
    """One of a few words."""

    def __init__(self, *words: str) -> None:
        self.words = words
        self.fits = frozenset(words).__contains__
        self.wanted = "one of " + ", ".join(words) if len(words) > 1 else words[0]

    def read(self, node: Node, desk: Desk) -> str | Bad:
        """The word."""
        if isinstance(node, Scalar) and node.text in self.words:
            return node.text
        return desk.wrong(node, self.wanted)

    def schema(self) -> Schema:
        """The words."""
        return {"enum": list(self.words)}


class Flag:
    """`true` or `false`."""

    wanted = "true or false"

    def read(self, node: Node, desk: Desk) -> bool | Bad:
        """The flag."""
        if isinstance(node, Scalar) and node.text in {"true", "false"}:
            return node.text == "true"
        return desk.wrong(node, self.wanted)

    def schema(self) -> Schema:
        """A flag."""
        return {"type": "boolean"}


class Number:
    """A number in a range."""

    def __init__(
        self,
        wanted: str = "a number",
        *,
        least: float | None = None,
        most: float | None = None,
        above: float | None = None,
    ) -> None:
        self.wanted = wanted
        self.least = least
        self.most = most
        self.above = above

    def read(self, node: Node, desk: Desk) -> float | Bad:
        """The number."""
        if node.__class__ is not Scalar or not node.plain:
            return desk.wrong(node, self.wanted)
        text: str = node.text
        if len(text) > _LONGEST_NUMBER or not _NUMBER.fullmatch(text):
            return desk.wrong(node, self.wanted)
        value = float(text)
        if (
            -_LARGEST_NUMBER <= value <= _LARGEST_NUMBER
            and (self.least is None or value >= self.least)
            and (self.most is None or value <= self.most)
            and (self.above is None or value > self.above)
        ):
            return value
        return desk.out(node, f"{shorten(text)} stands here. Write {self.wanted}{self._range()}.")

    def _range(self) -> str:
        if self.most is not None:
            return f" from {self.least or 0:g} to {self.most:g}"
        if self.above is not None:
            return f" above {self.above:g}"
        return f" of at least {self.least:g}" if self.least is not None else " of a usual size"

    def schema(self) -> Schema:
        """The range."""
        found: Schema = {"type": "number"}
        for name, bound in (("minimum", self.least), ("maximum", self.most), ("exclusiveMinimum", self.above)):
            if bound is not None:
                found[name] = bound
        return found


class Whole:
    """A whole number, at least `least`."""

    def __init__(self, wanted: str, least: int) -> None:
        self.wanted = wanted
        self.least = least
        self.number = Number(wanted, least=least)

    def read(self, node: Node, desk: Desk) -> int | Bad:
        """The number."""
        value = self.number.read(node, desk)
        if isinstance(value, Bad):
            return BAD
        return int(value) if value == int(value) else desk.wrong(node, self.wanted)

    def schema(self) -> Schema:
        """The least."""
        return {"type": "integer", "minimum": self.least}


class ListOf(Generic[T]):
    """A list of values of one shape."""

    def __init__(self, item: Shape[T], wanted: str, *, least: int = 0, most: int | None = None) -> None:
        self.item = item
        self.wanted = wanted
        self.least = least
        self.most = most

    def read(self, node: Node, desk: Desk) -> tuple[T, ...] | Bad:
        """The values that could be read."""
        if not isinstance(node, Sequence):
            return desk.wrong(node, self.wanted)
        if len(node.items) < self.least or (self.most is not None and len(node.items) > self.most):
            return desk.wrong(node, self.wanted if self.most else f"{self.wanted}, at least {self.least}")
        values = [self.item.read(item, desk) for item in node.items]
        return tuple(value for value in values if not isinstance(value, Bad))

    def schema(self) -> Schema:
        """The item's."""
        found: Schema = {"type": "array", "items": self.item.schema()}
        if self.least:
            found["minItems"] = self.least
        if self.most is not None:
            found["maxItems"] = self.most
        return found


class MapOf(Generic[T]):
    """A mapping of names to values of one shape."""

    def __init__(
        self,
        value: Shape[T],
        wanted: str,
        *,
        key: Pattern | Choice | None = None,
        least: int = 0,
        most: int | None = None,
    ) -> None:
        self.value = value
        self.wanted = wanted
        self.name = key
        self.fits = key.fits if key is not None else None
        self.least = least
        self.most = most

    def read(self, node: Node, desk: Desk) -> dict[str, T] | Bad:
        """The entries that could be read, in order."""
        if not isinstance(node, Mapping):
            return desk.wrong(node, self.wanted)
        if len(node.entries) < self.least or (self.most is not None and len(node.entries) > self.most):
            return desk.wrong(node, self.wanted if self.most else f"{self.wanted}, at least {self.least}")
        found: dict[str, T] = {}
        fits, read = self.fits, self.value.read
        for key, child in node.entries.items():
            if fits is not None and not fits(key):
                self._misnamed(key, child, desk)
                continue
            value = read(child, desk)
            if value is not BAD:
                found[key] = value  # type: ignore[assignment]  # BAD is the only one of its class
        return found

    def names(self, key: str) -> bool:
        """Whether a key has the form that names have here."""
        return self.fits is None or bool(self.fits(key))

    def _misnamed(self, key: str, child: Node, desk: Desk) -> None:
        assert self.name is not None
        rule = self.name.rule if isinstance(self.name, Pattern) else "unknown-key"
        message = f"The key '{shorten(key)}' stands here. Write {self.name.wanted}."
        desk.report(key_place(desk.text, child), rule, message)

    def schema(self) -> Schema:
        """The value's, and the form of the names."""
        found: Schema = {"type": "object", "additionalProperties": self.value.schema()}
        if isinstance(self.name, Pattern):
            found["propertyNames"] = {"pattern": f"^(?:{self.name.form.pattern})$"}
        elif self.name is not None:
            found["propertyNames"] = {"enum": list(self.name.words)}
        if self.least:
            found["minProperties"] = self.least
        if self.most is not None:
            found["maxProperties"] = self.most
        return found


class ByType(Generic[T]):
    """A value that may be written in more than one form, told apart by text, list or mapping."""

    def __init__(
        self,
        wanted: str,
        *,
        text: Shape[T] | None = None,
        items: Shape[T] | None = None,
        entries: Shape[T] | None = None,
    ) -> None:
        self.wanted = wanted
        self.text = text
        self.items = items
        self.entries = entries

    def read(self, node: Node, desk: Desk) -> T | Bad:
        """The value in the form that stands there."""
        kind = node.__class__
        shape = self.text if kind is Scalar else self.entries if kind is Mapping else self.items
        return shape.read(node, desk) if shape else desk.wrong(node, self.wanted)

    def schema(self) -> Schema:
        """Any of them."""
        return {"anyOf": [shape.schema() for shape in (self.text, self.items, self.entries) if shape]}


class Made(Generic[T]):
    """Another shape's value, turned into something else."""

    def __init__(self, shape: Shape[Any], make: Callable[[Any, Node, Desk], T | Bad]) -> None:
        self.shape = shape
        self.wanted = shape.wanted
        self.make = make

    def read(self, node: Node, desk: Desk) -> T | Bad:
        """What is made of the inner value."""
        value = self.shape.read(node, desk)
        return BAD if isinstance(value, Bad) else self.make(value, node, desk)

    def schema(self) -> Schema:
        """The inner one's."""
        return self.shape.schema()


@dataclass(frozen=True, slots=True)
class Key:
    """A key of a record: its shape, whether it must stand, and what an editor says of it."""

    shape: Shape[Any]
    says: str
    needed: bool = False
    default: Any = None  # as YAML would hold it, for the schema


# Names longer than this, and so many of them, are not compared: a hostile file must not cost minutes.
_LONGEST_COMPARED = 60
_MOST_COMPARED = 200


def nearest(name: str, known: Iterable[str]) -> str:
    """The known name most like one, or nothing."""
    from difflib import get_close_matches

    near = get_close_matches(name, known, 1) if len(name) <= _LONGEST_COMPARED else []
    return near[0] if near else ""


class Record:
    """A mapping with fixed keys. Reads to a plain dict of those that stand and could be read."""

    def __init__(self, wanted: str, keys: AnyMapping[str, Key]) -> None:
        self.wanted = wanted
        self.keys = keys
        self.readers = {name: key.shape.read for name, key in keys.items()}
        self.needed = tuple(name for name, key in keys.items() if key.needed)

    def read(self, node: Node, desk: Desk) -> dict[str, Any] | Bad:
        """The values by key; BAD where the node is no mapping.

        An absent or unreadable key is reported and left out: the entry stays known by its id, so that one
        mistake does not make a second one wherever the entry is named.
        """
        if node.__class__ is not Mapping:
            return desk.wrong(node, self.wanted)
        readers = self.readers
        values: dict[str, Any] = {}
        strange: list[str] = []
        for name, child in node.entries.items():
            reader = readers.get(name)
            if reader is None:
                strange.append(name)
                continue
            value = reader(child, desk)
            if value is not BAD:
                values[name] = value
        if strange:
            self._strangers(strange, node, desk, values)
        for name in self.needed:
            if name not in node.entries:
                self._missing(name, node, desk)
        return values

    def _strangers(self, names: list[str], node: Mapping, desk: Desk, values: dict[str, Any]) -> None:
        """Report keys that are not known. One that is a slip of an absent key is read as that one: what would
        follow from its absence is not reported as well.
        """
        for at, name in enumerate(names):
            child = node.entries[name]
            compared = at < _MOST_COMPARED and len(desk.problems) < MOST_PROBLEMS
            near = nearest(name, self.keys) if compared else ""
            hint = f"The nearest key is '{near}'." if near else f"The keys are {', '.join(self.keys)}."
            message = f"The key '{shorten(name)}' is not known here. Correct its spelling or take it out."
            desk.report(key_place(desk.text, child), "unknown-key", message, hint)
            if near and near not in node.entries:
                apart = Desk(desk.text)
                value = self.readers[near](child, apart)
                if value is not BAD:
                    values[near] = value
                    node.entries[near] = child
                    for one in apart.problems:
                        desk.problems.append(one)

    def _missing(self, name: str, node: Node, desk: Desk) -> None:
        message = f"The key '{name}' is missing. Add it: {self.keys[name].says}"
        desk.report(key_place(desk.text, node), "missing-key", message)

    def schema(self) -> Schema:
        """Properties, needed ones, nothing else."""
        properties = {}
        for name, key in self.keys.items():
            described = {**key.shape.schema(), "description": key.says}
            if key.default is not None:
                described["default"] = key.default
            properties[name] = described
        found: Schema = {"type": "object", "properties": properties, "additionalProperties": False}
        if self.needed:
            found["required"] = list(self.needed)
        return found


IDENTITY = Pattern(ID, "an id: lower-case words joined by hyphens, such as oil-level", "bad-id")
TEXT = Words()
