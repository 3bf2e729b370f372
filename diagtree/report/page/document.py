"""The page as one file.

Text of a library stands in it twice: in drawings, escaped by their painter, and in a block of JSON that is no program.
The page's own program puts it on the screen as text alone. The policy at its head names that program and the styles by
their SHA-256 and forbids all else: other programs, addresses, frames, forms, and making mark-up of text.
"""

import base64
import json
from hashlib import sha256
from html import escape
from importlib.resources import files

from diagtree.draw.refusal import Refusal
from diagtree.model.engine import Build, Engine
from diagtree.model.library import NOTICE, Library
from diagtree.model.tree import Tree
from diagtree.report.page.ground import Ground, ground
from diagtree.report.page.posters import poster
from diagtree.report.page.tables import page_data
from diagtree.walk.answers import Refused

# Program and style, in the order in which they are joined.
_PROGRAM = ("numbers.js", "session.js", "elements.js", "words.js", "ending.js", "poster.js", "screen.js")
_STYLE = "page.css"
# What would end the block that it stands in, or a line of the program.
_ESCAPED = {"<": "\\u003c", ">": "\\u003e", "&": "\\u0026", "\u2028": "\\u2028", "\u2029": "\\u2029"}


def page(library: Library, tree: Tree, engine: Engine, build: Build) -> bytes | Refused:
    """A tree's poster and walk for one build, with those of the trees that it goes on in, as HTML in UTF-8.

    Args:
        library: as it was read.
        tree: the tree to begin with.
        engine: one that it serves.
        build: one of the engine's.

    Returns:
        The same bytes for the same arguments; or a sentence where the tree has no start or can't be drawn.
    """
    found = ground(library, tree, engine, build)
    if isinstance(found, Refused):
        return found
    drawn: dict[str, str] = {}
    styles: list[str] = []
    for one in found.trees:
        made = poster(found, one)
        if isinstance(made, Refusal):
            return Refused(made.sentence)
        drawn[one.id] = made[0]
        styles.append(made[1])
    return _document(found, drawn, styles).encode()


def _document(found: Ground, drawn: dict[str, str], styles: list[str]) -> str:
    style, program = _own(_STYLE), "\n".join(map(_own, _PROGRAM))
    title = escape(found.trees[0].title)
    templates = "\n".join(f'<template id="w-poster-{escape(name)}">{text}</template>' for name, text in drawn.items())
    return (
        '<!DOCTYPE html>\n<html lang="en">\n<head>\n<meta charset="utf-8">\n'
        f'<meta http-equiv="Content-Security-Policy" content="{_policy(program, [style, *styles])}">\n'
        '<meta name="viewport" content="width=device-width, initial-scale=1">\n'
        '<meta name="color-scheme" content="light dark">\n<meta name="referrer" content="no-referrer">\n'
        f"<title>{title}</title>\n<style>{style}</style>\n</head>\n<body>\n"
        f"<noscript><p>{escape(NOTICE)}</p><p>The walk needs JavaScript.</p></noscript>\n"
        f'<div id="w-page"></div>\n{templates}\n'
        f'<script type="application/json" id="w-data">{as_block(page_data(found))}</script>\n'
        f"<script>{program}</script>\n</body>\n</html>\n"
    )


def as_block(data: object) -> str:
    """JSON that can't end the block of a page that it stands in, whatever text it holds."""
    text = json.dumps(data, ensure_ascii=False, allow_nan=False, separators=(",", ":"))
    return "".join(_ESCAPED.get(letter, letter) for letter in text)


def _own(name: str) -> str:
    return (files("diagtree.report.page") / name).read_text(encoding="utf-8")


def _policy(program: str, styles: list[str]) -> str:
    allowed = " ".join(_hash(style) for style in dict.fromkeys(styles) if style)
    return (
        f"default-src 'none'; script-src {_hash(program)}; style-src {allowed}; font-src data:; base-uri 'none'; "
        "form-action 'none'; require-trusted-types-for 'script'; trusted-types 'none'"
    )


def _hash(text: str) -> str:
    return f"'sha256-{base64.b64encode(sha256(text.encode()).digest()).decode()}'"
