"""Words that are written from right to left: Arabic letters joined, and lines turned round for a painter.

A painter sets characters from left to right. Text without such letters, and that is nearly all, passes untouched.
"""

import unicodedata
from functools import cache
from typing import Any

_TURNING = frozenset({"R", "AL", "AN"})
_FIRST = "\N{ARMENIAN CAPITAL LETTER AYB}"  # below it no letter is written from right to left


def turns(text: str) -> bool:
    """Whether a text holds letters that are written from right to left."""
    if text.isascii() or max(text) < _FIRST:
        return False
    return any(c > _FIRST and unicodedata.bidirectional(c) in _TURNING for c in text)


def joined(text: str) -> str:
    """The text with Arabic letters in the forms that they have in a word, still in the order of reading."""
    if not turns(text):
        return text
    shaped: str = _shaper().reshape(text)
    return shaped


def visual(text: str) -> str:
    """One line in the order in which it is set from left to right (Unicode Bidirectional Algorithm, UAX 9)."""
    if not turns(text):
        return text
    from bidi import get_display

    return str(get_display(text))


@cache
def _shaper() -> Any:
    import arabic_reshaper

    # Lam and alef are written as one letter wherever they meet (The Unicode Standard, 9.2; from memory). No ligature of
    # a whole word is obligatory, and our font has none.
    return arabic_reshaper.ArabicReshaper(
        {"delete_harakat": False, "support_ligatures": True, "ARABIC LIGATURE ALLAH": False}
    )
