"""The printed sheets of a walk: the heading with the job's number, its vehicle and its code, and the job sheet."""

from argparse import Namespace
from collections.abc import Mapping
from dataclasses import replace
from typing import TYPE_CHECKING, Any, TypeAlias

from diagtree.cli import sheets

if TYPE_CHECKING:
    from diagtree.jobs.record import Job
    from diagtree.model.library import Library
    from diagtree.model.tree import Tree
    from diagtree.report.sheets.heading import Heading
    from diagtree.report.sheets.verdict import Verdict
    from diagtree.scope.scope import Scope
    from diagtree.walk.result import Result
    from diagtree.walk.session import Session

# Tree -> node -> address.
Places: TypeAlias = Mapping[str, Mapping[str, str]]

NO_OUTCOME = "No sheet was written: the walk has come to no outcome."
NO_WORK = "No sheet was written: this library has no engine, so there is no work to print."


def heading(
    library: "Library", session: "Session", job: "Job | None", tree: "Tree | None", where: "Places"
) -> "Heading":
    """What a sheet says of a walk.

    Args:
        library: as it was read: addresses on the poster come from it, not from what a walk narrows it to.
        session: the walk.
        job: that holds it.
        tree: the one that the sheet comes from; None where faults were named.
        where: the `places` of the trees that the walk came through.
    """
    from diagtree.jobs.digest import of_library
    from diagtree.jobs.paper import code_of
    from diagtree.report.sheets.heading import Heading

    return Heading(
        job=job.number if job else "",
        vehicle=job.vehicle if job else "",
        printed=sheets.today(),
        code=code_of(session),
        tree=tree,
        place=_place(session, where) if tree else "",
        library=of_library(library),
    )


def of_outcome(library: "Library", found: "Result", job: "Job | None", args: Namespace) -> dict[str, Any] | str:
    """Write the job sheet of a walk's outcome; what was written, else the sentence that says why nothing was."""
    session = found.session
    if not session.outcome:
        return NO_OUTCOME
    if found.scope is None:
        return NO_WORK
    from diagtree.report.sheets.found import told
    from diagtree.report.sheets.verdict import verdict

    where = places(library, session)
    tree = library.trees[session.tree.id]
    known = heading(library, session, job, tree, where)
    said = verdict(found, told(library, session, where))
    return _written(replace(found.scope, library=library), session, job, args, (known, said))


def of_named(
    scope: "Scope", found: "Result", residual: float | None, job: "Job | None", args: Namespace
) -> dict[str, Any] | str:
    """Write the job sheet of faults that were named beside a walk, with what the walk has found filled in.

    `residual`: how often the car would come back once they are mended. The same value as of `of_outcome`.
    """
    from diagtree.report.sheets import verdict
    from diagtree.report.sheets.found import told

    session, where = found.session, places(scope.library, found.session)
    known = heading(scope.library, session, job, None, where)
    said = verdict.of_named(found, residual, told(scope.library, session, where))
    return _written(scope, session, job, args, (known, said))


def _written(
    scope: "Scope", session: "Session", job: "Job | None", args: Namespace, beside: "tuple[Heading, Verdict]"
) -> dict[str, Any] | str:
    """Write a job sheet, with what is known of the car and what the walk says."""
    from diagtree.report.sheets.agreed import agreement
    from diagtree.report.sheets.job import job_sheet
    from diagtree.report.sheets.paper import PAPERS

    known, said = beside
    if job:
        said = replace(said, agreement=agreement(job, scope.engine, scope.library.rates.currency))
    paper = PAPERS[sheets.paper(args)]
    return sheets.write(args, job_sheet(scope, known, paper, session.known.findings, said))


def _place(session: "Session", where: "Places") -> str:
    """Where the walk stands; which poster it is, where the walk came through several."""
    here = session.here
    place = where[here.tree.id].get(here.node.id, "")
    return f"{place} of '{here.tree.title}'" if place and len(where) > 1 else place


def places(library: "Library", session: "Session") -> "Places":
    """Tree -> node -> where it stands on the tree's poster, for the trees that a walk came through."""
    from diagtree.draw.addresses import addresses

    trees = dict.fromkeys(stop.tree.id for stop in session.route.stops)
    return {tree: addresses(library, library.trees[tree]) for tree in trees}
