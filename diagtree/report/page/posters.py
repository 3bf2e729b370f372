"""The posters of a page's trees, each as a drawing that stands in the page."""

import re

from diagtree.draw import showing, svg
from diagtree.draw.body import Show
from diagtree.draw.compose import HAND, Look, compose
from diagtree.draw.legend import Extras
from diagtree.draw.refusal import Refusal
from diagtree.model.engine import ONLY
from diagtree.model.tree import Tree
from diagtree.reason.flow import flow
from diagtree.report.page.ground import Ground

_HEAD = re.compile(r"^<\?xml[^>]*\?>\s*")
_STYLE = re.compile(r"<style>(.*?)</style>", re.DOTALL)


def poster(ground: Ground, tree: Tree) -> tuple[str, str] | Refusal:
    """A tree's drawing for the build as mark-up, and the text of its style, which the page's policy must name."""
    gone, passed = showing.left_out(ground.read, tree, (ground.build,))
    taken = flow(ground.read, tree, ground.engine, (ground.build,))
    widths, scale = showing.pens(tree, taken.links) if taken else ({}, ())
    named = ground.build.id if ground.build.id != ONLY else ""
    own = frozenset({ground.build.id})
    look = Look(Show(left_out=gone, builds=own, passed=passed, pens=widths), Extras(pens=scale, build=named))
    picture = compose(ground.read, tree, (ground.engine,), HAND, look)
    if isinstance(picture, Refusal):
        return picture
    text = _HEAD.sub("", svg.paint(picture).decode())
    # The painter writes the style before any word of the library but the title, in which `<` is escaped.
    style = _STYLE.search(text)
    return text, style[1] if style else ""
