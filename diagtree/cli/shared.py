"""What every command shares: options, exit codes, the library, the engine and the build."""

import os
import sys
from argparse import ArgumentParser, ArgumentTypeError

from diagtree import __version__

# As `typing` has it. Importing typing and pathlib here would cost `--help` a fifth of its time.
TYPE_CHECKING = False
if TYPE_CHECKING:
    from argparse import Namespace
    from collections.abc import Iterable
    from typing import Any, NoReturn

    from diagtree.model.engine import Build, Engine
    from diagtree.model.library import Library
    from diagtree.model.tree import Tree

VERSION = __version__
DONE = 0
PROBLEMS = 1
WRONG = 2

LIBRARY_VARIABLE = "DIAGTREE_LIBRARY"
WRITER_VARIABLE = "DIAGTREE_BY"

# Options that take a value, which may look like a command when they stand before it.
_VALUED = frozenset(
    {
        "--against",
        "--amount",
        "--answer",
        "--answers",
        "--build",
        "--by",
        "--check",
        "--dpi",
        "--engine",
        "--seed",
        "--results",
        "--level",
        "--fault",
        "--class",
        "--cars",
        "--explain",
        "--feature",
        "--from",
        "--good",
        "--held",
        "--job",
        "--jobs",
        "--cluster",
        "--nodes",
        "--resume",
        "--workers",
        "--least",
        "--parquet",
        "--patch",
        "--strength",
        "--library",
        "--most",
        "--note",
        "--offset",
        "--out",
        "--page",
        "--paper",
        "--seconds",
        "--sheet",
        "--slow",
        "--stage",
        "--state",
        "--svg",
        "--text",
        "--trace",
        "--tiles",
        "--tree",
        "--uncertainty",
        "--vehicle",
        "--why",
    }
)


class Parser(ArgumentParser):
    """An argument parser that says what is wrong in one sentence."""

    def __init__(self, *args: "Any", **options: "Any") -> None:
        options.setdefault("allow_abbrev", False)
        super().__init__(*args, **options)

    def error(self, message: str) -> "NoReturn":
        """Say it on standard error and leave with 2."""
        self.exit(WRONG, f"{self.prog}: {safe(message)}. `{self.prog} --help` tells more.\n")

    def _print_message(self, message: str, file: "Any" = None) -> None:
        """As the base class, which passes over a stream that can't be written: that has an exit code here."""
        stream = file or sys.stderr
        if message and stream is not None:
            stream.write(message)


def command_first(argv: list[str]) -> list[str]:
    """The arguments with the command in front: options may stand on either side of it."""
    skip = False
    for at, word in enumerate(argv):
        if skip:
            skip = False
        elif not word.startswith("-"):
            return [word, *argv[:at], *argv[at + 1 :]]
        elif word == "--":
            break
        else:
            skip = word in _VALUED
    return argv


def add_library(parser: ArgumentParser) -> None:
    """`--library`."""
    parser.add_argument("--library", metavar="DIR", help="a library's folder or file (else $DIAGTREE_LIBRARY)")


def add_build(parser: ArgumentParser) -> None:
    """`--library`, `--engine`, `--build`, `--feature`."""
    add_library(parser)
    parser.add_argument("--engine", metavar="ID", help="the engine; needed where the library has more than one")
    which = parser.add_mutually_exclusive_group()
    which.add_argument("--build", metavar="ID", help="the build, where it is known")
    which.add_argument(
        "--feature", metavar="NAME=VALUE", action="append", default=[], help="a feature of it that is known; repeat"
    )


def add_answers(parser: ArgumentParser) -> None:
    """`--answer`, `--answers`."""
    parser.add_argument(
        "--answer",
        metavar="CHECK=ANSWER",
        action="append",
        default=[],
        help="an answer known already, such as oil-level=ok or 'pressure=95 kPa'; repeat",
    )
    parser.add_argument("--answers", metavar="FILE", help="a YAML file of such answers")
    add_job(parser)


def add_job(parser: ArgumentParser) -> None:
    """`--job`, `--jobs`."""
    parser.add_argument("--job", metavar="NUMBER", help="the answers, engine and features of this job")
    add_store(parser)


def add_store(parser: ArgumentParser) -> None:
    """`--jobs`."""
    parser.add_argument("--jobs", metavar="FILE", help="where jobs are kept (else $DIAGTREE_JOBS or your own)")


def add_writer(parser: ArgumentParser) -> None:
    """`--by`."""
    parser.add_argument("--by", metavar="NAME", help="who writes this into the job (else $DIAGTREE_BY, else nobody)")


def writer(args: "Namespace") -> str:
    """Who writes. Nobody is named who does not say so: a login name is no business of a job."""
    return plain(args.by or os.environ.get(WRITER_VARIABLE))


def plain(text: str | None) -> str:
    """Text of a user as a job keeps it: on one line, nothing that a terminal would obey, not too long."""
    return " ".join("".join(c if c.isprintable() else " " for c in text or "").split())[:400]


def add_json(parser: ArgumentParser) -> None:
    """`--json`."""
    parser.add_argument("--json", action="store_true", help="one JSON object on standard output")


def seconds(text: str) -> float:
    """A time limit as typed, in seconds, above 0."""
    try:
        value = float(text)
    except ValueError:
        value = 0.0
    if not 0 < value <= 86_400:
        message = f"'{text}' is no time: write seconds above 0, to 86400, such as 2.5"
        raise ArgumentTypeError(message)
    return value


def safe(text: str) -> str:
    """Text of a user as a message may show it: on one line, nothing that a terminal would obey."""
    shown = "".join(c if c.isprintable() else " " for c in text)
    return shown if len(shown) <= 400 else shown[:399] + "…"


def refuse(sentence: str) -> int:
    """Say why not, on standard error; the exit code of wrong use."""
    if sys.stderr is not None and not sys.stderr.closed:
        sys.stderr.write(safe(sentence).strip() + "\n")
    return WRONG


def library_path(args: "Namespace") -> str:
    """`--library`, else $DIAGTREE_LIBRARY, else the demo that comes with the package."""
    stated = getattr(args, "library", None) or os.environ.get(LIBRARY_VARIABLE)
    return stated or demo()


def demo() -> str:
    """The demo library's folder: inside an installed package, beside it in a checkout."""
    package = os.path.dirname(os.path.dirname(os.path.abspath(__file__)))  # noqa: PTH100, PTH120  # quicker to import
    inside = os.path.join(package, "demo")  # noqa: PTH118
    return inside if os.path.isdir(inside) else os.path.join(os.path.dirname(package), "trees")  # noqa: PTH112, PTH118, PTH120


def load(args: "Namespace") -> "Library | None":
    """The library, or None where it has errors: they are on standard error then, and WRONG is the exit code."""
    from diagtree.rules.registry import problems, structural
    from diagtree.source.reader import read

    found = read(library_path(args))
    found_all = [*found.problems, *problems(found.library, structural(whole=found.whole))]
    errors = sorted(problem for problem in found_all if problem.severity == "error")
    if not errors:
        return found.library
    from diagtree.report.problems import as_text

    sys.stderr.write(as_text(errors, found.texts))
    return None


def nearest(word: str, names: "Iterable[str]") -> str:
    """A sentence that names the nearest of some ids, or the first few of them."""
    from difflib import get_close_matches

    known = list(names)
    near = get_close_matches(word, known, 1)
    if near:
        return f"The nearest is '{near[0]}'."
    if not known:
        return ""
    listed = ", ".join(known[:8]) + (", …" if len(known) > 8 else "")
    return f"There are: {listed}."


def choose_engine(library: "Library", args: "Namespace", tree: "Tree | None" = None) -> "Engine | str":
    """The engine asked for, or the only one that will do; else the sentence that says why not."""
    from diagtree.graph.serving import engines, served

    able = served(library, tree) if tree else engines(library)
    stated = getattr(args, "engine", None)
    if stated is None:
        if len(able) == 1:
            return able[0]
        names = ", ".join(engine.id for engine in able)
        return (
            f"Say which engine with --engine: {names}."
            if able
            else f"No engine of the library suits '{tree.id}'."
            if tree
            else ""
        )
    if stated not in library.engines:
        return f"The library has no engine '{stated}'. {nearest(stated, library.engines)}"
    engine = library.engines[stated]
    if tree and engine not in able:
        return f"The tree '{tree.id}' does not serve '{stated}'. {nearest('', [found.id for found in able])}"
    return engine


def choose_tree(library: "Library", name: str) -> "Tree | str":
    """The tree asked for, else the sentence that says why not."""
    found = library.trees.get(name)
    return found or f"The library has no tree '{name}'. {nearest(name, library.trees)}"


def choose_builds(engine: "Engine", args: "Namespace") -> "tuple[dict[str, str], tuple[Build, ...]] | str":
    """The known features, and the builds that have them; else the sentence that says why not."""
    from diagtree.graph.serving import builds, matching_builds

    stated = getattr(args, "build", None)
    if stated is not None:
        build = next((made for made in builds(engine) if made.id == stated), None)
        if build is None:
            return f"'{engine.id}' has no build '{stated}'. {nearest(stated, engine.builds)}"
        return dict(build.features), (build,)
    known = known_features(engine, getattr(args, "feature", None) or [])
    if isinstance(known, str):
        return known
    possible = matching_builds(engine, known)
    if not possible:
        listed = ", ".join(f"{name}={value}" for name, value in known.items())
        return f"No build of '{engine.id}' has {listed} together. Take one of them back."
    return known, possible


def choose_car(
    library: "Library", args: "Namespace", tree: "Tree | None" = None
) -> "tuple[Engine, dict[str, str], tuple[Build, ...]] | str":
    """The engine, the known features and the builds that have them; else the sentence that says why not."""
    engine = choose_engine(library, args, tree)
    if isinstance(engine, str):
        return engine
    chosen = choose_builds(engine, args)
    return chosen if isinstance(chosen, str) else (engine, *chosen)


def known_features(engine: "Engine", stated: list[str]) -> dict[str, str] | str:
    """NAME=VALUE pairs as a mapping, else the sentence that says what is wrong with one."""
    known: dict[str, str] = {}
    for pair in stated:
        name, equals, value = (part.strip() for part in pair.partition("="))
        if not equals:
            return f"'{pair}' is no feature. Write NAME=VALUE, such as chain=roller."
        feature = engine.features.get(name)
        if feature is None:
            return f"'{engine.id}' has no feature '{name}'. {nearest(name, engine.features)}"
        if value not in feature.values:
            return f"'{name}' is never '{value}'. {nearest(value, feature.values)}"
        if known.setdefault(name, value) != value:
            return f"'{name}' is given twice, as '{known[name]}' and '{value}'. Keep one."
    return known
