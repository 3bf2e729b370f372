"""`diagtree drill TREE`: practise on a car with a hidden fault."""

import json
import sys
from argparse import ArgumentParser, Namespace
from typing import TYPE_CHECKING

from diagtree.cli import shared, streams

if TYPE_CHECKING:
    from diagtree.practice.car import Bay
    from diagtree.practice.drill import Drill
    from diagtree.practice.trainee import Adviser

NAME = "drill"
HELP = "practise on a car with a hidden fault"

LEVELS = ("plain", "usual", "tricky")


def add_arguments(parser: ArgumentParser) -> None:
    """The tree, the car, the class."""
    parser.add_argument("tree", metavar="TREE", help="the complaint to practise")
    parser.add_argument("--fault", metavar="FAULT", help="the hidden fault; else it is drawn")
    parser.add_argument("--level", choices=LEVELS, default="usual", help="how misleading the answers are")
    parser.add_argument("--seed", type=_whole, metavar="N", help="the same number gives the same cars")
    parser.add_argument(
        "--class", dest="names", metavar="FILE", help="a list of names, one a line: all get the same cars"
    )
    parser.add_argument("--cars", type=_count, metavar="N", default=3, help="with --class: how many cars each")
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


def practised(drill: "Drill", args: Namespace) -> "Drill":
    """The drill as the trainee left it."""
    from diagtree.cli import talk
    from diagtree.term.practice import practise

    return practise(drill, talk.by_lines(apart=args.json))


def _one(bay: "Bay", args: Namespace) -> int:
    from diagtree.practice.car import draw
    from diagtree.practice.drill import begin
    from diagtree.practice.trainee import Adviser

    car = draw(bay, seed_of(args), fault=args.fault or "", level=args.level)
    if isinstance(car, str):
        return shared.refuse(car)
    drill = practised(begin(car), args)
    if drill.ended is None:
        if args.json:
            sys.stdout.write(json.dumps({"tree": bay.tree.id, "seed": args.seed, "left": True}) + "\n")
        return shared.DONE
    _tell(drill, Adviser(), args)
    return shared.DONE


def _tell(drill: "Drill", adviser: "Adviser", args: Namespace) -> None:
    from diagtree.practice.review import review
    from diagtree.report import drill as render
    from diagtree.report.lines import COLUMNS

    judged = review(drill, adviser)
    columns = streams.columns(sys.stdout, COLUMNS)
    again = f"\nThe same car again: --seed {args.seed} --level {args.level}\n"
    sys.stdout.write(render.as_json(judged, args.level) if args.json else f"\n{render.as_text(judged, columns)}{again}")


def _bay(args: Namespace) -> "Bay | str | None":
    library = shared.load(args)
    if library is None:
        return None
    tree = shared.choose_tree(library, args.tree)
    if isinstance(tree, str):
        return tree
    engine = shared.choose_engine(library, args, tree)
    if isinstance(engine, str):
        return engine
    chosen = shared.choose_builds(engine, args)
    if isinstance(chosen, str):
        return chosen

    from diagtree.graph.serving import suited
    from diagtree.practice.car import Bay

    return Bay(suited(library, engine), tree, engine, chosen[1])


def _whole(text: str) -> int:
    value = int(text)
    if not 0 <= value < 10**12:
        raise ValueError
    return value


def _count(text: str) -> int:
    value = int(text)
    if not 0 < value <= 1000:
        raise ValueError
    return value
