"""`diagtree draw TREE --out FILE`: the tree as a drawing."""

import json
import sys
from argparse import ArgumentParser, Namespace
from pathlib import Path
from typing import TYPE_CHECKING, Any

from diagtree.cli import shared

if TYPE_CHECKING:
    from diagtree.draw.picture import Picture
    from diagtree.model.engine import Engine
    from diagtree.model.library import Library
    from diagtree.model.tree import Tree

NAME = "draw"
HELP = "a tree as a drawing"

ENDINGS = (".pdf", ".svg", ".png", ".dot")
PAPER_NAMES = ("A4", "A3", "A2", "A1", "A0")


def add_arguments(parser: ArgumentParser) -> None:
    """The tree, the file, the paper."""
    parser.add_argument("tree", metavar="TREE", help="the tree's id")
    parser.add_argument("--out", metavar="FILE", required=True, help=f"the file; its ending says what: {_endings()}")
    parser.add_argument(
        "--paper",
        type=str.upper,
        choices=PAPER_NAMES,
        help="fit one sheet, upright or lying; without it the page is as large as the drawing",
    )
    parser.add_argument("--engine", metavar="ID", help="draw for this engine alone; else for each that the tree serves")
    shared.add_library(parser)
    shared.add_json(parser)


def run(args: Namespace) -> int:
    """Draw, write the file, say which."""
    path = Path(args.out)
    ending = path.suffix.lower()
    if ending not in ENDINGS:
        return shared.refuse(f"'{args.out}' does not say what to draw: end its name in {_endings()}.")
    if ending == ".dot" and args.paper:
        return shared.refuse("A .dot file has no paper: leave --paper out, or write a .pdf.")
    library = shared.load(args)
    if library is None:
        return shared.WRONG
    tree = shared.choose_tree(library, args.tree)
    if isinstance(tree, str):
        return shared.refuse(tree)
    engines = _engines(library, tree, args)
    return shared.refuse(engines) if isinstance(engines, str) else _draw(library, tree, engines, path, args)


def _endings() -> str:
    return f"{', '.join(ENDINGS[:-1])} or {ENDINGS[-1]}"


def _engines(library: "Library", tree: "Tree", args: Namespace) -> "tuple[Engine, ...] | str":
    from diagtree.graph.serving import served

    if not args.engine:
        return served(library, tree)
    engine = shared.choose_engine(library, args, tree)
    return engine if isinstance(engine, str) else (engine,)


def _draw(library: "Library", tree: "Tree", engines: "tuple[Engine, ...]", path: Path, args: Namespace) -> int:
    from diagtree.draw import compose, dot
    from diagtree.draw.refusal import Refusal
    from diagtree.draw.saving import save

    if path.suffix.lower() == ".dot":
        data, facts = dot.text(library, tree).encode(), _facts(path, tree, None)
    else:
        picture = compose.compose(library, tree, engines, args.paper or "")
        if isinstance(picture, Refusal):
            return shared.refuse(picture.sentence)
        data, facts = _painted(picture, path.suffix.lower()), _facts(path, tree, picture)
    refusal = save(path, data)
    if refusal:
        return shared.refuse(refusal.sentence)
    sys.stdout.write(json.dumps(facts) + "\n" if args.json else _sentence(facts))
    return shared.DONE


def _painted(picture: "Picture", ending: str) -> bytes:
    from diagtree.draw import pdf, png, svg

    if ending == ".pdf":
        return pdf.paint([picture])
    return svg.paint(picture) if ending == ".svg" else png.paint(picture)


def _facts(path: Path, tree: "Tree", picture: "Picture | None") -> dict[str, Any]:
    from diagtree.draw.picture import POINTS_PER_MM
    from diagtree.graph.trees import links, node_ids
    from diagtree.model.library import NOTICE

    facts = {"file": str(path), "nodes": len(node_ids(tree)), "edges": len(tuple(links(tree))), "paper": None}
    sizes: dict[str, Any] = {"width_mm": None, "height_mm": None, "smallest_pt": None}
    if picture is not None:
        facts["paper"] = picture.paper or None
        sizes = {
            "width_mm": round(picture.width / POINTS_PER_MM, 1),
            "height_mm": round(picture.height / POINTS_PER_MM, 1),
            "smallest_pt": round(picture.smallest, 2),
        }
    return {**facts, **sizes, "notice": NOTICE}


def _sentence(facts: dict[str, Any]) -> str:
    counts = f"{facts['nodes']} boxes, {facts['edges']} answers"
    if facts["width_mm"] is None:
        return shared.safe(f"Wrote {facts['file']}: {counts}.") + "\n"
    page = f"{facts['width_mm']:g} x {facts['height_mm']:g} mm"
    page = f"{facts['paper']}, {page}" if facts["paper"] else page
    return shared.safe(f"Wrote {facts['file']}: {counts}, {page}, smallest print {facts['smallest_pt']:.1f} pt.") + "\n"
