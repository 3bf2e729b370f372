"""Reading a library: speed against PyYAML's bare composer in C, speed at a thousand trees, memory for it."""

import subprocess
import sys
import tempfile
from collections.abc import Iterator
from pathlib import Path

from tests.bench.measure import Row

_ANSWERS = 4


def tree(number: int, nodes: int = 40) -> str:
    """A tree of so many nodes with its checks and faults, some 17 kB of invented text."""
    asks, ends = nodes - 10, 10
    lines = [f"tree: t{number}", f"title: Tree {number}", "revision: '1'", "date: 2026-11-25", "other: 5", "start: n0"]
    lines.append("weights: {" + ", ".join(f"f{number}-{at}: {at + 1}" for at in range(ends)) + "}")
    lines.append("nodes:")
    for at in range(asks):
        low = f"n{at + 1}" if at + 1 < asks else "o1"
        lines.append(f"  n{at}: {{check: c{number}-{at}, then: {{low: {low}, ok: o{at % ends}}}, else: o{at % ends}}}")
    lines += [f"  o{at}: {{outcome: f{number}-{at}, note: Some words about what to do next}}" for at in range(ends)]
    lines += ["---", "checks:"]
    for at in range(asks):
        lines += [f"  c{number}-{at}:", f"    ask: Where does the oil stand on dipstick {at}?"]
        lines += ["    how: Level ground, engine off for ten minutes.", "    tools: [dipstick, lamp]", "    hours: 0.1"]
        lines += ["    answers:", "      low: Below the lower mark", "      ok: Between the marks"]
        lines += ["    given:", "      default: {low: 5, ok: 95}"]
        lines += [f"      f{number}-{row}: {{low: {row}, ok: {100 - row}}}" for row in range(_ANSWERS)]
    lines += ["---", "faults:"]
    for at in range(ends):
        lines += [f"  f{number}-{at}:", f"    title: Primary tensioner leaks down overnight {at}"]
        lines += ["    why: Worn check valve or bore lets the oil out while the engine stands.", "    repair: []"]
        lines += ["    verify: [Soak overnight and start cold. No rattle beyond the first second.]"]
    return "\n".join(lines) + "\n"


def write(folder: Path, trees: int) -> int:
    """So many trees, a file each; the bytes."""
    total = 0
    for number in range(trees):
        total += (folder / f"t{number}.yaml").write_text(tree(number))
    return total


def rows() -> Iterator[Row]:
    """The three yardsticks."""
    with tempfile.TemporaryDirectory() as few, tempfile.TemporaryDirectory() as many:
        small, large = write(Path(few), 10), write(Path(many), 1000)
        yield _against_compose(Path(few))
        fast, heavy = _whole(few), _whole(many)
        speed = (large / heavy[0]) / (small / fast[0])
        note = f"{large / heavy[0] / 1e6:.1f} MB/s of {large / 1e6:.0f} MB"
        yield Row("MB/s at 1,000 trees", "MB/s at 10 trees", speed, 0.8, 1.0, note, least=True)
        memory = (heavy[1] - fast[1]) / (large - small)
        yield Row("memory for it", "its bytes on disk", memory, 30, 15, f"{heavy[1] / 1e6:.0f} MB in all")


def _against_compose(folder: Path) -> Row:
    from diagtree.source.reader import read

    assert not read(str(folder)).problems
    # Each side in a process of its own: reading leaves the collector's generations changed, which helps the other.
    ours = _alone("from diagtree.source.reader import read", f"read({str(folder)!r})")
    theirs = _alone(
        f"import yaml, pathlib; T = [f.read_text() for f in sorted(pathlib.Path({str(folder)!r}).glob('*.yaml'))]",
        "[list(yaml.compose_all(t, Loader=yaml.CLoader)) for t in T]",
    )
    return Row("reading 10 trees of 40 nodes, checked", "bare C compose of the same", ours / theirs, 1.3, 1.0)


_TIMER = """
import sys, time, statistics
exec(sys.argv[1])
work = compile(sys.argv[2], "work", "exec")
exec(work)
times = []
for _ in range(9):
    begun = time.perf_counter(); exec(work); times.append(time.perf_counter() - begun)
print(statistics.median(times))
"""


def _alone(setup: str, work: str) -> float:
    """Median seconds of a statement in a fresh process."""
    command = [sys.executable, "-c", _TIMER, setup, work]
    return float(subprocess.run(command, check=True, capture_output=True, text=True).stdout)


_READ = """
import sys, time, resource
from diagtree.source.reader import read
begun = time.perf_counter()
found = read(sys.argv[1])
print(time.perf_counter() - begun, resource.getrusage(resource.RUSAGE_SELF).ru_maxrss * 1024)
"""


def _whole(folder: str) -> tuple[float, int]:
    """Seconds to read a folder once in a fresh process, and the most memory that it held, in bytes."""
    best: tuple[float, int] | None = None
    for _ in range(3):
        printed = subprocess.run([sys.executable, "-c", _READ, folder], check=True, capture_output=True, text=True)
        seconds, memory = printed.stdout.split()
        if best is None or float(seconds) < best[0]:
            best = float(seconds), int(memory)
    assert best is not None
    return best
