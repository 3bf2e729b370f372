"""`diagtree draw TREE --page FILE.html`: poster and walk of one build as one file, for a tablet at the car."""

import json
import sys
from argparse import Namespace
from pathlib import Path
from typing import TYPE_CHECKING

from diagtree.cli import shared

if TYPE_CHECKING:
    from diagtree.model.engine import Build, Engine
    from diagtree.model.library import Library
    from diagtree.model.tree import Tree

ENDING = ".html"


def run(args: Namespace) -> int:
    """Write the page, say which."""
    path = Path(args.page)
    wrong = _wrong(path, args)
    if wrong:
        return shared.refuse(wrong)
    library = shared.load(args)
    if library is None:
        return shared.WRONG
    chosen = _choose(library, args)
    if isinstance(chosen, str):
        return shared.refuse(chosen)

    from diagtree.draw.saving import save
    from diagtree.report.page.document import page
    from diagtree.walk.answers import Refused

    data = page(library, *chosen)
    if isinstance(data, Refused):
        return shared.refuse(data.sentence)
    refusal = save(path, data)
    if refusal:
        return shared.refuse(refusal.sentence)
    sys.stdout.write(_said(path, chosen, len(data), data=args.json))
    return shared.DONE


def _wrong(path: Path, args: Namespace) -> str:
    """The sentence that says what does not go together; empty where all does."""
    if path.suffix.lower() != ENDING:
        return f"'{args.page}' is no name for a page: end it in {ENDING}."
    if args.tree is None:
        return "Name the tree: diagtree draw TREE --page FILE.html."
    named = ("paper", "tiles", "belief", "even", "onward", "answer", "answers", "job")
    stated = [f"--{name}" for name in named if getattr(args, name)]
    return f"A page is of the whole tree, before any answer: leave {' and '.join(stated)} out." if stated else ""


def _choose(library: "Library", args: Namespace) -> "tuple[Tree, Engine, Build] | str":
    tree = shared.choose_tree(library, args.tree)
    if isinstance(tree, str):
        return tree
    engine = shared.choose_engine(library, args, tree)
    if isinstance(engine, str):
        return engine
    chosen = shared.choose_builds(engine, args)
    if isinstance(chosen, str):
        return chosen
    _, possible = chosen
    if len(possible) > 1:
        return f"A page is of one build: say which with --build: {', '.join(build.id for build in possible)}."
    return tree, engine, possible[0]


def _said(path: Path, chosen: "tuple[Tree, Engine, Build]", size: int, *, data: bool) -> str:
    from diagtree.model.library import NOTICE

    tree, engine, build = chosen
    if data:
        facts = {"file": str(path), "tree": tree.id, "engine": engine.id, "build": build.id, "bytes": size}
        return json.dumps({**facts, "notice": NOTICE}) + "\n"
    told = f"Wrote {path}: '{tree.title}' to walk and to read, {size // 1000} kB. Any browser opens it."
    return shared.safe(told) + "\n"
