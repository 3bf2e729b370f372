"""`diagtree new FOLDER`: a small library to start from. `diagtree new --tree NAME`: a tree more in a library."""

import json
import os
import sys
from argparse import ArgumentParser, Namespace
from collections.abc import Iterable
from pathlib import Path
from typing import TYPE_CHECKING

from diagtree.cli import shared

if TYPE_CHECKING:
    from diagtree.model.library import Library

NAME = "new"
HELP = "a small library, or a tree more, to start from"

_NO_OUTLINE = (
    "No check of this library tells two of its faults apart so that a tree of them vets clean. "
    "Write checks with `given`, and the faults, first: `diagtree help files` says how."
)


def add_arguments(parser: ArgumentParser) -> None:
    """The folder, or the tree."""
    parser.add_argument("folder", nargs="?", metavar="FOLDER", help="a folder that is not there yet, or is empty")
    parser.add_argument("--tree", metavar="NAME", help="in place of a folder: add this tree to the library")
    parser.add_argument("--engine", metavar="ID", help="the engine's id; with --tree: serve this engine alone")
    shared.add_library(parser)
    shared.add_json(parser)


def run(args: Namespace) -> int:
    """Write the files, all or none, and say what to do next."""
    if (args.folder is None) == (args.tree is None):
        return shared.refuse("Say what to write: `diagtree new FOLDER` or `diagtree new --tree NAME --library DIR`.")
    wrong = _wrong_id(args.tree) or _wrong_id(args.engine)
    if wrong:
        return shared.refuse(wrong)
    return _folder(args) if args.tree is None else _tree(args)


def _wrong_id(name: str | None) -> str:
    from diagtree.source.shapes import IDENTITY

    fits = name is None or IDENTITY.form.fullmatch(name)
    return "" if fits else f"'{name}' can't be used as a name. Write {IDENTITY.wanted}."


def _folder(args: Namespace) -> int:
    from diagtree.source.saving import new_folder
    from diagtree.source.starter import DEFAULT_ENGINE, EXAMPLE_TREE, library

    if args.library is not None:
        return shared.refuse("`--library` goes with `--tree`: a new folder is a library of its own.")
    if not args.folder.strip():
        return shared.refuse("Name a folder: `diagtree new FOLDER`.")
    texts = library(args.engine or DEFAULT_ENGINE)
    folder = Path(args.folder)
    refusal = new_folder(folder, texts)
    if refusal:
        return shared.refuse(refusal)
    shown = _quoted(args.folder)
    todo = (f"diagtree vet {shown}", f"diagtree walk {EXAMPLE_TREE} --library {shown}", "diagtree help start")
    return _said([folder / name for name in texts], todo, args)


def _tree(args: Namespace) -> int:
    if args.library is None and not os.environ.get(shared.LIBRARY_VARIABLE):
        return shared.refuse("Say which library with --library DIR: the demo that comes with diagtree stays as it is.")
    folder = Path(shared.library_path(args))
    if folder.is_file():
        return shared.refuse(f"'{folder}' is one file, and a tree more is another. Put it in a folder, and name that.")
    library = shared.load(args)
    if library is None:
        return shared.WRONG
    wrong = _unusable(library, args)
    if wrong:
        return shared.refuse(wrong)
    text = _outline(library, args.tree, args.engine)
    return _add(folder, text, args) if text else shared.refuse(_NO_OUTLINE)


def _unusable(library: "Library", args: Namespace) -> str:
    """The sentence that says why a name does not fit this library; nothing where it does."""
    from diagtree.model.fault import DEFAULT, OTHER

    if args.tree in library.trees:
        return f"The library has a tree '{args.tree}' already. Choose another name."
    if args.tree in library.faults:
        return f"The library has a fault '{args.tree}', and weights could not tell them apart. Choose another name."
    if args.tree in {OTHER, DEFAULT}:
        return f"The name '{args.tree}' has a meaning of its own in weights and tables. Choose another."
    if args.engine is not None and args.engine not in library.engines:
        return f"The library has no engine '{args.engine}'. {shared.nearest(args.engine, library.engines)}"
    return ""


def _outline(library: "Library", name: str, engine: str | None) -> str:
    """The best outline that adds no problem to the library; nothing where there is none."""
    from tempfile import TemporaryDirectory

    from diagtree.source.outline import outlines

    with TemporaryDirectory(prefix="diagtree-") as desk:
        for one in [engine] if engine else ["", *library.engines]:
            found = _first_clean(library, outlines(library, name, one), Path(desk) / "tree.yaml")
            if found:
                return found
    return ""


def _first_clean(library: "Library", texts: Iterable[str], draft: Path) -> str:
    from diagtree.rules.trial import added
    from diagtree.source.reader import read

    for text in texts:
        draft.write_text(text, encoding="utf-8")
        if not added(library, read(str(draft))):
            return text
    return ""


def _add(folder: Path, text: str, args: Namespace) -> int:
    from diagtree.source.saving import new_files
    from diagtree.source.schema import FILE_NAME
    from diagtree.source.starter import schema_text

    texts = {f"{args.tree}.yaml": text}
    if not os.path.lexists(folder / FILE_NAME):  # the editor's comment names it
        texts[FILE_NAME] = schema_text()
    refusal = new_files(folder, texts)
    if refusal:
        return shared.refuse(refusal)
    shown = _quoted(str(folder))
    todo = (f"diagtree vet {shown}", f"diagtree walk {args.tree} --library {shown}", "diagtree help files")
    return _said([folder / name for name in texts], todo, args)


def _quoted(path: str) -> str:
    from shlex import quote

    return quote(path)


def _said(written: list[Path], todo: Iterable[str], args: Namespace) -> int:
    if args.json:
        sys.stdout.write(json.dumps({"written": [str(path) for path in written]}, indent=2) + "\n")
        return shared.DONE
    lines = [*(f"Wrote {path}" for path in written), "", "Next:", *(f"  {command}" for command in todo)]
    sys.stdout.write("".join(f"{shared.safe(line)}\n" if line else "\n" for line in lines))
    return shared.DONE
