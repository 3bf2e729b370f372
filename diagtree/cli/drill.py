"""`diagtree drill TREE`: practise on a car with a hidden fault."""

import json
import sys
from argparse import ArgumentParser, Namespace
from typing import TYPE_CHECKING

from diagtree.cli import figures, shared, streams, talk

if TYPE_CHECKING:
    from diagtree.practice.car import Bay
    from diagtree.practice.drill import Drill
    from diagtree.practice.review import Review
    from diagtree.practice.trainee import Adviser
    from diagtree.term.practice import Practised

NAME = "drill"
HELP = "practise on a car with a hidden fault"

WORKING = "Working out what each choice was worth ..."
LEFT = "The drill was left. It has no result."
LEVELS = ("plain", "usual", "tricky")


def add_arguments(parser: ArgumentParser) -> None:
    """The tree, the car, the class."""
    parser.add_argument("tree", metavar="TREE", help="the complaint to practise")
    parser.add_argument("--fault", metavar="FAULT", help="the hidden fault; else it is drawn")
    parser.add_argument("--level", choices=LEVELS, default="usual", help="how misleading the answers are")
    parser.add_argument(
        "--seed", type=figures.whole(0, 10**12 - 1), metavar="N", help="the same number gives the same cars"
    )
    parser.add_argument(
        "--class", dest="names", metavar="FILE", help="a list of names, one a line: all get the same cars"
    )
    parser.add_argument(
        "--cars", type=figures.whole(1, 1000), metavar="N", default=3, help="with --class: how many cars each"
    )
    parser.add_argument("--results", metavar="FILE", help="with --class: where results are kept, to go on another day")
    parser.add_argument("--out", metavar="FILE", help="with --class: the sheet of results as a .csv too")
    parser.add_argument("--lines", action="store_true", help="ask line by line, in plain characters")
    shared.add_build(parser)
    shared.add_json(parser)


def run(args: Namespace) -> int:
    """One drill, or a class."""
    bay = _bay(args)
    if bay is None:
        return shared.WRONG
    if isinstance(bay, str):
        return shared.refuse(bay)
    if args.names is not None:
        from diagtree.cli.lessons import teach

        return teach(bay, args)
    if args.results or args.out:
        return shared.refuse("--results and --out are for a class: name its list with --class.")
    return _one(bay, args)


def seed_of(args: Namespace) -> int:
    """`--seed`, else a new one."""
    if args.seed is None:
        import secrets

        args.seed = secrets.randbelow(1_000_000)
    return int(args.seed)


def on_screen(args: Namespace) -> bool:
    """Whether the drill fills a screen."""
    return talk.screen(lines=args.lines or args.json)


def practised(drill: "Drill", adviser: "Adviser", args: Namespace, *, reviewed: bool) -> "Practised":
    """The drill as the trainee left it.

    Args:
        drill: as it begins.
        adviser: works out meanwhile what the review will ask.
        args: of the command.
        reviewed: whether the screen stays for the review.
    """
    from diagtree.practice.ahead import Ahead
    from diagtree.practice.review import review

    ahead = Ahead(adviser, drill) if talk.typed() else None
    look = ahead.look if ahead else None
    try:
        if on_screen(args):
            from diagtree.term.drill_screen import practise as by_keys

            judge = (lambda done: review(done, adviser)) if reviewed else None
            return by_keys(drill, judge=judge, look=look)
        from diagtree.term.practice import Practised
        from diagtree.term.practice import practise as by_lines

        return Practised(by_lines(drill, talk.by_lines(apart=args.json), look))
    finally:
        if ahead:
            ahead.stop()


def judged(left: "Practised", adviser: "Adviser") -> "Review":
    """The review, and word on a terminal that it takes a moment."""
    from diagtree.practice.review import review

    if left.judged:
        return left.judged
    shown = sys.stderr is not None and not sys.stderr.closed and sys.stderr.isatty()
    if shown:
        sys.stderr.write(f"{WORKING}\n")
        sys.stderr.flush()
    return review(left.drill, adviser)


def _one(bay: "Bay", args: Namespace) -> int:
    from diagtree.practice.car import draw
    from diagtree.practice.drill import begin
    from diagtree.practice.trainee import Adviser

    car = draw(bay, seed_of(args), fault=args.fault or "", level=args.level)
    if isinstance(car, str):
        return shared.refuse(car)
    adviser = Adviser()
    left = practised(begin(car), adviser, args, reviewed=True)
    if left.drill.ended is None:
        if left.interrupted:
            raise KeyboardInterrupt
        if args.json:
            sys.stdout.write(json.dumps({"tree": bay.tree.id, "seed": args.seed, "left": True}) + "\n")
        elif on_screen(args):
            sys.stdout.write(f"{LEFT}\n")
        return shared.DONE
    _tell(left, adviser, args)
    return shared.DONE


def _tell(left: "Practised", adviser: "Adviser", args: Namespace) -> None:
    """Print what it was worth. Whoever does not wait for that still learns what it was and what was paid."""
    from diagtree.report import drill as render
    from diagtree.report.lines import COLUMNS

    columns = streams.columns(sys.stdout, COLUMNS)
    again = f"\nThe same car again: --seed {args.seed} --level {args.level}\n"
    found = _waited_for(left, adviser)
    if found is None:
        (sys.stderr if args.json else sys.stdout).write(f"\n{render.facts_text(left.drill, columns)}{again}")
    else:
        shown = render.as_json(found, args.level) if args.json else f"\n{render.as_text(found, columns)}{again}"
        sys.stdout.write(shown)
    if found is None or left.interrupted:
        raise KeyboardInterrupt


def _waited_for(left: "Practised", adviser: "Adviser") -> "Review | None":
    """The review; None where it was interrupted."""
    if left.interrupted and not left.judged:
        return None
    try:
        return judged(left, adviser)
    except KeyboardInterrupt:
        return None


def _bay(args: Namespace) -> "Bay | str | None":
    library = shared.load(args)
    if library is None:
        return None
    tree = shared.choose_tree(library, args.tree)
    if isinstance(tree, str):
        return tree
    chosen = shared.choose_car(library, args, tree)
    if isinstance(chosen, str):
        return chosen
    engine, _, builds = chosen

    from diagtree.graph.serving import suited
    from diagtree.practice.car import Bay

    return Bay(suited(library, engine), tree, engine, builds)
