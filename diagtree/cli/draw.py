"""`diagtree draw TREE --out FILE`: the tree as a drawing."""

import json
import sys
from argparse import ArgumentParser, ArgumentTypeError, Namespace
from pathlib import Path
from typing import TYPE_CHECKING, Any

from diagtree.cli import shared

if TYPE_CHECKING:
    from diagtree.cli.drawing import Wish
    from diagtree.draw.picture import Picture
    from diagtree.draw.refusal import Refusal
    from diagtree.model.library import Library

NAME = "draw"
HELP = "a tree as a drawing"

ENDINGS = (".pdf", ".svg", ".png", ".dot", ".graphml")
BARE = (".dot", ".graphml")  # the graph, without places
PAPER_NAMES = (
    "A4", "A3", "A2", "A1", "A0", "Letter", "Tabloid", "Arch-A", "Arch-B", "Arch-C", "Arch-D", "Arch-E",
)  # fmt: skip
LEAST_DPI, DPI, MOST_DPI = 10, 150, 1200


def add_arguments(parser: ArgumentParser) -> None:
    """The tree, the file, the paper; whose drawing it is."""
    parser.add_argument("tree", metavar="TREE", nargs="?", help="the tree's id; with --job that of the job")
    file = parser.add_mutually_exclusive_group(required=True)
    file.add_argument("--out", metavar="FILE", help=f"the file; its ending says what: {_endings()}")
    file.add_argument("--page", metavar="FILE.html", help="poster and walk of one build as one web page, for a tablet")
    parser.add_argument(
        "--paper",
        type=_paper,
        metavar="PAPER",
        help=f"fit one sheet, upright or lying: {', '.join(PAPER_NAMES)}; else the page is as large as the drawing",
    )
    parser.add_argument(
        "--tiles", type=_paper, metavar="PAPER", help="cut the sheet into small ones, with marks, a scale and a map"
    )
    parser.add_argument("--belief", action="store_true", help="shade each end by how often a car ends there")
    parser.add_argument("--even", action="store_true", help="all lines of one width, however often they are taken")
    parser.add_argument("--onward", action="store_true", help="the trees that it goes on in as further pages (.pdf)")
    parser.add_argument(
        "--dpi", type=_dpi, default=DPI, metavar="N", help=f"dots per inch of a .png; {DPI} where absent"
    )
    shared.add_build(parser)
    shared.add_answers(parser)
    shared.add_json(parser)


def run(args: Namespace) -> int:
    """Draw, write the file, say which."""
    from diagtree.source.collector import paused

    with paused():
        return _run(args)


def _run(args: Namespace) -> int:
    if args.page is not None:
        from diagtree.cli.paging import run as write_page

        return write_page(args)
    path = Path(args.out)
    wrong = _wrong(path.suffix.lower(), args)
    if wrong:
        return shared.refuse(wrong)
    library = shared.load(args)
    if library is None:
        return shared.WRONG

    from diagtree.cli.drawing import wish

    made = wish(library, args)
    return shared.refuse(made) if isinstance(made, str) else _write(library, made, path, args)


def _endings() -> str:
    return f"{', '.join(ENDINGS[:-1])} or {ENDINGS[-1]}"


def _paper(text: str) -> str:
    found = next((name for name in PAPER_NAMES if name.lower() == text.lower()), None)
    if found is None:
        message = f"there is no paper '{text}': take one of {', '.join(PAPER_NAMES)}"
        raise ArgumentTypeError(message)
    return found


def _dpi(text: str) -> int:
    value = int(text) if text.isdecimal() and len(text) < 9 else 0
    if not LEAST_DPI <= value <= MOST_DPI:
        message = f"'{text}' is no whole number from {LEAST_DPI} to {MOST_DPI}"
        raise ArgumentTypeError(message)
    return value


def _wrong(ending: str, args: Namespace) -> str:
    """The sentence that says what does not go together; empty where all does."""
    if ending not in ENDINGS:
        return f"'{args.out}' does not say what to draw: end its name in {_endings()}."
    if ending in BARE:
        stated = [f"--{name}" for name in ("paper", "tiles", "belief", "onward") if getattr(args, name)]
        return (
            f"A {ending} file has no paper and no shades: leave {' and '.join(stated)} out, or write a .pdf."
            if stated
            else ""
        )
    for name in ("tiles", "onward"):
        if getattr(args, name) and ending != ".pdf":
            return f"--{name} makes several pages: write a .pdf."
    if args.tiles and args.onward:
        return "--tiles and --onward do not go together: cut one tree at a time."
    return ""


def _write(library: "Library", made: "Wish", path: Path, args: Namespace) -> int:
    from diagtree.draw.refusal import Refusal
    from diagtree.draw.saving import save

    ending = path.suffix.lower()
    if ending in BARE:
        data, facts = _bare(library, made, ending), _facts(path, made, None)
    else:
        painted = _painted(library, made, path, args)
        if isinstance(painted, Refusal):
            return shared.refuse(painted.sentence)
        data, facts = painted
    refusal = save(path, data)
    if refusal:
        return shared.refuse(refusal.sentence)
    sys.stdout.write(json.dumps(facts) + "\n" if args.json else _sentence(facts))
    return shared.DONE


def _bare(library: "Library", made: "Wish", ending: str) -> bytes:
    from diagtree.draw import dot, graphml
    from diagtree.draw.addresses import addresses

    if ending == ".dot":
        return dot.text(library, made.tree).encode()
    return graphml.text(library, made.tree, addresses(library, made.tree))


def _painted(library: "Library", made: "Wish", path: Path, args: Namespace) -> "tuple[bytes, dict[str, Any]] | Refusal":
    """The file's bytes, and what is to be said of it."""
    from diagtree.cli.drawing import compose_wish
    from diagtree.draw.compose import HAND, WALL
    from diagtree.draw.refusal import Refusal

    picture = compose_wish(library, made, args.paper or (WALL if args.tiles else HAND))
    if isinstance(picture, Refusal):
        return picture
    facts = _facts(path, made, picture)
    if path.suffix.lower() == ".svg":
        from diagtree.draw import svg

        return svg.paint(picture), facts
    if path.suffix.lower() == ".png":
        from diagtree.draw import png

        return png.paint(picture, args.dpi), facts
    pages = _pages(library, made, picture, args)
    return pages if isinstance(pages, Refusal) else (pages[0], {**facts, **pages[1]})


def _pages(
    library: "Library", made: "Wish", picture: "Picture", args: Namespace
) -> "tuple[bytes, dict[str, Any]] | Refusal":
    """A PDF: one sheet, that sheet on small ones, or the trees that it goes on in behind it."""
    from diagtree.draw import pdf, tiles
    from diagtree.draw.paper import PAPERS

    if args.tiles:
        cut = tiles.tiling(picture, PAPERS[args.tiles])
        sheets = {"paper": args.tiles, "rows": cut.rows, "columns": cut.columns}
        return tiles.paint(picture, PAPERS[args.tiles]), {"tiles": sheets, "pages": cut.rows * cut.columns + 1}
    if not args.onward:
        return pdf.paint([picture]), {}
    from diagtree.cli.drawing import further

    more = further(library, made, args.paper or "")
    return (pdf.paint([picture, *more]), {"pages": 1 + len(more)}) if isinstance(more, list) else more


def _facts(path: Path, made: "Wish", picture: "Picture | None") -> dict[str, Any]:
    from diagtree.draw.picture import POINTS_PER_MM
    from diagtree.graph.trees import links, node_ids
    from diagtree.model.library import NOTICE

    facts = {"file": str(path), "tree": made.tree.id, "nodes": len(node_ids(made.tree))}
    facts |= {"edges": len(tuple(links(made.tree))), "paper": None}
    sizes: dict[str, Any] = {"width_mm": None, "height_mm": None, "smallest_pt": None, "connectors": None}
    if picture is not None:
        facts |= {"nodes": len(picture.nodes), "edges": len(picture.lines), "paper": picture.paper or None}
        sizes = {
            "width_mm": round(picture.width / POINTS_PER_MM, 1),
            "height_mm": round(picture.height / POINTS_PER_MM, 1),
            "smallest_pt": round(picture.smallest, 2),
            "connectors": len(picture.references),
        }
    return {**facts, **sizes, "tiles": None, "pages": 1, "notice": NOTICE}


def _sentence(facts: dict[str, Any]) -> str:
    counts = f"{facts['nodes']} boxes, {facts['edges']} answers"
    if facts["width_mm"] is None:
        return shared.safe(f"Wrote {facts['file']}: {counts}.") + "\n"
    page = f"{facts['width_mm']:g} x {facts['height_mm']:g} mm"
    page = f"{facts['paper']}, {page}" if facts["paper"] else page
    cut = facts["tiles"]
    joined = f", on {cut['rows']} x {cut['columns']} sheets {cut['paper']} and a map" if cut else ""
    end = f"smallest print {facts['smallest_pt']:.1f} pt."
    return shared.safe(f"Wrote {facts['file']}: {counts}, {page}{joined}, {end}") + "\n"
