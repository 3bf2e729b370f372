"""YAML text to nodes, by our own composer over the events of PyYAML's C parser.

The library's own composer keeps two position objects a node and builds a tag for each; this one keeps two numbers,
and sees what that one hides: a key written twice, and text as it was typed (`yes` stays `yes`).
"""

import re
from collections.abc import Iterator
from typing import Any, TypeAlias

import yaml

from diagtree.model.problem import Problem, problem
from diagtree.source.nodes import NO_KEY, Mapping, Node, Scalar, Sequence, Text, key_place, word_place

# A library nests some ten deep. Past this a file is broken or meant to hurt.
DEEPEST = 40
# Values that aliases may stand for in one file, each counted every time it is named.
MOST_BY_ALIAS = 10_000
# Words up to this long are kept once each: ids and numbers recur, sentences don't.
_SHORT = 24

# What a reader can't see and a terminal or a page may obey: controls, separators, marks that turn text round, and
# characters without width. The two joiners stay: some scripts can't be written without them.
HIDDEN = re.compile(
    "[\x00-\x08\x0b\x0c\x0e-\x1f\x7f-\x9f\xad\u061c\u180e\u200b\u200e\u200f\u2028-\u202e\u2060-\u206f\ufeff"
    "\ufff9-\ufffb\ud800-\udfff\U000e0000-\U000e007f]"
)

# Without its C parser PyYAML still reads, ten times slower.
_Parser: Any = getattr(getattr(yaml, "cyaml", None), "CParser", yaml.Loader)
_Container: TypeAlias = Mapping | Sequence


class _Stop(Exception):  # noqa: N818  # not an error of ours: ends one file with its problem
    def __init__(self, found: Problem) -> None:
        self.problem = found


def compose(text: Text, problems: list[Problem]) -> list[Node]:
    """The documents of a file, empty ones left out. Problems are added to `problems`."""
    hidden = HIDDEN.search(text.content)
    if hidden:
        message = f"A hidden character stands here ({_name(hidden.group())}). Delete it."
        problems.append(problem(text.place(hidden.start(), hidden.end()), "hidden-character", message))
        return []
    documents: list[Node] = []
    try:
        documents.extend(_Composer(text, problems).documents())  # those before a mistake are kept
    except _Stop as stop:
        problems.append(stop.problem)
    except yaml.YAMLError as error:
        problems.append(_syntax(text, error))
    return documents


def _name(character: str) -> str:
    return f"U+{ord(character):04X}"


def _syntax(text: Text, error: yaml.YAMLError) -> Problem:
    said = str(getattr(error, "problem", None) or "it can't be read")
    context = str(getattr(error, "context", None) or "")
    mark = getattr(error, "problem_mark", None) or getattr(error, "context_mark", None)
    unclosed = "quoted scalar" in context and "end of stream" in said
    if unclosed:  # the end of the file is no place to look for it
        mark = getattr(error, "context_mark", None) or mark
    offset = min(getattr(mark, "index", 0) or 0, len(text.content))
    message = f"This is not YAML from here on: {said}{' ' + context if context else ''}."
    hint = "Look at this line and the one above: spaces at the start, a missing ':' or quote."
    here = text.content[offset : offset + 1]
    if "\t" in here:
        hint = "A tab stands at the start of this line. Use spaces."
    elif here == "?":  # some parsers take it for the start of a key wherever braces or brackets are open
        hint = "Put the sentence in quotes."
    elif unclosed:
        hint = "This quote is not closed."
    return problem(text.place(offset, offset + 1), "syntax", message, hint=hint)


class _Composer:
    """One file's events, one after another, without recursion: depth is bounded by us, not by the stack."""

    def __init__(self, text: Text, problems: list[Problem]) -> None:
        self.text = text
        self.problems = problems
        self.anchors: dict[str, Node] = {}
        self.aliased = 0
        self.words: dict[str, str] = {}  # one string object for a word that stands a thousand times

    def documents(self) -> Iterator[Node]:
        """Each document's root, as its events come."""
        parser = _Parser(self.text.content)
        read = parser.get_event
        try:
            while (event := read()).__class__ is not yaml.StreamEndEvent:
                if event.__class__ is yaml.DocumentStartEvent:
                    self.anchors = {}
                    root = self._document(read)
                    if root is not None:
                        yield root
        finally:
            parser.dispose()

    def _document(self, read: Any) -> Node | None:  # noqa: C901, PLR0912, PLR0915  # one loop: a call a word costs more
        """One document. The loop is long on purpose: it runs once for every word of a library."""
        scalar_event, map_start, seq_start = yaml.ScalarEvent, yaml.MappingStartEvent, yaml.SequenceStartEvent
        map_end, seq_end, document_end = yaml.MappingEndEvent, yaml.SequenceEndEvent, yaml.DocumentEndEvent
        root: Node | None = None
        stack: list[_Container] = []
        pending: list[tuple[str, int]] = []  # the key that waits for its value, one for each open container
        top: _Container | None = None
        in_map = False
        key, key_start = "", NO_KEY
        words = self.words
        while True:
            event = read()
            kind = event.__class__
            if kind is scalar_event:
                text, style = event.value, event.style
                if event.tag or event.anchor:
                    self._plainly(event)
                if style == '"' and HIDDEN.search(text):
                    text = self._hidden(event)
                if in_map and key_start == NO_KEY:
                    key, key_start = words.setdefault(text, text), event.start_mark.index
                    continue
                if len(text) < _SHORT:
                    text = words.setdefault(text, text)
                node: Node = Scalar(text, event.start_mark.index, not style)
                if event.anchor:
                    self.anchors[event.anchor] = node
            elif kind is map_end or kind is seq_end:
                assert top is not None
                top.end = event.end_mark.index
                node = top
                stack.pop()
                key, key_start = pending.pop()
                top = stack[-1] if stack else None
                in_map = top.__class__ is Mapping
            elif kind is map_start or kind is seq_start:
                opened = self._open(event, kind is map_start, len(stack), keyless=in_map and key_start == NO_KEY)
                pending.append((key, key_start))
                stack.append(opened)
                top, in_map, key_start = opened, kind is map_start, NO_KEY
                continue
            elif kind is document_end:
                return None if root is None or _nothing(root) else root
            else:  # an alias
                if in_map and key_start == NO_KEY:
                    raise self._stop(event, "alias", "An alias can't be a key. Write the key out.")
                node = self._alias(event, stack)
            if top is None:
                root = node
            elif in_map:
                node.key = key_start
                entries = top.entries  # type: ignore[union-attr]
                if key in entries:
                    self._twice(entries[key], key, key_start)
                else:
                    entries[key] = node
                key_start = NO_KEY
            else:
                top.items.append(node)  # type: ignore[union-attr]

    def _open(self, event: Any, is_map: bool, depth: int, *, keyless: bool) -> _Container:
        if event.tag or event.anchor:
            self._plainly(event)
        if keyless:
            raise self._stop(event, "syntax", "A key must be one word or line of text, not a list or a mapping.")
        if depth >= DEEPEST:
            raise self._stop(event, "too-large", f"This is nested more than {DEEPEST} deep. Write it flatter.")
        opened: _Container = (Mapping if is_map else Sequence)(event.start_mark.index)
        if event.anchor:
            self.anchors[event.anchor] = opened
        return opened

    def _stop(self, event: Any, rule: str, message: str) -> _Stop:
        place = self.text.place(event.start_mark.index, event.end_mark.index)
        return _Stop(problem(place, rule, message))

    def _plainly(self, event: Any) -> None:
        if event.tag and event.tag != "!":  # a lone `!` says only 'this is text', which everything is here
            raise self._stop(event, "tag", "A tag (`!...`) stands here. A library holds plain data: take it out.")

    def _hidden(self, event: Any) -> str:
        found = HIDDEN.search(event.value)
        assert found
        message = f"This text holds a hidden character ({_name(found.group())}). Take it out."
        place = self.text.place(event.start_mark.index, event.end_mark.index)
        self.problems.append(problem(place, "hidden-character", message))
        return HIDDEN.sub(" ", event.value)

    def _twice(self, first: Node, key: str, start: int) -> None:
        place = key_place(self.text, first)
        message = (
            f"The key '{shorten(key)}' stands twice in this mapping, first on line {place.line}, "
            f"column {place.column}. Keep one of them."
        )
        self.problems.append(problem(word_place(self.text, start), "duplicate-key", message))

    def _alias(self, event: Any, stack: list[_Container]) -> Node:
        target = self.anchors.get(event.anchor)
        if target is None:
            raise self._stop(event, "alias", f"Nothing above is marked '&{shorten(event.anchor)}'. Write it out here.")
        if target in stack:
            raise self._stop(event, "alias", "This alias stands inside what it names. Write it out.")
        self.aliased += size(target, MOST_BY_ALIAS)
        if self.aliased > MOST_BY_ALIAS:
            message = f"The aliases of this file stand for more than {MOST_BY_ALIAS} values. Write less with them."
            raise self._stop(event, "too-large", message)
        return _again(target, event.start_mark.index, event.end_mark.index)


def _nothing(node: Node) -> bool:
    return isinstance(node, Scalar) and node.plain and node.text in {"", "~", "null"}


def _again(node: Node, start: int, end: int) -> Node:
    """The same value once more: its own place, its children shared."""
    if isinstance(node, Scalar):
        return Scalar(node.text, start, plain=False)
    copy: _Container = Mapping(start) if isinstance(node, Mapping) else Sequence(start)
    if isinstance(node, Mapping) and isinstance(copy, Mapping):
        copy.entries = node.entries
    elif isinstance(node, Sequence) and isinstance(copy, Sequence):
        copy.items = node.items
    copy.end = end
    return copy


def size(node: Node, most: int) -> int:
    """How many values a node stands for, counting no further than `most`."""
    count, waiting = 0, [node]
    while waiting and count <= most:
        found = waiting.pop()
        count += 1
        if isinstance(found, Mapping):
            waiting.extend(found.entries.values())
        elif isinstance(found, Sequence):
            waiting.extend(found.items)
    return count


def shorten(text: str, most: int = 40) -> str:
    """Text from a file as a message may quote it: one line, no hidden characters, not long."""
    shown = "".join(c if c.isprintable() else f"<{_name(c)}>" for c in " ".join(text[: 4 * most].split()))
    return shown if len(shown) <= most else shown[: most - 1] + "…"
