"""`diagtree export TREE --out FILE`: a tree's knowledge as a Bayesian net, for other programs."""

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
HELP = "a tree's tables as a Bayesian net, for other programs"

ENDINGS = (".xml", ".xmlbif", ".graphml", ".json")


def add_arguments(parser: ArgumentParser) -> None:
    """The tree, the file, the engine."""
    parser.add_argument("tree", metavar="TREE", help="the tree's id")
    parser.add_argument(
        "--out", metavar="FILE", required=True, help="the file: .xml or .xmlbif (XMLBIF 0.3), .graphml or .json"
    )
    shared.add_build(parser)
    shared.add_json(parser)


def run(args: Namespace) -> int:
    """Write the net, say which file."""
    path = Path(args.out)
    if path.suffix.lower() not in ENDINGS:
        return shared.refuse(f"'{args.out}' does not say what to write: end its name in {', '.join(ENDINGS)}.")
    library = shared.load(args)
    if library is None:
        return shared.WRONG
    tree = shared.choose_tree(library, args.tree)
    if isinstance(tree, str):
        return shared.refuse(tree)
    made = _net(library, tree, args)
    return shared.refuse(made) if isinstance(made, str) else _write(library, tree, made, path, args)


def _net(library: "Library", tree: "Tree", args: Namespace) -> "tuple[Variable, ...] | str":
    engine = shared.choose_engine(library, args, tree)
    if isinstance(engine, str):
        return engine
    chosen = shared.choose_builds(engine, args)
    if isinstance(chosen, str):
        return chosen

    from diagtree.graph.serving import suited
    from diagtree.reason.net import net

    made = net(suited(library, engine), tree, chosen[1])
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
