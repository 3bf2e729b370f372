"""The kind `tree`: weights and nodes."""

from typing import Any

from diagtree.model.tree import Node as TreeNode
from diagtree.model.tree import Onward, Outcome, Question, Tree
from diagtree.source.common import CAUTIONS, DATE, NAME, WEIGHT, amount, names
from diagtree.source.nodes import Mapping, Node, key_place
from diagtree.source.shapes import (
    IDENTITY,
    TEXT,
    Bad,
    ByType,
    Desk,
    Key,
    Made,
    MapOf,
    Record,
    Schema,
    Whole,
)


def _one(fault: str, _node: Node, _desk: Desk) -> tuple[str, ...]:
    return (fault,)


_FAULTS = ByType[tuple[str, ...]]("a fault, or a list of faults", text=Made(NAME, _one), items=names("faults", least=1))
_JOBS = Whole("a whole number of closed jobs", 0)
_NOTE = Key(TEXT, "A word to the technician.")

_QUESTION = Record(
    "a node that asks, such as {check: oil-level, then: {...}}",
    {
        "check": Key(NAME, "The check that is asked.", needed=True),
        "then": Key(MapOf(NAME, "a node for every answer", key=NAME, least=1), "Where each answer leads.", needed=True),
        "else": Key(NAME, "Taken where the answer can't be had, or the check does not apply."),
        "note": _NOTE,
    },
)
_OUTCOME = Record(
    "a node that ends, such as {outcome: oil-low}",
    {
        "outcome": Key(_FAULTS, "The fault, or faults left standing together.", needed=True),
        "note": _NOTE,
        "cautions": Key(CAUTIONS, "Cautions to show with it.", default=[]),
    },
)
_ONWARD = Record(
    "a node that goes on in another tree, such as {continue: oil-sludge}",
    {"continue": Key(NAME, "The tree that it goes on in.", needed=True), "note": _NOTE},
)
_FORMS = {"check": _QUESTION, "outcome": _OUTCOME, "continue": _ONWARD}


class _NodeShape:
    """A node: what it is follows from the key that it has."""

    wanted = "a node: {check: ..., then: {...}}, {outcome: ...} or {continue: ...}"

    def read(self, node: Node, desk: Desk) -> dict[str, Any] | Bad:
        """The values of the form that it has."""
        if not isinstance(node, Mapping):
            return desk.wrong(node, self.wanted)
        stated = [name for name in _FORMS if name in node.entries]
        if len(stated) == 1:
            return _FORMS[stated[0]].read(node, desk)
        if not stated:
            place = key_place(desk.text, node)
            return desk.report(place, "missing-key", "This node has no `check`, `outcome` or `continue`. Add one.")
        place = key_place(desk.text, node.entries[stated[1]])
        return desk.report(place, "wrong-type", f"A node does one thing: keep one of {', '.join(stated)}.")

    def schema(self) -> Schema:
        """One of the forms."""
        return {"anyOf": [form.schema() for form in _FORMS.values()]}


TREE = Record(
    "a tree",
    {
        "tree": Key(IDENTITY, "The tree's id.", needed=True),
        "title": Key(TEXT, "The complaint, as a customer would say it.", needed=True),
        "for": Key(TEXT, "What it is for."),
        "revision": Key(TEXT, "Its revision."),
        "date": Key(DATE, "The revision's date, such as 2026-11-25."),
        "source": Key(TEXT, "Where it comes from."),
        "cautions": Key(CAUTIONS, "Cautions that stand over the whole tree.", default=[]),
        "weights": Key(
            MapOf(amount(WEIGHT, "a weight, or one by feature"), "weights by fault", key=NAME, least=1),
            "How often each fault is behind this complaint.",
            needed=True,
        ),
        "other": Key(WEIGHT, "The weight of a cause that is not in this tree."),
        "closed-jobs": Key(_JOBS, "Closed jobs that the figures rest on; `learn --write` counts them.", default=0),
        "engines": Key(names("engines", least=1), "What it serves; absent: each engine that has the steps it needs."),
        "start": Key(NAME, "The first node.", needed=True),
        "nodes": Key(MapOf(_NodeShape(), "nodes by id", key=NAME, least=1), "The nodes.", needed=True),
    },
)


def _node(name: str, values: dict[str, Any]) -> TreeNode:
    note = values.get("note", "")
    if "outcome" in values:
        return Outcome(name, values["outcome"], note, values.get("cautions", ()))
    if "continue" in values:
        return Onward(name, values["continue"], note)
    return Question(name, values.get("check", ""), values.get("then", {}), values.get("else", ""), note)


def tree(values: dict[str, Any]) -> Tree:
    """The tree of a record."""
    return Tree(
        id=values["tree"],
        title=values.get("title", values["tree"]),
        weights=values.get("weights", {}),
        start=values.get("start", ""),
        nodes={name: _node(name, found) for name, found in values.get("nodes", {}).items()},
        covers=values.get("for", ""),
        revision=values.get("revision", ""),
        date=values.get("date", ""),
        source=values.get("source", ""),
        cautions=values.get("cautions", ()),
        other=values.get("other"),
        engines=values.get("engines"),
        closed_jobs=values.get("closed-jobs", 0),
    )
