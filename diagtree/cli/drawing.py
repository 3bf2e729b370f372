"""What `draw` is asked for: which tree, for which engines and builds, with which path, widths and shades."""

from argparse import Namespace
from dataclasses import dataclass
from typing import TYPE_CHECKING

from diagtree.cli import shared
from diagtree.cli.sessions import begun_job
from diagtree.draw import showing
from diagtree.draw.body import Show
from diagtree.draw.compose import Look, compose
from diagtree.draw.legend import Extras
from diagtree.draw.picture import Picture
from diagtree.draw.refusal import Refusal
from diagtree.graph.serving import builds, checks_of, served
from diagtree.model.engine import ONLY, Build, Engine
from diagtree.model.library import Library
from diagtree.model.tree import Tree

if TYPE_CHECKING:
    from collections.abc import Mapping

    from diagtree.graph.trees import Link
    from diagtree.jobs.record import Job
    from diagtree.reason.finding import Finding
    from diagtree.reason.flow import Flow
    from diagtree.walk.session import Session


_LONGEST = 60  # characters that a title block has for a job and its vehicle


@dataclass(frozen=True, slots=True)
class Wish:
    """A tree with everything that its drawing is to show."""

    tree: Tree
    engines: tuple[Engine, ...]
    look: Look
    cars: "_Cars"


@dataclass(frozen=True, slots=True)
class _Cars:
    """Whose cars they are: builds by engine, and what was found on the one in the bay."""

    builds: tuple[tuple[Engine, tuple[Build, ...]], ...]
    narrowed: bool = False  # not all builds of the engine: a drawing of these alone
    session: "Session | None" = None  # the walk whose path is inked
    job: "Job | None" = None  # that holds it

    @property
    def findings(self) -> "tuple[Finding, ...]":
        """What was found on the car."""
        return tuple(self.session.known.findings.values()) if self.session else ()


def wish(library: Library, args: Namespace) -> Wish | str:
    """The wish of a command line, or the sentence that says why not."""
    begun = begun_job(library, args) if args.answer or args.answers or args.job else (None, None)
    if isinstance(begun, str):
        return begun
    session, job = begun
    tree = (
        shared.choose_tree(library, args.tree) if args.tree or session is None else library.trees[session.case.tree.id]
    )
    if isinstance(tree, str):
        return tree
    cars = (
        _Cars(((session.case.engine, session.known.builds),), _narrowed(session), session, job)
        if session
        else (_cars(library, tree, args))
    )
    if isinstance(cars, str):
        return cars
    flow = None if args.even and not args.belief else _flow(library, tree, cars)
    if args.belief and flow is None:
        return f"No table says how often cars end where in '{tree.id}': leave --belief out."
    if session and not _running(session, tree):
        return f"These answers never come to '{tree.id}': name the tree that they are of."
    engines = tuple(engine for engine, _ in cars.builds)
    return Wish(tree, engines, _look(library, tree, cars, args, flow), cars)


def _look(library: Library, tree: Tree, cars: _Cars, args: Namespace | None = None, flow: "Flow | None" = None) -> Look:
    """What is shown of a tree; without options its lines are even, as on further pages."""
    belief = args is not None and args.belief
    widths = args is not None and not args.even
    numbers, taken = _path(tree, cars.session)
    made = [build for _, each in cars.builds for build in each] if cars.narrowed else []
    gone, passed = showing.left_out(library, tree, made) if made else (frozenset[str](), frozenset[str]())
    pens, scale = showing.pens(tree, flow.links) if flow and widths and not cars.session else ({}, ())
    tones, shares = showing.belief(tree, flow.nodes) if flow and belief else ({}, {})
    own = [build.id for build in made]
    return Look(
        # What the car was seen to come to is drawn, whatever was told of its build since.
        Show(gone - set(numbers), frozenset(own), passed, numbers, taken, pens, tones, shares),
        Extras(
            inked=_inked(library, tree, cars),
            pens=scale,
            tones=showing.belief_scale() if belief else (),
            build=", ".join(own) if own != [ONLY] else "",
            job=_job(cars.job),
        ),
    )


def _path(tree: Tree, session: "Session | None") -> "tuple[Mapping[str, int], frozenset[Link]]":
    if session is None:
        return {}, frozenset()
    from diagtree.walk.trail import trail

    return showing.path(tree, trail(session, tree.id), _running(session, tree))


def _running(session: "Session", tree: Tree) -> list[int]:
    """Which of the walk's stops are in a tree, from 1: the numbers run on where it goes on in another."""
    return [number for number, stop in enumerate(session.route.stops, 1) if stop.tree.id == tree.id]


def _inked(library: Library, tree: Tree, cars: _Cars) -> str:
    """Whose path it is, and where it goes on where that is in another tree; empty where none is drawn."""
    if cars.session is None:
        return ""
    running = _running(cars.session, tree)
    if not running:
        return ""
    whose = f"job {cars.job.number}" if cars.job else "these answers"
    stops = cars.session.route.stops
    said = f"the path of {whose}, its steps numbered"
    if running[-1] == len(stops):
        return said
    from diagtree.draw.addresses import addresses

    following = stops[running[-1]]
    at = addresses(library, library.trees[following.tree.id])[following.node.id]
    return f"{said}; ({running[-1] + 1}) is at {at} of '{following.tree.title}'"


def _job(job: "Job | None") -> str:
    """A job as the title block names it."""
    if job is None:
        return ""
    words = f"Job {job.number} \N{MIDDLE DOT} {job.vehicle}" if job.vehicle else f"Job {job.number}"
    return words if len(words) <= _LONGEST else f"{words[: _LONGEST - 1]}\N{HORIZONTAL ELLIPSIS}"


def _narrowed(session: "Session") -> bool:
    return len(session.known.builds) < len(builds(session.case.engine))


def _cars(library: Library, tree: Tree, args: Namespace) -> _Cars | str:
    if not args.engine and not args.build and not args.feature:
        return _Cars(tuple((engine, builds(engine)) for engine in served(library, tree)))
    engine = shared.choose_engine(library, args, tree)
    if isinstance(engine, str):
        return engine
    chosen = shared.choose_builds(engine, args)
    if isinstance(chosen, str):
        return chosen
    return _Cars(((engine, chosen[1]),), narrowed=bool(args.build or args.feature))


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
    """The trees that a tree goes on in, at first or later, each once, in even lines: for the same builds, and with the
    path where it goes on there.
    """
    pictures: list[Picture] = []
    waiting, met = [node.tree for node in made.tree.onwards], {made.tree.id}
    while waiting:
        name = waiting.pop(0)
        if name in met or name not in library.trees:
            continue
        met.add(name)
        tree = library.trees[name]
        waiting += [node.tree for node in tree.onwards]
        look = _look(library, tree, made.cars)
        picture = compose(library, tree, made.engines, paper, look)
        if isinstance(picture, Refusal):
            return Refusal(f"'{name}': {picture.sentence}")
        pictures.append(picture)
    return pictures
