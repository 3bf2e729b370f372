"""A class at the drill: each on the same cars, one after another, the results kept as they come."""

import json
import os
import sys
from argparse import Namespace
from pathlib import Path
from typing import TYPE_CHECKING

from diagtree.cli import shared, streams

if TYPE_CHECKING:
    from diagtree.practice.car import Bay, Car
    from diagtree.practice.classroom import Result
    from diagtree.practice.drill import Drill
    from diagtree.practice.trainee import Adviser
    from diagtree.term.practice import Practised

# Bytes of a list or of results that are read.
_MOST = 5_000_000


def teach(bay: "Bay", args: Namespace) -> int:
    """Go through the turns that are left, then show the sheet."""
    names = _names(args)
    if isinstance(names, str):
        return shared.refuse(names)
    done = _kept(args)
    wrong = done if isinstance(done, str) else _settle(bay, done, args)
    if wrong or isinstance(done, str):
        return shared.refuse(wrong)
    cars = _drawn(bay, args)
    if isinstance(cars, str):
        return shared.refuse(cars)
    if any(one.car <= len(cars) and _differs(one, cars[one.car - 1]) for one in done):
        return shared.refuse(f"{args.results} holds results of other cars: give the same fault, build and library.")
    return _teach(cars, names, done, args)


def _names(args: Namespace) -> tuple[str, ...] | str:
    """The class; a sentence where its list can't be read."""
    from diagtree.practice.classroom import names_in

    text = _read(args.names)
    return f"{args.names} can't be read: name a text file with one name a line." if text is None else names_in(text)


def _kept(args: Namespace) -> "tuple[Result, ...] | str":
    """The results that are there already; a sentence where they are none."""
    from diagtree.practice.classroom import from_lines

    if not args.results or not os.path.exists(args.results):  # noqa: PTH110
        return ()
    text = _read(args.results)
    if text is None:
        return f"{args.results} can't be read: name a file of results, or one that is not there yet."
    return from_lines(text)


def _differs(one: "Result", car: "Car") -> bool:
    return (one.fault, one.build) != (car.fault, car.case.build.id)


def _settle(bay: "Bay", done: "tuple[Result, ...]", args: Namespace) -> str:
    """Take seed and level from results that are there: the cars must be the same. '' or what does not fit."""
    from diagtree.cli.drill import seed_of

    if not done:
        seed_of(args)
        return ""
    first = done[0]
    if args.seed is None:
        args.seed = first.seed
    same = (bay.tree.id, bay.engine.id, args.seed, args.level)
    if any((one.tree, one.engine, one.seed, one.level) != same for one in done):
        return (
            f"{args.results} holds results of other cars (tree '{first.tree}', seed {first.seed}, level {first.level})."
            " Give the same, or name another file."
        )
    return ""


def _drawn(bay: "Bay", args: Namespace) -> "tuple[Car, ...] | str":
    from diagtree.practice.car import Car, draw

    found = [draw(bay, args.seed, number, args.fault or "", args.level) for number in range(1, args.cars + 1)]
    refused = next((one for one in found if isinstance(one, str)), None)
    return refused or tuple(one for one in found if isinstance(one, Car))


def _teach(cars: "tuple[Car, ...]", names: tuple[str, ...], done: "tuple[Result, ...]", args: Namespace) -> int:
    from diagtree.cli.drill import judged
    from diagtree.practice.classroom import result, turns
    from diagtree.practice.drill import begin
    from diagtree.practice.trainee import Adviser

    adviser, results = Adviser(), list(done)
    for name, number in turns(names, len(cars), done):
        left = _turn(name, begin(cars[number - 1]), adviser, args)
        if left and left.interrupted:
            raise KeyboardInterrupt
        if left is None or left.drill.ended is None:
            break
        one = result(name, judged(left, adviser), args.level)
        results.append(one)
        wrong = _keep(one, args.results)
        if wrong:
            return shared.refuse(wrong)
    return _show(cars[0], names, tuple(results), args)


def _turn(name: str, drill: "Drill", adviser: "Adviser", args: Namespace) -> "Practised | None":
    """One drill, after whoever's turn it is was called; None where the input has ended."""
    from diagtree.cli import talk
    from diagtree.cli.drill import practised

    apart = talk.by_lines(apart=args.json)
    apart.out.write(f"\n{shared.safe(name)}, car {drill.car.number}.\n")
    if apart.terminal:
        apart.out.write("Press Enter when you are ready. ")
        apart.out.flush()
        if not apart.replies.readline():
            return None
    return practised(drill, adviser, args, reviewed=False)


def _keep(one: "Result", path: str | None) -> str:
    """Add a result to its file; '' or why that can't be."""
    from diagtree.practice.classroom import as_line

    if not path:
        return ""
    try:
        with Path(path).open("a", encoding="utf-8") as file:
            file.write(as_line(one))
            file.flush()
            os.fsync(file.fileno())
    except OSError as error:
        reason = (error.strerror or "no reason given").lower()
        return f"{path} can't be written ({reason}): {one.name}'s result is not kept."
    return ""


def _show(car: "Car", names: tuple[str, ...], results: "tuple[Result, ...]", args: Namespace) -> int:
    from diagtree.practice.classroom import sheet, turns
    from diagtree.report import classroom as render
    from diagtree.report.lines import COLUMNS

    rows, left = sheet(names, results), len(turns(names, args.cars, results))
    currency = car.case.library.rates.currency
    if args.out:
        from diagtree.draw.saving import save

        refusal = save(Path(args.out), render.as_csv(rows).encode())
        if refusal:
            return shared.refuse(refusal.sentence)
    if args.json:
        sys.stdout.write(json.dumps({"seed": args.seed, **render.as_data(rows, currency, left)}, indent=2) + "\n")
    else:
        sys.stdout.write("\n" + render.as_text(rows, currency, left, streams.columns(sys.stdout, COLUMNS)))
        sys.stdout.write(f"The same cars again: --seed {args.seed} --level {args.level}\n")
    return shared.DONE


def _read(path: str) -> str | None:
    try:
        with Path(path).open(encoding="utf-8-sig") as file:
            text = file.read(_MOST + 1)
    except (OSError, UnicodeDecodeError):
        return None
    return text if len(text) <= _MOST else None
