"""What a walk says of the work that it led to: why, how sure, and what was found on the way."""

from collections.abc import Iterator
from dataclasses import dataclass

from diagtree.model.fault import Caution
from diagtree.report import chances, walk
from diagtree.report.sheets.agreed import Agreement
from diagtree.walk.result import Result
from diagtree.walk.session import Session
from diagtree.walk.warnings import standing

NAMED = (
    "These faults were named, no walk led to them: how often the car would come back with another cause is not known."
)
AFTER = "After this work"
NOTHING_AGREED = Agreement()


@dataclass(frozen=True, slots=True)
class Verdict:
    """What stands beside a scope on its sheet.

    Attributes:
        subject: what is mended, in words; '' for the scope's own.
        about: why it comes about, and the tree's note on the outcome; each with its label.
        doubts: what speaks against going by it alone, a line each.
        residual: how often the car would come back, with its ground.
        may_be: what stands over `chances`, the causes in counts of one hundred cars.
        found: what the checks have shown, in order.
        cautions: of the outcome and of the trees walked through.
        agreement: what the customer has said so far.
    """

    subject: str = ""
    about: tuple[tuple[str, str], ...] = ()
    doubts: tuple[str, ...] = ()
    residual: str = NAMED
    may_be: str = ""
    chances: tuple[str, ...] = ()
    found: tuple[str, ...] = ()
    cautions: tuple[Caution, ...] = ()
    agreement: Agreement = NOTHING_AGREED


UNWALKED = Verdict()


def verdict(result: Result, found: tuple[str, ...] = ()) -> Verdict:
    """Of the outcome that a walk came to. `found`: what its checks have shown, from `found.told`."""
    session, subject = result.session, walk.outcome_words(result.session)
    return Verdict(
        subject=f"{subject[:1].upper()}{subject[1:]}",
        about=tuple(_about(session)),
        doubts=tuple(walk.doubts(result)),
        residual=_residual(result, result.residual),
        may_be=walk.may_be(result),
        chances=tuple(walk.chances_lines(result)),
        found=found,
        cautions=tuple(one.caution for one in standing(session)),
    )


def _about(session: Session) -> Iterator[tuple[str, str]]:
    found = walk.possible(session)
    yield from ((fault.title if len(found) > 1 else "Why", fault.why) for fault in found if fault.why)
    if session.outcome and session.outcome.note:
        yield "Note", session.outcome.note


def of_named(result: Result, residual: float | None, found: tuple[str, ...] = ()) -> Verdict:
    """Of faults that were named beside a walk. `residual`: how often the car would come back once they are mended."""
    return Verdict(
        doubts=tuple(walk.doubt(result)),
        residual=_residual(result, residual),
        may_be=walk.may_be(result),
        chances=tuple(walk.chances_lines(result)),
        found=found,
    )


def _residual(result: Result, residual: float | None) -> str:
    if residual is None:
        return "The answers contradict one another: how often the car would come back is not known."
    return f"{walk.come_back(AFTER, residual)} Ground: {chances.ground(result.session.tree)}."
