"""`diagtree timing ENGINE`: the chain drive's geometry, and what camshaft offsets say."""

import sys
from argparse import ArgumentParser, Namespace
from typing import TYPE_CHECKING

from diagtree.cli import shared, streams

if TYPE_CHECKING:
    from diagtree.model.engine import Engine, Timing
    from diagtree.model.library import Library

NAME = "timing"
HELP = "the chain drive's geometry, and what camshaft offsets say"


def add_arguments(parser: ArgumentParser) -> None:
    """The engine and its offsets."""
    parser.add_argument("drive", metavar="ENGINE", help="the engine's id")
    parser.add_argument(
        "--offset",
        metavar="CAM=DEG",
        action="append",
        default=[],
        help="a camshaft's offset in crank degrees, positive = advanced; one for each camshaft",
    )
    parser.add_argument(
        "--uncertainty",
        metavar="U",
        help="of each offset, expanded (k = 2), in crank degrees; else that of the library's check of offsets",
    )
    shared.add_library(parser)
    shared.add_json(parser)


def run(args: Namespace) -> int:
    """Print the drive; 2 with a sentence where the engine or an offset does not fit."""
    library = shared.load(args)
    if library is None:
        return shared.WRONG
    engine = library.engines.get(args.drive)
    if engine is None:
        near = shared.nearest(args.drive, library.engines)
        return shared.refuse(f"The library has no engine '{args.drive}'. {near}")
    if engine.timing is None:
        return shared.refuse(_without_timing(library, engine))
    read = _read(library, engine.timing, args)
    if isinstance(read, str):
        return shared.refuse(read)

    from diagtree.measure.drive import Drive, weigh
    from diagtree.report import timing as render
    from diagtree.report.lines import COLUMNS

    given, uncertainty = read
    drive = weigh(engine.timing, given, uncertainty) if given else Drive(engine.timing)
    columns = streams.columns(sys.stdout, COLUMNS)
    sys.stdout.write(render.as_json(engine, drive) if args.json else render.as_text(engine, drive, columns))
    return shared.DONE


def _without_timing(library: "Library", engine: "Engine") -> str:
    timed = [one.id for one in library.engines.values() if one.timing]
    instead = f" {shared.nearest('', timed)}" if timed else ""
    return f"'{engine.id}' has no `timing`: its chain drive is not written.{instead}"


def _read(library: "Library", timing: "Timing", args: Namespace) -> tuple[dict[str, float], float] | str:
    """The offsets and their uncertainty, none and 0 where none is given; else the sentence that says what is wrong."""
    from diagtree.measure.offsets import parse_offsets, parse_uncertainty
    from diagtree.measure.trouble import Trouble

    if not args.offset:
        return "--uncertainty is that of offsets. Give them too: --offset CAM=DEG." if args.uncertainty else ({}, 0.0)
    found = parse_offsets(",".join(args.offset), tuple(timing.cams))
    if isinstance(found, Trouble):
        return found.message
    if args.uncertainty is None:
        stated = {one.offset_uncertainty for one in library.checks.values() if one.kind == "offsets"}
        if len(stated) != 1:
            return "Say how sure each offset is with --uncertainty, such as 2: expanded (k = 2), in crank degrees."
        return dict(found), stated.pop()
    uncertainty = parse_uncertainty(args.uncertainty)
    return uncertainty.message if isinstance(uncertainty, Trouble) else (dict(found), uncertainty)
