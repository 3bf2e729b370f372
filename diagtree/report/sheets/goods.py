"""The parts of a job sheet: what to pick from the shelf, what to buy, what goes back."""

from collections.abc import Iterator

from diagtree.graph.pricing import exact
from diagtree.report import scope_words as words
from diagtree.report.lines import money, quantity
from diagtree.report.sheets.blocks import Group, heading, text
from diagtree.report.sheets.marks import Span
from diagtree.report.sheets.setting import TEXT
from diagtree.report.sheets.table import Cell, Column, table
from diagtree.report.sheets.work import DEPENDS
from diagtree.scope.scope import Scope

_BOX = Column("", fixed=12.0, box=True)


def parts(scope: Scope, span: Span) -> Iterator[Group]:
    """What the work takes: a row for each part, with its number, what is used once marked with the reason."""
    if not scope.parts:
        return
    together = money(scope.parts_cost, words.currency(scope)) if scope.parts_cost is not None else DEPENDS
    yield Group(tuple(heading(f"Parts to pick; bought singly: {together}", span)))
    columns = (
        _BOX,
        Column("Quantity", fixed=52, right=True),
        Column("Part", 6),
        Column("Number", 3),
        Column("Price each", 2, right=True),
    )
    rows = []
    for marked in scope.parts:
        line = marked.entry
        price = money(line.price, words.currency(scope)) if line.number else ""
        rows.append(
            (
                Cell(),
                Cell(quantity(line.quantity, line.part.unit), bold=True),
                Cell(line.part.title, tuple(words.part_details(scope, marked))),
                Cell(line.number or "no number", bold=bool(line.number)),
                Cell(price),
            )
        )
    yield table(columns, rows, span)


def buying(scope: Scope, span: Span) -> Iterator[Group]:
    """The cheapest order."""
    if not scope.buy:
        return
    currency = words.currency(scope)
    together = money(scope.buy_cost, currency) if scope.buy_cost is not None else DEPENDS
    yield Group(tuple(heading(f"Cheapest to buy: {together}", span)))
    columns = (
        _BOX,
        Column("Quantity", fixed=52, right=True),
        Column("Number", 3),
        Column("Article", 5),
        Column("Price each", 2, right=True),
        Column("Together", 2, right=True),
    )
    rows = [
        (
            Cell(),
            Cell(quantity(line.count, line.unit), bold=True),
            Cell(line.number, bold=True),
            Cell(words.article(line), (words.where(scope, marked), words.holds(scope, marked))),
            Cell(money(line.price, currency)),
            Cell(money(line.count * line.price, currency)),
        )
        for marked in scope.buy
        for line in (marked.entry,)
    ]
    yield table(columns, rows, span)


def deposits(scope: Scope, span: Span) -> Iterator[Group]:
    """Old parts that bring money back: kept apart, sent back."""
    kept = [marked for marked in scope.parts if marked.entry.part.deposit]
    if not kept:
        return
    yield Group(tuple(heading("Old parts to send back", span)))
    columns = (
        _BOX,
        Column("Quantity", fixed=52, right=True),
        Column("Part", 6),
        Column("Deposit each", 2, right=True),
        Column("Together", 2, right=True),
    )
    currency = words.currency(scope)
    rows = []
    for marked in kept:
        line = marked.entry
        deposit = exact(line.part.deposit)
        rows.append(
            (
                Cell(),
                Cell(quantity(line.quantity, line.part.unit), bold=True),
                Cell(line.part.title, (words.where(scope, marked),)),
                Cell(money(deposit, currency)),
                Cell(money(line.quantity * deposit, currency)),
            )
        )
    yield table(columns, rows, span)
    yield Group(tuple(text("A deposit is paid on top of the price and comes back with the old part.", TEXT, span)))
