"""Blanks for what is read at the car: readings before and after, camshaft offsets on the tooth grid."""

from collections.abc import Iterator, Mapping

from diagtree.measure.bands import bands_on
from diagtree.model.check import Check
from diagtree.model.tree import Tree
from diagtree.reason.finding import Finding
from diagtree.report.readings import limits, recorded_on
from diagtree.report.sheets.blocks import Group, heading
from diagtree.report.sheets.grid import grid
from diagtree.report.sheets.marks import Span
from diagtree.report.sheets.table import Cell, Column, table
from diagtree.scope.scope import Scope


def readings(scope: Scope, tree: Tree | None, findings: Mapping[str, Finding], span: Span) -> Iterator[Group]:
    """A row for each reading that tells of these faults, then the camshafts where the engine's drive is known."""
    told = [check for check in telling(scope, tree, findings) if check.kind == "reading"]
    places = _addresses(scope, tree) if tree and told else {}
    if told:
        yield Group(tuple(heading("Readings", span)))
        columns = (
            Column("Reading", 5),
            Column("Limits on this engine", 5),
            Column("Found", fixed=64, frame=True),
            Column("After the work", fixed=64, frame=True),
            Column("Initials", fixed=42, frame=True),
        )
        rows = [
            (
                Cell(check.ask, _about(check, places.get(check.id, ""))),
                Cell("", _limits(scope, check)),
                Cell(_found(scope, findings.get(check.id))),
                Cell(),
                Cell(),
            )
            for check in told
        ]
        yield table(columns, rows, span)
    timing = scope.engine.timing
    offsets = [check for check in telling(scope, tree, findings) if check.kind == "offsets"]
    if timing and offsets:
        check = next((one for one in offsets if one.id in findings), offsets[0])
        known = findings[check.id].offset if check.id in findings else {}
        yield Group(tuple(heading("Camshaft offsets", span)))
        yield grid(timing, known, check.offset_uncertainty, span)


def telling(scope: Scope, tree: Tree | None, findings: Mapping[str, Finding]) -> list[Check]:
    """The checks that tell of these faults: those of the tree, or with a row of their own for one of the faults.

    Those read already come in any case; those that no possible build can have are left out.
    """
    named = {fault.id for fault in scope.faults} | {fault.kind_of for fault in scope.faults if fault.kind_of}
    chosen = []
    for check in scope.library.checks.values():
        wanted = check.id in tree.checks if tree else not named.isdisjoint(check.given)
        if (wanted or check.id in findings) and any(check.when.admits(build.features) for build in scope.builds):
            chosen.append(check)
    return chosen


def _about(check: Check, place: str) -> tuple[str, ...]:
    tools = f"Tools: {', '.join(check.tools)}" if check.tools else ""
    return (check.how, tools, f"On the poster: {place}" if place else "")


def _addresses(scope: Scope, tree: Tree) -> dict[str, str]:
    """Check -> where its questions stand on the tree's poster."""
    from diagtree.draw.addresses import addresses

    found = addresses(scope.library, tree)
    asked: dict[str, list[str]] = {}
    for node in tree.questions:
        if node.id in found:
            asked.setdefault(node.check, []).append(found[node.id])
    return {check: ", ".join(places) for check, places in asked.items()}


def _limits(scope: Scope, check: Check) -> tuple[str, ...]:
    unit = check.gauge.unit if check.gauge else ""
    bands, units = bands_on(check, scope.engine), scope.library.rates.units
    return tuple(f"{limits(bands[answer.id], unit, units) or 'any'}: {answer.text}" for answer in check.answers)


def _found(scope: Scope, finding: Finding | None) -> str:
    return recorded_on(scope.library, scope.engine, finding) if finding and finding.values else ""
