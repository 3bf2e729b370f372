r"""A tree as DOT text, for other drawing programs.

Pure. Whatever an author wrote stays text: every label is a quoted string, never mark-up, with its backslashes,
quotes, line ends and ampersands escaped. (A backslash starts an escape in a label, `\N` among them; an ampersand
starts a character reference.)
"""

from collections.abc import Iterator, Mapping

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


def quote(text: str) -> str:
    r"""A DOT string for a label: the text shows as it stands, its line ends as centred line breaks."""
    escaped = text.replace("\\", "\\\\").replace('"', '\\"').replace("&", "&amp;")
    return '"' + escaped.replace("\r", "").replace("\n", "\\n").replace("\0", "") + '"'


def name(text: str) -> str:
    """A DOT string for a name. A backslash is doubled and stays so: one before a quote would swallow it."""
    return '"' + text.replace("\0", "").replace("\\", "\\\\").replace('"', '\\"') + '"'


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
