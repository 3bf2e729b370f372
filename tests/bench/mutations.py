"""Seeded damage to a library: whatever stands in it, the program says what is wrong and where, and nothing breaks.

By hand: `python -m tests.bench.mutations --count 20000 --seed 1 --library trees`. A mutant is known by seed and
number; `--only NUMBER` runs one alone and shows it. Exit code 1 where any failed.
"""

import argparse
import gc
import json
import os
import shutil
import signal
import sys
import tempfile
import time
import traceback
from collections import Counter
from collections.abc import Iterator, Mapping
from concurrent.futures import ProcessPoolExecutor
from contextlib import contextmanager
from dataclasses import dataclass, field
from functools import cache
from io import StringIO
from multiprocessing.util import Finalize
from pathlib import Path
from random import Random
from types import FrameType

from diagtree.graph.serving import builds, engines, served
from diagtree.model.engine import Engine
from diagtree.model.library import Library
from diagtree.model.problem import Problem
from diagtree.model.tree import Tree
from diagtree.report import problems as render
from diagtree.report import sarif
from diagtree.rules import registry
from diagtree.source.reader import read
from tests.bench.damage import damaged

LIMIT = 10  # seconds for one mutant
_RAM = "/dev/shm"  # noqa: S108  # a folder in memory, where there is one
_SHARE = 50  # mutants in one task of the pool
# Replies of every sort: an answer by number, a reading, stored codes, offsets, cannot tell, back.
REPLIES = "1\n2\n?\n100\n0.4\nP0016+P0018\nintake-1:-4,exhaust-1:-3\nback\n1\n2\n1\n?\n"
_FEW = 3  # faults that are scoped in most mutants; in every tenth all are


@dataclass(frozen=True, slots=True)
class Case:
    """One mutant: library folder, seed, number."""

    library: str
    seed: int
    number: int


@dataclass(slots=True)
class Verdict:
    """What one mutant came to."""

    number: int
    rules: tuple[str, ...] = ()  # of its problems, one for each
    clean: bool = False  # no error
    seconds: float = 0.0
    failure: str = ""
    followed: Counter[str] = field(default_factory=Counter)  # what was done with it once it was clean


class Hang(Exception):  # noqa: N818  # ends a mutant that takes too long
    """Raised by the alarm."""


def _ring(_signal: int, _frame: FrameType | None) -> None:
    raise Hang


@contextmanager
def _alarm() -> Iterator[None]:
    before = signal.signal(signal.SIGALRM, _ring)
    signal.setitimer(signal.ITIMER_REAL, LIMIT)
    try:
        yield
    finally:
        signal.setitimer(signal.ITIMER_REAL, 0)
        signal.signal(signal.SIGALRM, before)


@cache
def workshop(library: str) -> Path:
    """This process's own copy of the library, in memory where that can be had."""
    folder = Path(tempfile.mkdtemp(prefix=f"mutants-{os.getpid()}-", dir=_RAM if Path(_RAM).is_dir() else None))
    source = Path(library)
    files = [source] if source.is_file() else sorted([*source.rglob("*.yaml"), *source.rglob("*.yml")])
    base = source.parent if source.is_file() else source
    for file in files:
        target = folder / file.relative_to(base)
        target.parent.mkdir(parents=True, exist_ok=True)
        shutil.copyfile(file, target)
    return folder


@cache
def _contents(library: str) -> dict[Path, bytes]:
    folder = workshop(library)
    return {path: path.read_bytes() for path in sorted(folder.rglob("*")) if path.is_file()}


@cache
def _sound(library: str) -> Library:
    """What the unharmed library holds."""
    return read(str(workshop(library))).library


def mutant(case: Case) -> tuple[Path, bytes]:
    """Which file is damaged, and its new content."""
    random = Random(f"{case.seed} {case.number}")
    contents = _contents(case.library)
    path = random.choices(list(contents), [len(content) for content in contents.values()])[0]
    return path, damaged(contents[path], random)


def examine(case: Case) -> Verdict:
    """Make the mutant, vet it, and where it is clean use it."""
    path, content = mutant(case)
    path.write_bytes(content)
    verdict = Verdict(case.number)
    started = time.perf_counter()
    try:
        with _alarm():
            _try(case, path, verdict)
    except Hang:
        verdict.failure = f"hangs for more than {LIMIT} s"
    except Exception:  # noqa: BLE001  # whatever it is, it is what we look for
        verdict.failure = traceback.format_exc(limit=-6)
    finally:
        verdict.seconds = time.perf_counter() - started
        path.write_bytes(_contents(case.library)[path])
    return verdict


def _try(case: Case, path: Path, verdict: Verdict) -> None:
    folder = workshop(case.library)
    before = _listing(folder)
    found = read(str(folder))
    everything = registry.vet(found)
    verdict.rules = tuple(one.rule for one in everything)
    verdict.clean = not any(one.severity == "error" for one in everything)
    for one in everything:
        _placed(one, found.texts, folder)
    render.as_text(everything, found.texts, summary=True)
    json.loads(render.as_json(everything))
    json.loads(sarif.as_sarif(everything, found.texts, registry.manual()))
    sarif.as_annotations(everything)
    assert _listing(folder) == before, f"the library's folder has changed beside {path.name}"
    if verdict.clean:
        _use(found.library, case, verdict)


def _listing(folder: Path) -> list[tuple[str, int, int]]:
    return sorted((str(path), path.stat().st_size, path.stat().st_mtime_ns) for path in folder.rglob("*"))


def _placed(problem: Problem, texts: Mapping[str, str], folder: Path) -> None:
    """Check that a problem stands inside a file that there is."""
    assert Path(problem.file).is_relative_to(folder), problem
    assert problem.line >= 1, problem
    assert problem.column >= 1, problem
    assert (problem.end_line, problem.end_column) >= (problem.line, problem.column), problem
    assert problem.message, problem
    assert problem.message.isprintable(), problem
    text = texts.get(problem.file)
    if text is None:  # it could not be read at all
        assert Path(problem.file).exists(), problem
        return
    lines = text.split("\n")
    assert problem.line <= len(lines), problem
    assert problem.column <= len(lines[problem.line - 1]) + 1, problem


def _use(library: Library, case: Case, verdict: Verdict) -> None:
    """Scope what the damage touched, walk and draw every tree."""
    _scope(library, case, verdict)
    for tree in library.trees:
        _walk(library, tree, case, verdict)
        _draw(library, tree, verdict)


def _scope(library: Library, case: Case, verdict: Verdict) -> None:
    """Scope faults in each engine that is not as it was; in the others, those faults that are not."""
    from diagtree.report.scope import as_json, as_text
    from diagtree.scope.request import request
    from diagtree.scope.scope import scope

    sound = _sound(case.library)
    for engine in engines(library):
        same = engine == sound.engines.get(engine.id) and library.shop == sound.shop
        names = [name for name, fault in library.faults.items() if not same or fault != sound.faults.get(name)]
        if case.number % 10 and len(names) > _FEW:
            names = Random(case.number).sample(names, _FEW)
        for name in names:
            wanted = request(library, builds(engine), [name])
            if not isinstance(wanted, str):
                result = scope(library, engine, wanted.builds, wanted.faults)
                json.loads(as_json(result))
                as_text(result)
                verdict.followed["scopes"] += 1


def _walk(library: Library, tree: str, case: Case, verdict: Verdict) -> None:
    """Walk a tree in one of its engines, unless what was damaged is no part of that walk."""
    from diagtree.report import walk as report
    from diagtree.term.lines import Streams, walk
    from diagtree.walk.replies import Case as Begun
    from diagtree.walk.result import result
    from diagtree.walk.session import Session, begin

    able = served(library, library.trees[tree])
    engine = able[case.number % len(able)] if able else None
    if engine is None or _same(library, _sound(case.library), library.trees[tree], engine):
        return
    session = begin(Begun(library, library.trees[tree], engine, builds(engine), {}))
    if isinstance(session, Session):
        out, err = StringIO(), StringIO()
        found = result(walk(session, Streams(StringIO(REPLIES), out, err, terminal=False)))
        json.loads(report.as_json(found))
        shown = report.as_text(found) + out.getvalue() + err.getvalue()
        assert all(c.isprintable() or c == "\n" for c in shown), "a hidden character is shown"
        verdict.followed["walks"] += 1


def _same(library: Library, sound: Library, tree: Tree, engine: Engine) -> bool:
    """Whether a tree on an engine is as it was, with all that a walk may read."""
    trees = [*library.trees] if tree.onwards else [tree.id]
    return (
        (library.shop, library.cautions, library.codes, library.checks, library.faults)
        == (sound.shop, sound.cautions, sound.codes, sound.checks, sound.faults)
        and engine == sound.engines.get(engine.id)
        and all(library.trees[one] == sound.trees.get(one) for one in trees)
    )


def _draw(library: Library, tree: str, verdict: Verdict) -> None:
    from diagtree.draw import dot

    dot.text(library, library.trees[tree])
    verdict.followed["drawings"] += 1


def examine_all(cases: list[Case]) -> list[Verdict]:
    """Several in a row, in one process."""
    found = [examine(case) for case in cases]
    gc.unfreeze()  # reading sets all that there is apart from the collector: it would never go
    gc.collect()
    return found


def run(library: str, seed: int, numbers: range, *, workers: int | None = None) -> list[Verdict]:
    """All mutants, over the machine's cores. ^C ends it with those that are done."""
    cases = [Case(library, seed, number) for number in numbers]
    shares = [cases[at : at + _SHARE] for at in range(0, len(cases), _SHARE)]
    verdicts: list[Verdict] = []
    with ProcessPoolExecutor(workers or os.cpu_count(), initializer=_deaf) as pool:
        try:
            for done in pool.map(examine_all, shares):
                verdicts.extend(done)
                for one in done:
                    if one.failure:
                        sys.stderr.write(f"number {one.number} fails\n")
                sys.stderr.write(f"{len(verdicts)} of {len(cases)}\n" if len(verdicts) % 1000 == 0 else "")
                sys.stderr.flush()
        except KeyboardInterrupt:
            pool.shutdown(cancel_futures=True)
    return verdicts


def _deaf() -> None:
    """Leave ^C to the process that shares out the work, and no copy of the library behind."""
    signal.signal(signal.SIGINT, signal.SIG_IGN)
    Finalize(None, tidy, exitpriority=1)


def tidy() -> None:
    """Take away this process's copies of libraries."""
    for folder in Path(_RAM if Path(_RAM).is_dir() else tempfile.gettempdir()).glob(f"mutants-{os.getpid()}-*"):
        shutil.rmtree(folder, ignore_errors=True)
    workshop.cache_clear()
    _contents.cache_clear()


def summary(verdicts: list[Verdict]) -> str:
    """Counts by rule, the slowest, the loudest, the failures."""
    rules = Counter(rule for one in verdicts for rule in set(one.rules))
    followed = sum((one.followed for one in verdicts), Counter[str]())
    slow = max(verdicts, key=lambda one: one.seconds)
    loud = sorted(verdicts, key=lambda one: -len(one.rules))[:5]
    counts = sorted(len(one.rules) for one in verdicts if one.rules) or [0]
    failed = [one for one in verdicts if one.failure]
    lines = [
        f"{len(verdicts)} mutants, {sum(one.clean for one in verdicts)} without an error, {len(failed)} failed",
        *(f"{count:7} with {rule}" for rule, count in rules.most_common()),
        f"of the clean ones: {', '.join(f'{count} {what}' for what, count in sorted(followed.items()))}",
        f"problems in one: median {counts[len(counts) // 2]}, 95 of 100 at most {counts[len(counts) * 95 // 100]}",
        f"loudest: {', '.join(f'number {one.number} with {len(one.rules)}' for one in loud)}",
        f"slowest: number {slow.number}, {slow.seconds:.2f} s",
    ]
    lines.extend(f"\nFAILED number {one.number}: {one.failure}" for one in failed[:20])
    return "\n".join(lines) + "\n"


def show(case: Case) -> str:
    """One mutant: what was changed, and what is said of it."""
    import difflib

    path, content = mutant(case)
    old = _contents(case.library)[path].decode("utf-8", "replace").splitlines()
    new = content.decode("utf-8", "replace").splitlines()
    path.write_bytes(content)
    found = read(str(workshop(case.library)))
    everything = registry.vet(found)
    path.write_bytes(_contents(case.library)[path])
    changes = [line[:200] for line in difflib.unified_diff(old, new, path.name, path.name, lineterm="", n=0)]
    return "\n".join(changes) + "\n" + render.as_text(everything, found.texts, summary=True)


def main(argv: list[str]) -> int:
    """Parse, run, print."""
    parser = argparse.ArgumentParser(description=(__doc__ or "").split("\n", 1)[0])
    parser.add_argument("--count", type=int, default=20_000)
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--library", default="trees")
    parser.add_argument("--first", type=int, default=0, metavar="NUMBER")
    parser.add_argument("--workers", type=int)
    parser.add_argument("--only", type=int, metavar="NUMBER")
    args = parser.parse_args(argv)
    if args.only is not None:
        case = Case(args.library, args.seed, args.only)
        verdict = examine(case)
        sys.stdout.write(f"{show(case)}{verdict.failure or 'holds'}\n")
        tidy()
        return 1 if verdict.failure else 0
    numbers = range(args.first, args.first + args.count)
    verdicts = run(args.library, args.seed, numbers, workers=args.workers)
    sys.stdout.write(summary(verdicts))
    failed = next((one for one in verdicts if one.failure), None)
    if failed is None:
        return 0
    sys.stdout.write(
        f"\nAgain: python -m tests.bench.mutations --library {args.library} --seed {args.seed} --only {failed.number}\n"
    )
    return 1


if __name__ == "__main__":
    raise SystemExit(main(sys.argv[1:]))
