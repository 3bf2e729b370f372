"""`diagtree vet [PATH]`: the mistakes of a library, each with its place and its cure; what an edit does in effect."""

import json
import os
import sys
from argparse import ArgumentParser, Namespace
from typing import TYPE_CHECKING

from diagtree.cli import executors, figures, shared

if TYPE_CHECKING:
    from diagtree.jobs.comparing import Replays
    from diagtree.model.library import Library
    from diagtree.model.problem import Problem
    from diagtree.reason.costing import Cost
    from diagtree.source.reader import Read

NAME = "vet"
HELP = "find the mistakes of a library"


def add_arguments(parser: ArgumentParser) -> None:
    """The command's own arguments."""
    parser.add_argument("path", nargs="?", metavar="PATH", help="a library's folder or file")
    shared.add_library(parser)
    form = parser.add_mutually_exclusive_group()
    form.add_argument("--json", action="store_true", help="one JSON object on standard output")
    form.add_argument("--sarif", action="store_true", help="SARIF 2.1.0 on standard output")
    form.add_argument("--annotate", action="store_true", help="lines that a CI server marks beside the source")
    parser.add_argument("--costs", action="store_true", help="what each tree costs to walk, and at best")
    parser.add_argument("--seconds", type=shared.seconds, metavar="S", help="how long to look for the best orders")
    parser.add_argument(
        "--nodes",
        type=figures.whole(1, 10**9),
        metavar="N",
        help="in the place of --seconds: how far to look, the same anywhere",
    )
    parser.add_argument("--resume", metavar="FILE", help="keep what is worked out here, and go on from it")
    executors.add_workers(parser)
    about = parser.add_mutually_exclusive_group()
    about.add_argument("--against", metavar="DIR", help="what changed in effect since the library in DIR")
    parser.add_argument("--jobs", metavar="FILE", help="with --against: which closed jobs of this store end elsewhere")
    about.add_argument("--explain", metavar="RULE", help="what a rule finds, why, and how to mend it")
    about.add_argument("--rules", action="store_true", help="every rule, a line each")


def run(args: Namespace) -> int:
    """Vet a library. 0 where nothing is found, 1 where something is, 2 where no file of it can be read."""
    if args.explain is not None:
        return _explain(args.explain, as_json=args.json)
    if args.rules:
        return _list(as_json=args.json)
    if args.against is not None or args.jobs is not None:
        return _compare(args)

    from diagtree.rules.registry import vet
    from diagtree.source.reader import read

    if args.path is not None:
        args.library = args.path
    found = read(shared.library_path(args))
    if _no_library(found):
        from diagtree.report.problems import as_text

        sys.stderr.write(as_text(found.problems, found.texts))
        return shared.WRONG
    everything = vet(found)
    costly = bool(args.costs or args.seconds or args.nodes or args.workers or args.cluster or args.resume)
    costs = _costs(everything, found, args) if args.json or costly else []
    if isinstance(costs, str):
        return shared.refuse(costs)
    if costly:
        args.costs = True
        from diagtree.rules.walk_too_dear import judge

        everything = tuple(sorted((*everything, *judge(found.library, costs))))
    sys.stdout.write(_shown(everything, costs, found, args))
    return shared.PROBLEMS if everything else shared.DONE


def _no_library(found: "Read") -> bool:
    """Whether there is no library at the path: then there is nothing to find mistakes in."""
    return not found.texts and all(one.rule in {"unreadable-file", "empty-library"} for one in found.problems)


def _compare(args: Namespace) -> int:
    """What the edit from one library to another does. 1 where either has errors: there is nothing to compare then."""
    if args.against is None:
        return shared.refuse("--jobs goes with --against DIR: it tells which closed jobs an edit leads elsewhere.")
    if args.sarif or args.annotate:
        return shared.refuse(
            "What changed in effect is told in words or with --json. Leave --sarif and --annotate out."
        )

    from diagtree.source.reader import read

    if args.path is not None:
        args.library = args.path
    old, new = read(args.against), read(shared.library_path(args))
    sound = [_sound(found) for found in (old, new)]  # both, so that one run names everything there is to mend
    if not all(sound):
        return shared.PROBLEMS

    again = _walked_again(old.library, new.library, args) if args.jobs is not None else None
    if isinstance(again, str):
        return shared.refuse(again)

    from diagtree.estimate.change import change
    from diagtree.report.change import as_dict, as_text

    result = change(old.library, new.library)
    if args.json:
        from diagtree.report.comparing import as_data

        data = as_dict(result) | ({"jobs": as_data(again)} if again else {})
        sys.stdout.write(json.dumps(data, indent=2) + "\n")
        return shared.DONE
    sys.stdout.write(as_text(result))
    if again:
        from diagtree.report.comparing import as_text as jobs_text

        sys.stdout.write(f"\n{jobs_text(again)}")
    return shared.DONE


def _walked_again(old: "Library", new: "Library", args: Namespace) -> "Replays | str":
    """The closed jobs under both libraries; a sentence where they can't be read."""
    from diagtree.cli.sessions import opened
    from diagtree.jobs.comparing import Replays, compare
    from diagtree.jobs.handing import Unkept

    store = opened(args, making=False)
    if isinstance(store, str):
        return store
    if store is None:
        return Replays(0, ())
    try:
        found = compare(store, old, new, lambda done: executors.progress(f"{done} closed jobs"))
    finally:
        store.close()
        executors.progress("")
    return found.sentence if isinstance(found, Unkept) else found


def _sound(found: "Read") -> bool:
    """Whether a library is free of errors; they are written to standard error."""
    from diagtree.report.problems import as_text
    from diagtree.rules.registry import vet

    everything = vet(found)
    errors = [problem for problem in everything if problem.severity == "error"]
    if errors:
        sys.stderr.write(as_text(errors, found.texts))
    return not errors


def _shown(everything: "tuple[Problem, ...]", costs: "list[Cost]", found: "Read", args: Namespace) -> str:
    from diagtree.report import problems as render

    if args.json:
        return render.as_json(everything, costs)
    if args.sarif:
        from diagtree.report.sarif import as_sarif
        from diagtree.rules.registry import manual

        return as_sarif(everything, found.texts, manual())
    text = render.as_text(everything, found.texts, summary=True)
    if args.costs:
        text += render.costs_text(costs, found.library.rates.currency)
    if args.annotate or os.environ.get("GITHUB_ACTIONS") == "true":
        from diagtree.report.sarif import as_annotations

        return as_annotations(everything) + text
    return text


def _costs(everything: "tuple[Problem, ...]", found: "Read", args: Namespace) -> "list[Cost] | str":
    """What the trees cost; nothing for a library with errors; a sentence where that can't be worked out."""
    if any(problem.severity == "error" for problem in everything):
        return []
    if args.nodes or args.workers or args.cluster or args.resume:
        if args.seconds:
            return "A time limit comes out otherwise on every machine: give --nodes in the place of --seconds."
        from diagtree.cli.costs import costs_in_pieces

        return costs_in_pieces(found.library, args)
    from diagtree.reason.costing import SECONDS, costs

    each = []
    for cost in costs(found.library, args.seconds or SECONDS):
        each.append(cost)
        executors.progress(f"{cost.tree}, {cost.engine} {cost.build}")
    executors.progress("")
    return each


def _explain(name: str, *, as_json: bool) -> int:
    from diagtree.report.manual import entry_json, entry_text
    from diagtree.rules.registry import ids, rule

    found = rule(name)
    if found is None:
        return shared.refuse(
            f"There is no rule '{name}'. {shared.nearest(name, ids())} `diagtree vet --rules` lists all."
        )
    entry = (found.id, found.severity, found.manual)
    sys.stdout.write(entry_json(*entry) if as_json else entry_text(*entry))
    return shared.DONE


def _list(*, as_json: bool) -> int:
    from diagtree.report.manual import list_json, list_text
    from diagtree.rules.registry import ids, rule

    found = [(one.id, one.severity, one.manual) for name in ids() if (one := rule(name))]
    sys.stdout.write(list_json(found) if as_json else list_text(found))
    return shared.DONE
