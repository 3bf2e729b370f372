"""`diagtree help start`: everything that it tells to do is done here, in its order, and must come out as it says."""

import os
import re
import shlex
import subprocess
import sys
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import TypeAlias

from diagtree.report.topics import text

ROOT = Path(__file__).parents[2]
MARGIN = "    "


@dataclass(frozen=True)
class Command:
    """What is typed at the prompt, what while it runs, what it then says, and its exit code."""

    argv: tuple[str, ...]
    typed: tuple[str, ...]
    shown: tuple[str, ...]
    code: int


@dataclass(frozen=True)
class Edit:
    """A piece of text in a file; without an old one it is added at the end."""

    file: str
    new: str
    old: str = ""


Step: TypeAlias = Command | Edit


def paragraphs(tutorial: str) -> list[str]:
    """Its paragraphs; neighbours that are both indented are one."""
    found: list[str] = []
    for block in re.split(r"\n\n+", tutorial.strip("\n")):
        if found and block.startswith(MARGIN) and found[-1].startswith(MARGIN):
            found[-1] += f"\n\n{block}"
        else:
            found.append(block)
    return found


def literal(block: str) -> str:
    assert all(line.startswith(MARGIN) or not line for line in block.split("\n")), block
    return "\n".join(line.removeprefix(MARGIN) for line in block.split("\n"))


def steps(tutorial: str) -> Iterator[Step]:
    found = paragraphs(tutorial)
    for at, block in enumerate(found):
        prose = " ".join(block.split())
        put, add = re.search(r"[Ii]n (\S+) put$", prose), re.search(r"[Aa]t the end of (\S+) add$", prose)
        if put:
            assert found[at + 2].split() == ["in", "the", "place", "of"]
            yield Edit(put[1], literal(found[at + 1]), literal(found[at + 3]))
        elif add:
            yield Edit(add[1], literal(found[at + 1]))
        elif block.startswith(f"{MARGIN}$ "):
            following = " ".join(found[at + 1].split()) if at + 1 < len(found) else ""
            yield from commands(literal(block), following)


def commands(block: str, following: str) -> Iterator[Command]:
    stated = re.search(r"The exit code is (\d+)", following)
    for one in re.split(r"^\$ ", block, flags=re.MULTILINE)[1:]:
        first, *rest = one.strip("\n").split("\n")
        argv = shlex.split(first)
        assert argv[0] == "diagtree"
        assert all(line[:2] in {"> ", "| "} for line in rest), one
        yield Command(
            tuple(argv[1:]),
            tuple(line[2:] for line in rest if line.startswith("> ")),
            tuple(line[2:] for line in rest if line.startswith("| ")),
            int(stated[1]) if stated else 0,
        )


def do(step: Step, folder: Path) -> None:
    if isinstance(step, Command):
        run(step, folder)
        return
    path = folder / step.file
    before = path.read_text(encoding="utf-8")
    if step.old:
        assert f"\n{before}".count(f"\n{step.old}\n") == 1, f"{step.file} must hold once:\n{step.old}"
        path.write_text(before.replace(step.old, step.new), encoding="utf-8")
    else:
        path.write_text(f"{before}{step.new}\n", encoding="utf-8")


def run(command: Command, folder: Path) -> None:
    environment = {
        name: value for name, value in os.environ.items() if not name.startswith(("DIAGTREE", "GITHUB_ACTIONS"))
    }
    environment["PYTHONPATH"] = os.pathsep.join(filter(None, [str(ROOT), os.environ.get("PYTHONPATH")]))
    done = subprocess.run(
        [sys.executable, "-m", "diagtree", *command.argv],
        input="".join(f"{line}\n" for line in command.typed),
        capture_output=True,
        text=True,
        encoding="utf-8",
        timeout=120,
        check=False,
        env=environment,
        cwd=folder,
    )
    assert done.returncode == command.code, f"{command.argv} ended with {done.returncode}:\n{done.stdout}{done.stderr}"
    said = " ".join((done.stdout + done.stderr).split())
    for fragment in command.shown:
        assert " ".join(fragment.split()) in said, f"{command.argv} does not say {fragment!r}:\n{done.stdout}"


def test_the_tutorial_comes_out_as_it_says(tmp_path: Path) -> None:
    for step in steps(text("start")):
        do(step, tmp_path)
    assert (tmp_path / "wall.pdf").read_bytes().startswith(b"%PDF-")


def test_no_line_of_the_tutorial_that_tells_to_do_something_is_passed_over() -> None:
    tutorial = text("start")
    found = list(steps(tutorial))
    run = [step for step in found if isinstance(step, Command)]
    assert len(run) == tutorial.count(f"\n{MARGIN}$ ") >= 10
    assert sum(len(step.typed) for step in run) == tutorial.count(f"\n{MARGIN}> ")
    assert sum(len(step.shown) for step in run) == tutorial.count(f"\n{MARGIN}| ")
    assert all(step.shown for step in run)
    assert [step.code for step in run].count(1) == 1
    words = " ".join(tutorial.split())
    assert len(found) - len(run) == len(re.findall(r"[Ii]n \S+ put |[Aa]t the end of \S+ add ", words)) >= 7
