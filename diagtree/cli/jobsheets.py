"""The printed sheets of a walk: the heading with the job's number, its vehicle and its code, and the job sheet."""

from argparse import Namespace
from dataclasses import replace
from typing import TYPE_CHECKING, Any

from diagtree.cli import sheets

if TYPE_CHECKING:
    from diagtree.jobs.record import Job
    from diagtree.model.library import Library
    from diagtree.model.tree import Tree
    from diagtree.report.sheets.heading import Heading
    from diagtree.scope.scope import Scope
    from diagtree.walk.result import Result
    from diagtree.walk.session import Session

NO_OUTCOME = "No sheet was written: the walk has come to no outcome."
NO_WORK = "No sheet was written: this library has no engine, so there is no work to print."


def heading(library: "Library", session: "Session", job: "Job | None", tree: "Tree | None") -> "Heading":
    """What a sheet says of a walk.

    Args:
        library: as it was read: addresses on the poster come from it, not from what a walk narrows it to.
        session: the walk.
        job: that holds it.
        tree: the one that the sheet comes from; None where faults were named.
    """
    from diagtree.jobs.paper import code_of
    from diagtree.report.sheets.heading import Heading

    return Heading(
        job=job.number if job else "",
        vehicle=job.vehicle if job else "",
        printed=sheets.today(),
        code=code_of(session),
        tree=tree,
        place=_place(library, session) if tree else "",
    )


def of_outcome(library: "Library", found: "Result", job: "Job | None", args: Namespace) -> dict[str, Any] | str:
    """Write the job sheet of a walk's outcome; what was written, else the sentence that says why nothing was."""
    session = found.session
    if not session.outcome:
        return NO_OUTCOME
    if found.scope is None:
        return NO_WORK
    return of_scope(replace(found.scope, library=library), session, job, args, from_tree=True)


def of_scope(
    scope: "Scope", session: "Session", job: "Job | None", args: Namespace, *, from_tree: bool
) -> dict[str, Any] | str:
    """Write the job sheet of a scope in the library as it was read, with what the walk has found filled in.

    `from_tree`: whether the walk came to these faults; else they were named. The same value as of `of_outcome`.
    """
    from diagtree.report.sheets.agreed import Agreement, agreement
    from diagtree.report.sheets.job import job_sheet
    from diagtree.report.sheets.paper import PAPERS

    tree = scope.library.trees[session.tree.id] if from_tree else None
    known = heading(scope.library, session, job, tree)
    said = agreement(job, scope.engine, scope.library.rates.currency) if job else Agreement()
    return sheets.write(args, job_sheet(scope, known, PAPERS[sheets.paper(args)], session.known.findings, said))


def _place(library: "Library", session: "Session") -> str:
    """Where the walk stands on the poster; '' where that can't be said."""
    from diagtree.draw.addresses import addresses

    here = session.here
    return addresses(library, library.trees[here.tree.id]).get(here.node.id, "")
