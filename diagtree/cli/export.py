"""`diagtree export`: a tree's knowledge as a Bayesian net, or the closed jobs as Parquet, for other programs."""

import json
import sys
from argparse import ArgumentParser, Namespace
from pathlib import Path
from typing import TYPE_CHECKING

from diagtree.cli import shared

if TYPE_CHECKING:
    from diagtree.model.library import Library
    from diagtree.model.tree import Tree
    from diagtree.reason.net import Variable

NAME = "export"
HELP = "a tree as a Bayesian net, or the closed jobs, for other programs"

ENDINGS = (".xml", ".xmlbif", ".graphml", ".json")
JOBS = ".parquet"


def add_arguments(parser: ArgumentParser) -> None:
    """The tree, the file, the engine."""
    parser.add_argument("tree", nargs="?", metavar="TREE", help="the tree's id; none for the closed jobs")
    parser.add_argument(
        "--out",
        metavar="FILE",
        required=True,
        help="the file: .xml or .xmlbif (XMLBIF 0.3), .graphml or .json of a tree, .parquet of the jobs",
    )
    parser.add_argument("--jobs", metavar="FILE", help="the store (else $DIAGTREE_JOBS, else your own)")
    shared.add_build(parser)
    shared.add_json(parser)


def run(args: Namespace) -> int:
    """Write the net, say which file."""
    path = Path(args.out)
    if path.suffix.lower() == JOBS:
        return _jobs(path, args)
    if args.tree is None:
        return shared.refuse("Say which tree, or end the file's name in .parquet for the closed jobs.")
    if path.suffix.lower() not in ENDINGS:
        return shared.refuse(f"'{args.out}' does not say what to write: end its name in {', '.join((*ENDINGS, JOBS))}.")
    library = shared.load(args)
    if library is None:
        return shared.WRONG
    tree = shared.choose_tree(library, args.tree)
    if isinstance(tree, str):
        return shared.refuse(tree)
    made = _net(library, tree, args)
    return shared.refuse(made) if isinstance(made, str) else _write(library, tree, made, path, args)


def _jobs(path: Path, args: Namespace) -> int:
    if args.tree is not None:
        return shared.refuse("A .parquet file holds the closed jobs of all trees: leave the tree out.")
    from diagtree.cli.sessions import opened
    from diagtree.jobs.handing import Unkept
    from diagtree.jobs.parquet import write

    store = opened(args, making=False)
    if isinstance(store, str):
        return shared.refuse(store)
    if store is None:
        return shared.refuse("There are no jobs yet: a walk on a terminal keeps one.")
    try:
        rows = write(store, path)
    except OSError as error:
        return shared.refuse(f"{path} can't be written ({shared.safe(str(error))[:200]}).")
    finally:
        store.close()
    if isinstance(rows, Unkept):
        return shared.refuse(rows.sentence)
    facts = {"file": str(path), "rows": rows}
    told = f"Wrote {path}: {rows} answers of closed jobs."
    sys.stdout.write(json.dumps(facts) + "\n" if args.json else shared.safe(told) + "\n")
    return shared.DONE


def _net(library: "Library", tree: "Tree", args: Namespace) -> "tuple[Variable, ...] | str":
    chosen = shared.choose_car(library, args, tree)
    if isinstance(chosen, str):
        return chosen
    engine, _, builds = chosen

    from diagtree.graph.serving import suited
    from diagtree.reason.net import net

    made = net(suited(library, engine), tree, builds)
    return made or f"No cause of '{tree.id}' has a weight in these builds: there is nothing to write."


def _write(library: "Library", tree: "Tree", made: "tuple[Variable, ...]", path: Path, args: Namespace) -> int:
    from diagtree.draw.saving import save
    from diagtree.report.net import BY_ENDING

    refusal = save(path, BY_ENDING[path.suffix.lower()](library, tree, made).encode())
    if refusal:
        return shared.refuse(refusal.sentence)
    facts = {"file": str(path), "nodes": len(made), "arcs": sum(len(one.parents) for one in made)}
    told = f"Wrote {facts['file']}: {facts['nodes']} nodes, {facts['arcs']} arcs."
    sys.stdout.write(json.dumps(facts) + "\n" if args.json else shared.safe(told) + "\n")
    return shared.DONE
