"""A library's files to a checked model: all that could be read, and every problem found in the reading."""

import gc
from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from typing import Any

from diagtree.model.library import Kind, Library
from diagtree.model.problem import Place, Problem, problem
from diagtree.source import checks, engines, files, nodes, trade, trees
from diagtree.source.collector import paused
from diagtree.source.composer import compose, shorten
from diagtree.source.shapes import Bad, Desk, MapOf, Record, nearest


@dataclass(frozen=True, slots=True)
class Read:
    """What reading found: always all three.

    `whole` is False where a file could not be read to its end: what is missing may stand in that rest.
    """

    library: Library
    problems: tuple[Problem, ...]
    texts: Mapping[str, str]  # file as messages show it -> its text
    whole: bool = True


# Kinds that hold one entry a document, named by their first key's value.
_SINGLE: Mapping[Kind, tuple[Record, Callable[[dict[str, Any]], Any]]] = {
    "shop": (trade.SHOP, trade.shop),
    "engine": (engines.ENGINE, engines.engine),
    "tree": (trees.TREE, trees.tree),
}
# Kinds that hold many entries under their first key, and may be spread over files.
_MANY: Mapping[Kind, tuple[MapOf[Any], Callable[[str, Any], Any]]] = {
    "cautions": (trade.CAUTIONS_KIND, trade.caution),
    "codes": (trade.CODES_KIND, lambda _code, text: text),
    "checks": (checks.CHECKS_KIND, checks.check),
    "faults": (trade.FAULTS_KIND, trade.fault),
}
KINDS: tuple[Kind, ...] = ("shop", "cautions", "codes", "checks", "faults", "engine", "tree")


@dataclass(slots=True)
class _Shelf:
    """What has been read so far. Filled file by file, frozen into a Library at the end."""

    entries: dict[Kind, dict[str, Any]] = field(default_factory=lambda: {kind: {} for kind in KINDS})
    origins: dict[tuple[Kind, str], nodes.Origin] = field(default_factory=dict)
    unread: set[tuple[Kind, str]] = field(default_factory=set)
    whole: bool = True


def read(path: str) -> Read:
    """Read a library: a folder of YAML files, or one file. Nothing is raised for what stands in them."""
    problems: list[Problem] = []
    shelf = _Shelf()
    texts: dict[str, str] = {}
    with paused():
        for file in files.find(path, problems):
            text = files.read(file, problems)
            if text is not None:
                texts[text.file] = text.content
                _file(text, shelf, problems)
        gc.freeze()  # or the first collection afterwards would walk them all after all
    whole = shelf.whole and not any(found.rule in _BROKEN for found in problems)
    return Read(_library(shelf), tuple(sorted(problems)), texts, whole)


# Rules after which a file's rest was not read.
_BROKEN = frozenset({"syntax", "unreadable-file", "not-utf8", "hidden-character", "too-large", "tag", "alias"})


def _file(text: nodes.Text, shelf: _Shelf, problems: list[Problem]) -> None:
    found = nodes.Findings()
    documents = compose(text, found)
    if not documents and not found:
        message = "Nothing stands in this file. Write it, or delete it."
        found.append(problem(Place(text.file, 1, 1, 1, 1), "empty-file", message, severity="warning"))
    desk = Desk(text, found)
    for document in documents:
        _document(document, desk, shelf)
    problems.extend(found)
    if found.more:
        message = f"This file has {found.more} problems more than are shown. Mend these first."
        problems.append(problem(Place(text.file, 1, 1, 1, 1), "too-large", message))


def _document(root: nodes.Node, desk: Desk, shelf: _Shelf) -> None:
    if not isinstance(root, nodes.Mapping) or not root.entries:
        desk.wrong(root, f"a mapping whose first key is one of {', '.join(KINDS)}")
        shelf.whole = False
        return
    first = next(iter(root.entries))
    kind = next((kind for kind in KINDS if kind == first), None) or _unknown_kind(first, root, desk)
    if kind is None:
        shelf.whole = False
    elif kind in _SINGLE:
        _single(kind, root, desk, shelf)
    else:
        _many(kind, root, desk, shelf)


def _unknown_kind(first: str, root: nodes.Mapping, desk: Desk) -> Kind | None:
    """Report it. The kind that it is a slip of, if any: the document is read as that one, so that its entries are
    not missed wherever they are named.
    """
    near = next((kind for kind in KINDS if kind == nearest(first, KINDS) and kind not in root.entries), None)
    elsewhere = next((kind for kind in KINDS if kind in root.entries), None)
    hint = f"The key '{elsewhere}' stands further down: move it to the top." if elsewhere else ""
    if near and not elsewhere:
        hint = f"The nearest kind is '{near}'."
    message = f"'{shorten(first)}' is no kind of file. The first key must be one of {', '.join(KINDS)}."
    desk.report(nodes.key_place(desk.text, root.entries[first]), "unknown-kind", message, hint)
    if near is None or elsewhere:
        return None
    body = root.entries.pop(first)
    root.entries = {near: body, **root.entries}
    return near


def _single(kind: Kind, root: nodes.Mapping, desk: Desk, shelf: _Shelf) -> None:
    record, make = _SINGLE[kind]
    values = record.read(root, desk)
    if isinstance(values, Bad) or kind not in values:  # its id could not be read, and was reported
        shelf.whole = False
        return
    if _new(_Found(kind, values[kind], nodes.Origin(desk.text, root)), desk, shelf):
        shelf.entries[kind][values[kind]] = make(values)


def _many(kind: Kind, root: nodes.Mapping, desk: Desk, shelf: _Shelf) -> None:
    shape, make = _MANY[kind]
    for name, child in list(root.entries.items())[1:]:
        message = f"The key '{shorten(name)}' stands beside '{kind}'. Take it out, or set it in under '{kind}'."
        desk.report(nodes.key_place(desk.text, child), "unknown-key", message)
    body = root.entries[kind]
    found = shape.read(body, desk)
    if isinstance(found, Bad) or not isinstance(body, nodes.Mapping):
        return
    for name, child in body.entries.items():
        if name not in found:
            shelf.unread.add((kind, name))
            continue
        origin = nodes.Origin(desk.text, child)
        if _new(_Found(kind, name, origin), desk, shelf):
            shelf.entries[kind][name] = make(name, found[name])


@dataclass(frozen=True, slots=True)
class _Found:
    """An entry just read."""

    kind: Kind
    name: str
    origin: nodes.Origin


def _new(found: _Found, desk: Desk, shelf: _Shelf) -> bool:
    """Whether an id is new over the whole library; else both places are named."""
    kind, name = found.kind, found.name
    if kind == "shop" and shelf.entries["shop"]:
        first: nodes.Origin = shelf.origins["shop", next(iter(shelf.entries["shop"]))]
        message = f"A library has one shop, and one stands in {_where(first, found)}. Keep one of them."
    elif (kind, name) in shelf.origins:
        where = _where(shelf.origins[kind, name], found)
        message = f"The id '{name}' is taken already ({kind}: {where}). Give one of them another id."
    else:
        shelf.origins[kind, name] = found.origin
        return True
    desk.report(_place(found.origin, kind), "duplicate-id", message)
    return False


def _place(origin: nodes.Origin, kind: Kind) -> Place:
    return origin.value(kind) if kind in _SINGLE else origin.key()


def _where(first: nodes.Origin, found: _Found) -> str:
    other, here = _place(first, found.kind), _place(found.origin, found.kind)
    return f"line {other.line}" if other.file == here.file else f"{other.file}, line {other.line}"


def _library(shelf: _Shelf) -> Library:
    entries = shelf.entries
    return Library(
        shop=next(iter(entries["shop"].values()), None),
        cautions=entries["cautions"],
        codes=entries["codes"],
        checks=entries["checks"],
        faults=entries["faults"],
        engines=entries["engine"],
        trees=entries["tree"],
        origins=shelf.origins,
        unread=frozenset(shelf.unread),
    )
