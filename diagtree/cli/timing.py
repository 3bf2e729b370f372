"""`diagtree timing ENGINE`: the chain drive's geometry, and what camshaft offsets say."""

import sys
from argparse import ArgumentParser, Namespace
from typing import TYPE_CHECKING, NamedTuple

from diagtree.cli import shared, streams

if TYPE_CHECKING:
    from diagtree.measure.tracing import Traced
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
    parser.add_argument(
        "--trace", metavar="FILE", help="the offsets from a trace of the crank and camshaft sensors: a CSV file"
    )
    parser.add_argument(
        "--good",
        metavar="FILE",
        help="a good engine's trace to compare with (else the pattern in `sensors`); alone: print its pattern",
    )
    parser.add_argument("--svg", metavar="FILE", help="draw the trace's edges against the good ones")
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
    if args.good and not args.trace:
        return _keep(engine, engine.timing, args)
    read = _read(library, engine.timing, args)
    if isinstance(read, str):
        return shared.refuse(read)
    refused = _draw(read.traced, args)
    return shared.refuse(refused) if refused else _report(engine, engine.timing, read, args)


class _Given(NamedTuple):
    """The offsets as given; none: only the geometry is asked for."""

    offsets: dict[str, float]
    uncertainty: float
    traced: "Traced | None" = None


def _report(engine: "Engine", timing: "Timing", given: _Given, args: Namespace) -> int:
    from diagtree.measure.drive import Drive, weigh
    from diagtree.report import timing as render
    from diagtree.report.lines import COLUMNS

    drive = weigh(timing, given.offsets, given.uncertainty) if given.offsets else Drive(timing)
    columns = streams.columns(sys.stdout, COLUMNS)
    traced = given.traced
    text = render.as_json(engine, drive, traced) if args.json else render.as_text(engine, drive, columns, traced)
    sys.stdout.write(text)
    return shared.DONE


def _keep(engine: "Engine", timing: "Timing", args: Namespace) -> int:
    """Print the pattern of a good trace, to be kept in the library."""
    from diagtree.measure.tracing import pattern_of, read_trace
    from diagtree.measure.trouble import Trouble
    from diagtree.report import timing as render

    if args.offset or args.svg:
        return shared.refuse("--good alone prints a pattern. Give the trace in question too: --trace FILE.")
    trace = read_trace(args.good)
    kept = trace if isinstance(trace, Trouble) else pattern_of(timing, trace)
    if isinstance(kept, Trouble):
        return shared.refuse(kept.message)
    sys.stdout.write(render.pattern_json(engine, kept) if args.json else render.pattern_text(engine, kept))
    return shared.DONE


def _draw(traced: "Traced | None", args: Namespace) -> str | None:
    """Save the drawing where it is asked for; the sentence that says why not."""
    if args.svg is None:
        return None
    if traced is None:
        return "--svg draws a trace. Give it too: --trace FILE."
    from pathlib import Path

    from diagtree.draw.saving import save
    from diagtree.report.traces import as_svg

    refused = save(Path(args.svg), as_svg(traced).encode())
    return refused.sentence if refused else None


def _without_timing(library: "Library", engine: "Engine") -> str:
    timed = [one.id for one in library.engines.values() if one.timing]
    instead = f" {shared.nearest('', timed)}" if timed else ""
    return f"'{engine.id}' has no `timing`: its chain drive is not written.{instead}"


def _read(library: "Library", timing: "Timing", args: Namespace) -> "_Given | str":
    """The offsets and how sure they are, none where none is given; else the sentence that says what is wrong."""
    from diagtree.measure.offsets import parse_offsets
    from diagtree.measure.trouble import Trouble

    if args.trace:
        return _traced(library, timing, args)
    if not args.offset:
        without = "--uncertainty is that of offsets. Give them too: --offset CAM=DEG."
        return without if args.uncertainty else _Given({}, 0.0)
    found = parse_offsets(",".join(args.offset), tuple(timing.cams))
    if isinstance(found, Trouble):
        return found.message
    uncertainty = _stated(library, args)
    if uncertainty is None:
        return "Say how sure each offset is with --uncertainty, such as 2: expanded (k = 2), in crank degrees."
    return uncertainty if isinstance(uncertainty, str) else _Given(dict(found), uncertainty)


def _traced(library: "Library", timing: "Timing", args: Namespace) -> "_Given | str":
    """The offsets of a trace, with the larger of its own uncertainty and the stated one."""
    from diagtree.measure.tracing import from_files
    from diagtree.measure.trouble import Trouble

    if args.offset:
        return "--offset and --trace both say where the camshafts stand. Keep one of them."
    stated = _stated(library, args)
    if isinstance(stated, str):
        return stated
    traced = from_files(timing, args.trace, args.good or "")
    if isinstance(traced, Trouble):
        return traced.message
    return _Given(traced.offsets, max(traced.uncertainty, stated or 0.0), traced)


def _stated(library: "Library", args: Namespace) -> float | str | None:
    """How sure offsets are: as typed, else as the library's check says; None where nothing does."""
    from diagtree.measure.offsets import parse_uncertainty
    from diagtree.measure.trouble import Trouble

    if args.uncertainty is None:
        stated = {one.offset_uncertainty for one in library.checks.values() if one.kind == "offsets"}
        return stated.pop() if len(stated) == 1 else None
    uncertainty = parse_uncertainty(args.uncertainty)
    return uncertainty.message if isinstance(uncertainty, Trouble) else uncertainty
