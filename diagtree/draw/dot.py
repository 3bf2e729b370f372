r"""A tree as DOT text, twice: bare boxes for the layout engine, and a readable file for people.

Pure. Whatever an author wrote stays text: every label is a quoted string, never mark-up, with its backslashes,
quotes, line ends and ampersands escaped. (A backslash starts an escape in a label, `\N` among them; an ampersand
starts a character reference.)
"""

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass

from diagtree.draw.font import clean
from diagtree.graph.trees import Kind, answer_text, kind_of, links, node_ids, says
from diagtree.model.library import NOTICE, Library
from diagtree.model.tree import Tree

_SHAPES: Mapping[Kind, str] = {
    "question": "diamond",
    "outcome": "box, style=rounded",
    "onward": "invhouse",
    "missing": "box, style=dashed",
}
_WIDEST = 28  # characters in a line of a label
CANNOT_TELL = "cannot tell"


@dataclass(frozen=True, slots=True)
class Sized:
    """A box that the engine places: a name and a size in points."""

    name: str
    width: float
    height: float


@dataclass(frozen=True, slots=True)
class Tie:
    """A line that the engine routes. A heavier one is kept shorter and straighter."""

    tail: str
    head: str
    weight: int = 1
    arrow: float = 0.0  # room to leave for an arrowhead, in points


def quote(text: str) -> str:
    r"""A DOT string for a label: the text shows as it stands, its line ends as centred line breaks."""
    escaped = text.replace("\\", "\\\\").replace('"', '\\"').replace("&", "&amp;")
    return '"' + escaped.replace("\r", "").replace("\n", "\\n").replace("\0", "") + '"'


def name(text: str) -> str:
    """A DOT string for a name. A backslash is doubled and stays so: one before a quote would swallow it."""
    return '"' + text.replace("\0", "").replace("\\", "\\\\").replace('"', '\\"') + '"'


@dataclass(frozen=True, slots=True)
class Spacing:
    """Clear space in points, and the way the drawing runs."""

    gap: float  # between neighbours
    rank_gap: float  # between rows
    across: bool = False  # from left to right instead of downwards


def bare(boxes: Iterable[Sized], ties: Iterable[Tie], groups: Iterable[tuple[str, ...]], spacing: Spacing) -> str:
    """DOT text for the layout engine: fixed sizes, no words.

    Args:
        boxes: nodes and the words of answers, with names of letters and digits only.
        ties: the lines between them.
        groups: names of boxes that nothing else may come between, such as a question and its answers' words.
        spacing: between all of them.
    """
    tail, head = ("e", "w") if spacing.across else ("s", "n")
    lines = [
        "digraph {",
        f"  rankdir={'LR' if spacing.across else 'TB'};",
        f"  nodesep={spacing.gap / 72:.4f}; ranksep={spacing.rank_gap / 72:.4f};",
        '  node [shape=box, fixedsize=true, label=""];',
        f"  edge [tailport={tail}, headport={head}];",
        *(f"  {box.name} [width={box.width / 72:.4f}, height={box.height / 72:.4f}];" for box in boxes),
        *(f"  subgraph cluster{at} {{ margin=2; {'; '.join(group)}; }}" for at, group in enumerate(groups)),
        *map(_tie, ties),
        "}",
    ]
    return "\n".join(lines) + "\n"


def _tie(tie: Tie) -> str:
    # An arrowhead of size 1 is 10 points long.
    head = f"arrowsize={tie.arrow / 10:.2f}" if tie.arrow else "arrowhead=none"
    return f"  {tie.tail} -> {tie.head} [weight={tie.weight}, {head}];"


def text(library: Library, tree: Tree) -> str:
    """A DOT file of a tree: each node with what it says, each answer an edge, `else` dashed."""
    return "\n".join(_lines(library, tree)) + "\n"


def _lines(library: Library, tree: Tree) -> Iterator[str]:
    yield f"digraph {name(tree.id)} {{"
    yield f"  label={quote(_fold(tree.title) + chr(10) + _fold(NOTICE, 80))}; labelloc=t;"
    yield '  node [fontname="DejaVu Sans"]; edge [fontname="DejaVu Sans"];'
    for node_id in node_ids(tree):
        node = tree.nodes.get(node_id)
        label = "\n".join(map(_fold, says(library, node))) if node else node_id
        yield f"  {name(node_id)} [shape={_SHAPES[kind_of(node)]}, label={quote(label)}];"
    for link in links(tree):
        words = answer_text(library, tree, link)
        style = "" if words else ", style=dashed"
        label = quote(_fold(words or CANNOT_TELL))
        yield f"  {name(link.source)} -> {name(link.target)} [key={name(link.key)}, label={label}{style}];"
    yield "}"


def _fold(words: str, widest: int = _WIDEST) -> str:
    import textwrap

    return "\n".join(textwrap.wrap(clean(words), widest)) or " "
