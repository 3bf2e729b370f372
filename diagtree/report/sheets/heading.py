"""The top of a sheet: what it is, whose car, and where its figures come from."""

from collections.abc import Sequence
from dataclasses import dataclass

from diagtree.model.engine import Build, Engine
from diagtree.model.library import Library
from diagtree.model.tree import Tree
from diagtree.report.lines import join
from diagtree.report.sheets.blocks import Group, Piece, beside, blank, hung, stack, text
from diagtree.report.sheets.code import MOST, code, lettered, side, spelled
from diagtree.report.sheets.marks import Mark, Span
from diagtree.report.sheets.setting import SUBJECT, TEXT, TITLE
from diagtree.report.steps import has_builds

_DIGITS = 8  # of a digest: enough to tell two printings apart
_ROW = 17.0  # height of a line to write on


@dataclass(frozen=True, slots=True)
class Heading:
    """What the person at the counter knows. Whatever is empty is a line to write on.

    Attributes:
        printed: the day on which it is printed, ISO 8601.
        code: a short text that a scanner reads back, printed as a QR code and in letters.
        tree: the tree that the scope comes from; None where faults were named.
        place: where the outcome that it comes from stands on the tree's poster, such as 'C4'.
        library: a short figure of the library that it was made from; another figure, another library.
    """

    job: str = ""
    vehicle: str = ""
    customer: str = ""
    printed: str = ""
    code: str = ""
    tree: Tree | None = None
    place: str = ""
    library: str = ""


@dataclass(frozen=True, slots=True)
class Car:
    """What is known of the engine: its builds that are still possible."""

    library: Library
    engine: Engine
    builds: Sequence[Build]


def top(title: str, subject: str, heading: Heading, car: Car, span: Span) -> Group:
    """Title, subject, what is known of the car, and lines for what is not."""
    drawn = 0 < len(heading.code) <= MOST
    wide = side(heading.code) if drawn else 0.0
    narrow = Span(span.left, span.room - wide - 12) if drawn else span
    shop = car.library.shop.name if car.library.shop else ""
    words = stack(
        [
            *text(shop, TEXT, narrow),
            *text(title, TITLE, narrow, below=2),
            *text(subject, SUBJECT, narrow, below=4),
            *(piece for label, said in known(heading, car) for piece in hung(label, said, TEXT, narrow)),
        ]
    )
    head = beside(words, code(heading.code, span.right - wide)) if drawn else words
    return Group((head, *_blanks(heading, span)), whole=True)


def known(heading: Heading, car: Car) -> list[tuple[str, str]]:
    """Label and value of what is known."""
    listed = join((build.id for build in car.builds), "or") if has_builds(car.engine) else ""
    rows = [
        ("Engine", car.engine.title if car.library.engines else ""),
        ("Build", listed),
        ("Tree", f"{heading.tree.title}, {origin(heading.tree)}" if heading.tree else ""),
        ("On the poster", heading.place),
        ("Printed", heading.printed),
    ]
    return [(label, said) for label, said in rows if said]


def origin(tree: Tree) -> str:
    """'revision 1, 2026-11-25'."""
    return ", ".join(filter(None, (f"revision {tree.revision}" if tree.revision else "", tree.date))) or "no revision"


def foot(heading: Heading, shop: str) -> str:
    """The line at the foot of each page: where it comes from."""
    tree = f"{heading.tree.title}, {origin(heading.tree)}" if heading.tree else ""
    printed = f"printed {heading.printed}" if heading.printed else ""
    library = f"library {heading.library[:_DIGITS]}" if heading.library else ""
    return " · ".join(filter(None, (shop, tree, library, printed)))


def _blanks(heading: Heading, span: Span) -> list[Piece]:
    """Rows of fields, two or three beside one another; what is known in full width."""
    said = [("Job", heading.job), ("Vehicle", heading.vehicle), ("Customer", heading.customer)]
    pieces = [piece for label, value in said if value for piece in hung(label, value, TEXT, span)]
    pieces += [] if lettered(heading.code) or not heading.code else spelled("Code", heading.code, span)
    open_ = [label for label, value in said if not value]
    rows = [["Registration or VIN", "Mileage", "Date"], *([open_] if open_ else [])]
    for row in rows:
        marks: list[Mark] = []
        for label, part in zip(row, span.parts(len(row)), strict=True):
            marks += blank(label, part, 4)
        pieces.append(Piece(_ROW, tuple(marks)))
    return pieces
