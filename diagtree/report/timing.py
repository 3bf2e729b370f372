"""A chain drive as JSON and as text: its geometry, and what offsets say."""

import json
from collections.abc import Iterator
from typing import TYPE_CHECKING, Any

from diagtree.measure import chain
from diagtree.measure.drive import Drive
from diagtree.model.engine import Engine
from diagtree.model.library import NOTICE
from diagtree.report import offsets
from diagtree.report.dialogue import fold
from diagtree.report.lines import COLUMNS, pad, wrap

if TYPE_CHECKING:
    from diagtree.measure.tracing import Kept, Traced

STEPS = (0.005, 0.01, 0.015, 0.02)  # elongations in the table
LATE = 10.0  # crank degrees in its last column


def as_json(engine: Engine, drive: Drive, traced: "Traced | None" = None) -> str:
    """The drive as one JSON object."""
    return json.dumps(as_data(engine, drive, traced), indent=2, allow_nan=False) + "\n"


def pattern_json(engine: Engine, kept: "Kept") -> str:
    """A good engine's pattern as one JSON object."""
    from diagtree.report import traces

    data = {"engine": engine.id, "pattern": traces.kept_data(kept), "notice": NOTICE}
    return json.dumps(data, indent=2, allow_nan=False) + "\n"


def pattern_text(engine: Engine, kept: "Kept") -> str:
    """A good engine's pattern as lines of YAML, to be kept in the library. They are not folded."""
    from diagtree.report import traces

    head = f"Chain drive: {engine.title}"
    return "".join(f"{line}\n" for line in (head, *traces.kept_lines(kept), "", *wrap(NOTICE)))


def as_data(engine: Engine, drive: Drive, traced: "Traced | None" = None) -> dict[str, Any]:
    """The drive with ids as in the files: mm, crank degrees, elongation as a fraction.

    `patterns` is empty and `elongation` null without offsets. `elongation_to_degrees` times an elongation is how late
    that camshaft runs. `trace` is null where the offsets come from none.
    """
    timing, found, stretch = drive.timing, drive.pattern, drive.elongation
    return {
        "engine": engine.id,
        "pitch_diameter": {
            "crank": chain.pitch_diameter(timing.pitch, timing.crank_teeth),
            "cam": chain.pitch_diameter(timing.pitch, timing.cam_teeth),
        },
        "degrees_per_tooth": chain.degrees_per_tooth(timing.crank_teeth),
        "realign_crank_turns": chain.realign_turns(timing.links, timing.crank_teeth) if timing.links else None,
        "patterns": dict(found.shares) if found else {},
        "elongation": {"estimate": stretch.estimate, "low": stretch.low, "high": stretch.high} if stretch else None,
        "clear": found.clear if found else None,
        "likeliest": found.likeliest if found else None,
        "measure_again": _again(drive),
        "uncertainty": drive.uncertainty,
        "trace": _trace(traced),
        "camshafts": {name: _camshaft(drive, name) for name in timing.cams},
        "notice": NOTICE,
    }


def _trace(traced: "Traced | None") -> dict[str, Any] | None:
    if traced is None:
        return None
    from diagtree.report import traces  # here, so that offsets as typed are weighed without numpy

    return traces.as_data(traced)


def _again(drive: Drive) -> dict[str, Any] | None:
    if drive.again is None:
        return None
    return {"camshaft": drive.again.cam, "moved": drive.again.moved, "patterns": dict(drive.again.without.shares)}


def _camshaft(drive: Drive, name: str) -> dict[str, Any]:
    timing = drive.timing
    cam = timing.cams[name]
    found: dict[str, Any] = {
        "bank": cam.bank,
        "span": cam.span,
        "elongation_to_degrees": chain.degrees_late(timing, name),
    }
    if name in drive.offsets and drive.uncertainty is not None:
        alone = chain.elongation_of(timing, name, drive.offsets[name], drive.uncertainty)
        found["offset"] = drive.offsets[name]
        found["elongation_alone"] = {"estimate": alone.estimate, "uncertainty": alone.uncertainty}
    return found


def as_text(engine: Engine, drive: Drive, columns: int = COLUMNS, traced: "Traced | None" = None) -> str:
    """The drive for people in at most `columns` cells."""
    head = [*_geometry(engine, drive), "", *_table(drive, columns), *_traced(traced, columns)]
    return fold([*head, *_weighed(drive, columns), *_scatter_alone(drive, traced), "", NOTICE], columns)


def _scatter_alone(drive: Drive, traced: "Traced | None") -> list[str]:
    """That nothing but the scatter of a trace says how sure the offsets are, where it is so."""
    if traced is None or drive.uncertainty != traced.uncertainty:
        return []
    differ = "How far the wheels and sensors of two sound engines differ is not in it"
    return ["", f"The uncertainty is the scatter of the traces alone. {differ}: allow for that with --uncertainty."]


def _traced(traced: "Traced | None", columns: int) -> Iterator[str]:
    if traced:
        from diagtree.report import traces

        yield ""
        yield from traces.as_lines(traced, columns)


def _geometry(engine: Engine, drive: Drive) -> Iterator[str]:
    timing = drive.timing
    crank, cam = (chain.pitch_diameter(timing.pitch, teeth) for teeth in (timing.crank_teeth, timing.cam_teeth))
    yield f"Chain drive: {engine.title}"
    yield f"Chain pitch {timing.pitch:g} mm."
    yield f"Crank sprocket: {timing.crank_teeth} teeth, pitch diameter {crank:.2f} mm."
    yield f"Cam sprocket: {timing.cam_teeth} teeth, pitch diameter {cam:.2f} mm."
    yield f"One tooth at the crank sprocket is {chain.degrees_per_tooth(timing.crank_teeth):.1f} crank degrees."
    if timing.links:
        turns = chain.realign_turns(timing.links, timing.crank_teeth)
        yield f"{timing.links} links: marked links meet their sprocket marks again after {turns} turns of the crank."


def _table(drive: Drive, columns: int) -> Iterator[str]:
    timing = drive.timing
    yield f"How late a longer chain turns each camshaft, in crank degrees, and what {LATE:g} degrees late mean:"
    heads = [*(f"{100 * step:g} %" for step in STEPS), f"{LATE:g} deg late"]
    rows = [("camshaft", "bank", "span", *heads)]
    for name, cam in timing.cams.items():
        late = chain.degrees_late(timing, name)
        alone = chain.elongation_of(timing, name, -LATE, drive.uncertainty or 0.0)
        sure = f" +-{100 * alone.uncertainty:.2f}" if drive.uncertainty else ""
        figures = [f"{late * step:.1f}" for step in STEPS]
        rows.append((name, str(cam.bank), f"{cam.span:g} mm", *figures, f"{100 * alone.estimate:.2f}{sure} %"))
    wide = [max(len(row[at]) for row in rows) for at in range(len(rows[0]))]
    if sum(wide) + 2 * len(wide) > columns:
        for name, *_, ten in rows[1:]:
            yield f"  {name}: {chain.degrees_late(timing, name) * 0.01:.1f} deg late at 1 %; {LATE:g} deg are {ten}"
    else:
        for row in rows:
            yield f"  {pad(row[0], wide[0])}  " + "  ".join(
                pad(text, width, right=True) for text, width in zip(row[1:], wide[1:], strict=True)
            )
    yield f"Timing drives are often condemned near {100 * chain.CONDEMNED:g} % (common practice, no source)."


def _weighed(drive: Drive, columns: int) -> Iterator[str]:
    if drive.pattern is None or drive.elongation is None or drive.uncertainty is None:
        return
    yield ""
    yield f"Offsets, in crank degrees, each within {drive.uncertainty:.3g} (k = 2):"
    yield from (f"  {line}" for line in offsets.picture(drive.timing, drive.offsets, drive.uncertainty, columns - 2))
    yield ""
    yield "What pattern they make:"
    yield from offsets.shares(drive.pattern, columns)
    yield "The pattern is clear." if drive.pattern.clear else offsets.unclear(drive, reply=False)
    yield f"If the chain has grown longer: {offsets.elongation(drive.elongation)}."
