"""What a drawing shows beyond the tree: how often each line is taken, the path of one car, a single build."""

from collections.abc import Iterable, Mapping
from itertools import count as count_from

from diagtree.draw.path import SHADE
from diagtree.graph.trees import ELSE, Link, kind_of, links
from diagtree.model.engine import Build
from diagtree.model.library import Library
from diagtree.model.tree import Question, Tree, targets

Shares = Mapping[Link, float]

_THICKEST = 4.5  # natural width of a line that every car takes, in points
_THINNEST = 0.5
_SCALE = (1.0, 0.5, 0.25)  # shares that the legend shows
_DARKEST = 0.62  # ground of an end where every car ends; black type on it keeps a contrast of 7 to 1
_DARK_AT = 0.4  # from this share on the ground is as dark as that


def pens(tree: Tree, taken: Shares) -> tuple[Mapping[Link, float], tuple[tuple[float, str], ...]]:
    """Line widths in proportion to how often a line is taken, and the scale for the legend."""
    widths = {link: _pen(taken.get(link, 0.0)) for link in links(tree)}
    least = _THINNEST / _THICKEST
    scale = [(_pen(share), f"{share * 100:.0f}") for share in _SCALE]
    return widths, (*scale, (_THINNEST, f"{least * 100:.0f} or fewer"))


def _pen(share: float) -> float:
    return max(_THINNEST, _THICKEST * min(share, 1.0))


def belief(tree: Tree, nodes: Mapping[str, float]) -> tuple[Mapping[str, float], Mapping[str, str]]:
    """The ground of each end, darker the more cars end there, and how many in words."""
    ends = [name for name in tree.nodes if kind_of(tree.nodes[name]) != "question"]
    tones = {name: SHADE - (SHADE - _DARKEST) * min(nodes.get(name, 0.0) / _DARK_AT, 1.0) for name in ends}
    return tones, {name: count(nodes.get(name, 0.0)) for name in ends}


def belief_scale() -> tuple[tuple[float, str], ...]:
    """Grounds for the legend."""
    shades = ((0.0, "few"), (_DARK_AT / 2, "20"), (_DARK_AT, "40 and more"))
    return tuple((SHADE - (SHADE - _DARKEST) * share / _DARK_AT, words) for share, words in shades)


def count(share: float) -> str:
    """A chance as cars of one hundred, to the nearest five; never none and never all."""
    rounded = min(95, 5 * round(share * 20))
    return f"about {rounded} in 100" if rounded >= 5 else "fewer than 5 in 100"


def path(
    tree: Tree, steps: Iterable[tuple[str, str]], running: Iterable[int] = ()
) -> tuple[Mapping[str, int], frozenset[Link]]:
    """The path of one car: nodes with their numbers, and answers.

    Args:
        tree: the tree.
        steps: node and the answer's id (`else` where it could not be had; empty at the last).
        running: the number of each step; from 1 where absent. A path goes on with them in another tree.
    """
    numbers: dict[str, int] = {}
    taken: set[Link] = set()
    for number, (name, key) in zip(running or count_from(1), steps, strict=False):
        numbers[name] = number
        node = tree.nodes.get(name)
        target = (node.otherwise if key == ELSE else node.then.get(key, "")) if isinstance(node, Question) else ""
        if target:
            taken.add(Link(name, target, key))
    return numbers, frozenset(taken)


def left_out(library: Library, tree: Tree, builds: Iterable[Build]) -> tuple[frozenset[str], frozenset[str]]:
    """What some builds never meet: nodes that no path of theirs leads to; and the questions on their paths that do not
    apply to any of them, where `else` is taken unasked.
    """
    made = tuple(builds)
    passed = frozenset(node.id for node in tree.questions if not _applies(library, node, made))
    met: set[str] = set()
    waiting = [tree.start]
    while waiting:
        name = waiting.pop()
        node = tree.nodes.get(name)
        if name in met or node is None:
            continue
        met.add(name)
        waiting += [node.otherwise] if name in passed and isinstance(node, Question) else targets(node)
    return frozenset(name for name in tree.nodes if name not in met), passed & met


def _applies(library: Library, node: Question, builds: tuple[Build, ...]) -> bool:
    check = library.checks.get(node.check)
    return check is None or any(check.when.admits(build.features) for build in builds)
