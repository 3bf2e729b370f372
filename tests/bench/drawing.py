"""Drawing: whole processes against the `dot` program; tiles against the whole sheet, and against a merge for each."""

import io
import shutil
import subprocess
import sys
import tempfile
from collections.abc import Callable, Iterator
from pathlib import Path

import yaml

from diagtree.draw.picture import Picture
from tests.bench.measure import Row, in_turn, process

_MANY = 2000


def rows() -> Iterator[Row]:
    """The yardsticks of a drawing."""
    with tempfile.TemporaryDirectory() as folder:
        yield from _against_dot(Path(folder))
        yield from _in_process(Path(folder))
    yield from _tiles()


def _against_dot(folder: Path) -> Iterator[Row]:
    if shutil.which("dot") is None:
        sys.stderr.write("No `dot` program here: its rows are left out.\n")
        return
    large = folder / "large.yaml"
    large.write_text(_library(_MANY), "utf-8")
    demo = str(Path(__file__).parents[2] / "trees")
    for tree, library, reach, beat, runs in (
        ("rattle-on-cold-start", demo, 2.0, 1.3, 5),
        ("large", str(large), 1.3, 1.1, 1),
    ):
        bare = folder / f"{tree}.dot"
        common = ["-m", "diagtree", "draw", tree, "--library", library, "--out"]
        process([*common, str(bare)])()
        command = ["dot", "-Tpdf", "-o", str(folder / "theirs.pdf"), str(bare)]

        def theirs(command: list[str] = command) -> None:
            subprocess.run(command, check=True, stderr=subprocess.DEVNULL)

        ours, peer = in_turn(process([*common, str(folder / "ours.pdf")]), theirs, runs=runs)
        note = f"{ours:.2f} s, {peer:.2f} s; ours reads and checks the library and writes its own type"
        yield Row(f"draw {tree}, whole process", "dot -Tpdf, whole process", ours / peer, reach, beat, note)


def _in_process(folder: Path) -> Iterator[Row]:
    """Layout and PDF alone: the library is read, the modules and the fonts are there. The peer is a whole process.

    Words that were broken into lines before are forgotten, so that every run does all of a first one's work.
    """
    if shutil.which("dot") is None:
        return
    from diagtree.draw import dot, pdf
    from diagtree.draw.compose import compose
    from diagtree.draw.font import measured
    from diagtree.graph.serving import served
    from tests.renders import library

    of, tree = library(), library().trees["rattle-on-cold-start"]
    bare = folder / "bare.dot"
    bare.write_text(dot.text(of, tree), "utf-8")
    command = ["dot", "-Tpdf", "-o", str(folder / "theirs.pdf"), str(bare)]

    def ours() -> None:
        measured.cache_clear()
        made = compose(of, tree, served(of, tree))
        assert isinstance(made, Picture)
        pdf.paint([made])

    mine, peer = in_turn(ours, lambda: subprocess.run(command, check=True, stderr=subprocess.DEVNULL), runs=9)
    note = f"{mine * 1e3:.0f} ms, {peer * 1e3:.0f} ms; ours without start, imports and reading, theirs with its start"
    yield Row(f"layout and PDF of {tree.id}, in process", "dot -Tpdf, whole process", mine / peer, 2.0, 1.3, note)


def _tiles() -> Iterator[Row]:
    from diagtree.draw import pdf, tiles
    from diagtree.draw.paper import PAPERS
    from tests.renders import picture

    made = picture("broken-guide")
    whole, cut = pdf.paint([made]), tiles.paint(made, PAPERS["A4"])
    sheets = tiles.tiling(made, PAPERS["A4"])
    many = sheets.rows * sheets.columns
    note = f"{many} sheets and a map, {len(cut)} bytes"
    yield Row("bytes of the tiled file", "the untiled file", len(cut) / len(whole), 1.2, 1.05, note)
    ours = in_turn(lambda: tiles.paint(made, PAPERS["A4"]), lambda: pdf.paint([made]), runs=5)
    merged, _ = in_turn(_merges(whole, many), lambda: None, runs=3)
    more = max(ours[0] - ours[1], 1e-4)
    note = f"{more * 1e3:.1f} ms over the whole sheet's {ours[1] * 1e3:.0f} ms, {merged * 1e3:.0f} ms for merges"
    yield Row("cutting into tiles", "pypdf, a merge for each tile", merged / more, 100, 500, note, least=True)


def _merges(whole: bytes, many: int) -> Callable[[], object]:
    """As tiles are commonly cut: the whole page merged onto each small one."""
    import pypdf

    def merge() -> None:
        writer = pypdf.PdfWriter()
        for number in range(many):
            page = writer.add_blank_page(595, 842)
            source = pypdf.PdfReader(io.BytesIO(whole)).pages[0]
            page.merge_transformed_page(source, pypdf.Transformation().translate(-number * 10.0, 0.0))
        writer.write(io.BytesIO())

    return merge


def _library(nodes: int) -> str:
    """A tree of this many nodes with sentences of a usual length, and joins."""
    questions = nodes * 3 // 5
    last = nodes - 1
    checks = {
        f"c{at}": {
            "ask": f"Question number {at}: what does the gauge on the sender port show when hot?",
            "hours": 0.1,
            "answers": {"low": "Below the lower mark", "ok": "Between the marks", "high": "Above the upper mark"},
        }
        for at in range(questions)
    }
    faults = {
        f"f{at}": {"title": f"Fault number {at} of the drive", "why": "Wear.", "repair": [], "verify": ["Listen."]}
        for at in range(nodes - questions)
    }
    made: dict[str, object] = {
        f"n{at}": {
            "check": f"c{at}",
            "then": {
                "low": f"n{min(2 * at + 1, last)}",
                "ok": f"n{min(2 * at + 2, last)}",
                "high": f"n{min(2 * at + 3 + at % 40, last)}",
            },
        }
        for at in range(questions)
    }
    made |= {f"n{at}": {"outcome": f"f{at - questions}"} for at in range(questions, nodes)}
    tree = {"tree": "large", "title": "Large", "weights": dict.fromkeys(faults, 1), "other": 1, "start": "n0"}
    return yaml.safe_dump_all([{"checks": checks}, {"faults": faults}, {**tree, "nodes": made}], sort_keys=False)
