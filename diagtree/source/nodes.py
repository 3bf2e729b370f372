"""What a YAML file says before anyone knows what it means: text, mappings and lists, each with its span.

A word keeps where it begins, as a character offset into the file's text. Its end, its line and its column are worked
out from the text when a problem is shown: most never are, and a library of a thousand trees has millions of words.
"""

import re
from bisect import bisect_right
from dataclasses import dataclass, field
from typing import TypeAlias

from diagtree.model.problem import Place, Problem

NO_KEY = -1
# Characters that are looked at to find a word's end. One of a million characters is not shown whole.
_LONGEST = 10_000
# Problems of one file that are kept. Whoever has more mends these first.
MOST_PROBLEMS = 1_000

# A word in quotes, and a plain word up to what ends it: a colon, a comma or bracket of a list, a comment, the line.
_QUOTED = re.compile(r"""'(?:[^']|'')*'|"(?:[^"\\]|\\.)*\"""", re.DOTALL)
_PLAIN = re.compile(r"(?:[^\s:#,\[\]{}]|:(?![\s,\]}])|(?<=\S)#|[ \t]+(?=[^\s:#,\[\]{}]))+")


class Findings(list[Problem]):
    """The problems of one file: the first `MOST_PROBLEMS`, and how many more there were."""

    __slots__ = ("more",)

    def __init__(self) -> None:
        super().__init__()
        self.more = 0

    def append(self, found: Problem) -> None:
        """Keep it, or only count it."""
        if len(self) < MOST_PROBLEMS:
            super().append(found)
        else:
            self.more += 1


class Scalar:
    """A plain or quoted text, as written."""

    __slots__ = ("key", "plain", "start", "text")

    def __init__(self, text: str, start: int, plain: bool) -> None:
        self.text = text
        self.start = start
        self.plain = plain
        self.key = NO_KEY  # where the key that it stands under begins


class Mapping:
    """Keys and values, in order."""

    __slots__ = ("end", "entries", "key", "start")

    def __init__(self, start: int) -> None:
        self.entries: dict[str, Node] = {}
        self.start = start
        self.end = start
        self.key = NO_KEY


class Sequence:
    """A list."""

    __slots__ = ("end", "items", "key", "start")

    def __init__(self, start: int) -> None:
        self.items: list[Node] = []
        self.start = start
        self.end = start
        self.key = NO_KEY


Node: TypeAlias = Scalar | Mapping | Sequence


@dataclass(frozen=True, slots=True)
class Text:
    """A file's text, and where its lines begin."""

    file: str
    content: str
    starts: list[int] = field(default_factory=list, compare=False, repr=False)

    def place(self, start: int, end: int) -> Place:
        """The lines and columns of a span of character offsets."""
        line, column = self._position(start)
        end_line, end_column = self._position(max(end, start))
        if end_line > line:  # a caret can't leave its line: a block ends where its first line does
            following = self.starts[line] if line < len(self.starts) else len(self.content) + 1
            end_line, end_column = line, max(following - self.starts[line - 1], column + 1)
        return Place(self.file, line, column, end_line, end_column)

    def _position(self, offset: int) -> tuple[int, int]:
        if not self.starts:  # filled once: most files never show a problem
            self.starts.append(0)
            content, at = self.content, -1
            while (at := content.find("\n", at + 1)) >= 0:
                self.starts.append(at + 1)
        line = bisect_right(self.starts, offset)
        return line, offset - self.starts[line - 1] + 1


def word_place(text: Text, start: int) -> Place:
    """Where the word that begins at an offset stands."""
    content = text.content
    form = _QUOTED if content[start : start + 1] in {"'", '"'} else _PLAIN
    found = form.match(content, start, start + _LONGEST)
    return text.place(start, found.end() if found else start + 1)


def key_place(text: Text, node: Node) -> Place:
    """Where the key of a value stands, or the value itself where it has none."""
    return word_place(text, node.key) if node.key != NO_KEY else text.place(node.start, _end(text, node))


def value_place(text: Text, node: Node) -> Place:
    """Where a value stands. A mapping or list in block style is shown by its key."""
    if isinstance(node, Scalar):
        if not node.text and node.plain and node.key != NO_KEY:  # nothing written: point at the key
            return key_place(text, node)
    elif node.key != NO_KEY and text.content[node.start : node.start + 1] not in {"{", "["}:
        return key_place(text, node)
    return text.place(node.start, _end(text, node))


def _end(text: Text, node: Node) -> int:
    if not isinstance(node, Scalar):
        return node.end
    after = node.start + len(node.text)
    if node.plain and text.content[node.start : after] == node.text:
        return after
    if not node.plain:  # in quotes, or an alias
        form = _PLAIN if text.content[node.start : node.start + 1] == "*" else _QUOTED
        found = form.match(text.content, node.start, node.start + _LONGEST)
        if found:
            return found.end()
    line_end = text.content.find("\n", node.start)  # text over several lines: its first line
    return line_end if line_end >= 0 else len(text.content)


@dataclass(frozen=True, slots=True)
class Origin:
    """Where an entry was read (see `diagtree.model.problem.Origin`)."""

    text: Text
    root: Node

    def key(self, *path: str | int) -> Place:
        """The place of the key or list item at `path`, or of the nearest thing above it."""
        return key_place(self.text, self._find(path))

    def value(self, *path: str | int) -> Place:
        """The place of the value at `path`, or of the nearest thing above it."""
        return value_place(self.text, self._find(path))

    def _find(self, path: tuple[str | int, ...]) -> Node:
        node = self.root
        for part in path:
            child = _child(node, part)
            if child is None:
                return node
            node = child
        return node


def _child(node: Node, part: str | int) -> Node | None:
    if isinstance(node, Mapping):
        return node.entries.get(str(part))
    if isinstance(node, Sequence) and isinstance(part, int) and part < len(node.items):
        return node.items[part]
    return None
