"""What `draw` is asked for: which tree, for which engines and builds, with which path, widths and shades."""

from argparse import Namespace
from dataclasses import dataclass
from typing import TYPE_CHECKING

from diagtree.cli import shared
from diagtree.cli.sessions import begun
from diagtree.draw import showing
from diagtree.draw.body import Show
from diagtree.draw.compose import Look, compose
from diagtree.draw.frame import Extras
from diagtree.draw.picture import Picture
from diagtree.draw.refusal import Refusal
from diagtree.graph.serving import builds, checks_of, served
from diagtree.model.engine import Build, Engine
from diagtree.model.library import Library
from diagtree.model.tree import Tree

if TYPE_CHECKING:
    from diagtree.reason.finding import Finding
    from diagtree.reason.flow import Flow
    from diagtree.walk.session import Session


@dataclass(frozen=True, slots=True)
class Wish:
    """A tree with everything that its drawing is to show."""

    tree: Tree
    engines: tuple[Engine, ...]
    look: Look


@dataclass(frozen=True, slots=True)
class _Cars:
    """Whose cars they are: builds by engine, and what was found on the one in the bay."""

    builds: tuple[tuple[Engine, tuple[Build, ...]], ...]
    findings: "tuple[Finding, ...]" = ()
    steps: tuple[tuple[str, str], ...] = ()  # the path through the tree: node and answer


def wish(library: Library, args: Namespace) -> Wish | str:
    """The wish of a command line, or the sentence that says why not."""
    session = _session(library, args)
    if isinstance(session, str):
        return session
    tree = (
        shared.choose_tree(library, args.tree) if args.tree or session is None else library.trees[session.case.tree.id]
    )
    if isinstance(tree, str):
        return tree
    cars = _cars(library, tree, args, session)
    if isinstance(cars, str):
        return cars
    flow = None if args.even and not args.belief else _flow(library, tree, cars)
    if args.belief and flow is None:
        return f"No table says how often cars end where in '{tree.id}': leave --belief out."
    if session and not cars.steps:
        return f"These answers never come to '{tree.id}': name the tree that they are of."
    return Wish(tree, tuple(engine for engine, _ in cars.builds), _look(library, tree, cars, flow, args))


def _look(library: Library, tree: Tree, cars: _Cars, flow: "Flow | None", args: Namespace) -> Look:
    numbers, taken = showing.path(tree, cars.steps)
    one = args.build or args.feature
    made = [build for _, each in cars.builds for build in each]
    gone, passed = showing.left_out(library, tree, made) if one else (frozenset[str](), frozenset[str]())
    widths, scale = showing.pens(tree, flow.links) if flow and not args.even and not cars.steps else ({}, ())
    tones, shares = showing.belief(tree, flow.nodes) if flow and args.belief else ({}, {})
    return Look(
        Show(gone, passed, numbers, taken, widths, tones, shares),
        Extras(
            inked=_whose(args) if cars.steps else "",
            pens=scale,
            tones=showing.belief_scale() if args.belief else (),
            build=", ".join(build.id for build in made) if one else "",
        ),
    )


def _whose(args: Namespace) -> str:
    return (
        f"the path of job {args.job}, its steps numbered"
        if args.job
        else "the path of these answers, its steps numbered"
    )


def _session(library: Library, args: Namespace) -> "Session | str | None":
    """The walk whose path is inked; None where no answers are given."""
    return begun(library, args) if args.answer or args.answers or args.job else None


def _steps(session: "Session", tree: Tree) -> tuple[tuple[str, str], ...]:
    from diagtree.walk.trail import trail

    return trail(session, tree.id)


def _cars(library: Library, tree: Tree, args: Namespace, session: "Session | None") -> _Cars | str:
    if session:
        found = tuple(session.known.findings.values())
        return _Cars(((session.case.engine, session.known.builds),), found, _steps(session, tree))
    if not args.engine and not args.build and not args.feature:
        return _Cars(tuple((engine, builds(engine)) for engine in served(library, tree)))
    engine = shared.choose_engine(library, args, tree)
    if isinstance(engine, str):
        return engine
    chosen = shared.choose_builds(engine, args)
    return chosen if isinstance(chosen, str) else _Cars(((engine, chosen[1]),))


def _flow(library: Library, tree: Tree, cars: _Cars) -> "Flow | None":
    """How often each line is taken; over several engines, each counts alike."""
    if not any(check.given for check in checks_of(library, tree)):  # no table: nothing to load numpy for
        return None
    from diagtree.reason.flow import flow, mean

    found = [flow(library, tree, engine, made, cars.findings) for engine, made in cars.builds]
    return mean([one for one in found if one])


def compose_wish(library: Library, made: Wish, paper: str) -> Picture | Refusal:
    """The picture of a wish."""
    return compose(library, made.tree, made.engines, paper, made.look)


def further(library: Library, made: Wish, paper: str) -> list[Picture] | Refusal:
    """The trees that a tree goes on in, at first or later, each once, in plain lines."""
    pictures: list[Picture] = []
    waiting, met = [node.tree for node in made.tree.onwards], {made.tree.id}
    while waiting:
        name = waiting.pop(0)
        if name in met or name not in library.trees:
            continue
        met.add(name)
        tree = library.trees[name]
        waiting += [node.tree for node in tree.onwards]
        picture = compose(library, tree, made.engines, paper)
        if isinstance(picture, Refusal):
            return Refusal(f"'{name}': {picture.sentence}")
        pictures.append(picture)
    return pictures
