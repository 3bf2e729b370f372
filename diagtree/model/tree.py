"""A tree: the authored procedure, and how often each fault is behind the complaint."""

from collections.abc import Mapping
from dataclasses import dataclass
from typing import TypeAlias

from diagtree.model.quantity import Amount


@dataclass(frozen=True, slots=True)
class Question:
    """A node that asks a check."""

    id: str
    check: str
    then: Mapping[str, str]  # answer -> node
    otherwise: str = ""  # `else`; empty: 'cannot tell' is refused
    note: str = ""


@dataclass(frozen=True, slots=True)
class Outcome:
    """A node that ends the walk: the faults that the answers leave standing together."""

    id: str
    faults: tuple[str, ...]
    note: str = ""
    cautions: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Onward:
    """A node that goes on in another tree (`continue`)."""

    id: str
    tree: str
    note: str = ""


Node: TypeAlias = Question | Outcome | Onward


@dataclass(frozen=True, slots=True)
class Tree:
    """A fault tree for one complaint."""

    id: str
    title: str
    weights: Mapping[str, Amount]  # fault, or tree that it goes on in -> how often
    start: str
    nodes: Mapping[str, Node]
    covers: str = ""  # `for`
    revision: str = ""
    date: str = ""  # ISO 8601
    source: str = ""
    cautions: tuple[str, ...] = ()
    other: float | None = None  # weight of a cause that is not in the tree; None: not stated
    engines: tuple[str, ...] | None = None  # None: each engine that has the steps it needs
    closed_jobs: int = 0  # that its weights rest on beside the author's estimate

    @property
    def questions(self) -> tuple[Question, ...]:
        """The nodes that ask, in file order."""
        return tuple(node for node in self.nodes.values() if isinstance(node, Question))

    @property
    def outcomes(self) -> tuple[Outcome, ...]:
        """The nodes that end the walk, in file order."""
        return tuple(node for node in self.nodes.values() if isinstance(node, Outcome))

    @property
    def onwards(self) -> tuple[Onward, ...]:
        """The nodes that go on in another tree, in file order."""
        return tuple(node for node in self.nodes.values() if isinstance(node, Onward))

    @property
    def checks(self) -> tuple[str, ...]:
        """The checks asked, each once, in file order."""
        return tuple(dict.fromkeys(node.check for node in self.questions))


def targets(node: Node) -> tuple[str, ...]:
    """The nodes of the same tree that a node leads to, each once, in file order."""
    if not isinstance(node, Question):
        return ()
    ends = (*node.then.values(), node.otherwise) if node.otherwise else tuple(node.then.values())
    return tuple(dict.fromkeys(ends))
