"""Where a node stands on its tree's drawing: the address on the grid, the same on every paper and in the walk."""

from collections.abc import Mapping

from diagtree.draw.plan import lay_out
from diagtree.model.engine import Engine
from diagtree.model.library import Library
from diagtree.model.tree import Tree


def addresses(library: Library, tree: Tree, engine: Engine | None = None) -> Mapping[str, str]:
    """Node -> its address, such as C7, on the margin's letters and numbers.

    Args:
        library: as it was read. (A walk narrows its library to an engine: the words differ then, and so may places.)
        tree: the tree.
        engine: any that the tree serves. The address is the same for all of them, so this changes nothing: a poster
            for one engine and one for all name a box alike.

    Time: for a tree of 45 nodes about 0.2 s, most of it measuring words; call it once a walk.
    """
    del engine
    return lay_out(library, tree).grid.addresses
