"""Plain lines for people: wrapped by the cells that they take, money, hours, quantities."""

from collections.abc import Iterable
from fractions import Fraction
from math import floor

COLUMNS = 80  # of a pipe, a mail, a small terminal
_UNIT = 4  # characters of 'EUR.', 'lbf', 'mm,'
_TWO_WORDS = {"N": ("m",), "lbf": ("ft", "in"), "kgf": ("m", "cm")}  # units of two words, such as 'lbf ft'


def cells(text: str) -> int:
    """How many cells of a terminal a text takes: wide characters take two, combining ones none."""
    if text.isascii():
        return len(text)
    from wcwidth import wcwidth

    return sum(max(0, wcwidth(character)) for character in text)


def wrap(text: str, columns: int = COLUMNS) -> list[str]:
    """A text in lines of at most `columns` cells, at least 2; a word that is longer is cut. No text, no line."""
    lines: list[str] = []
    for word in words(text):
        for piece in _pieces(word, max(2, columns)):
            if lines and cells(lines[-1]) + 1 + cells(piece) <= columns:
                lines[-1] += f" {piece}"
            else:
                lines.append(piece)
    return lines


def words(text: str) -> list[str]:
    """The words; what a terminal could obey is a blank. A figure and its unit are one word."""
    found: list[str] = []
    for word in "".join(c if c.isprintable() else " " for c in text).split():
        if found and _belongs(found[-1], word):
            found[-1] += f" {word}"
        else:
            found.append(word)
    return found


def _belongs(before: str, word: str) -> bool:
    """Whether a word is the unit, or the rest of the unit, of the figure before it."""
    figure, _, unit = before.rpartition(" ")
    if figure and figure[-1].isdigit() and unit in _TWO_WORDS:
        return word.rstrip(".,;:)") in _TWO_WORDS[unit]
    return before[-1].isdigit() and word[0].isalpha() and len(word) <= _UNIT


def _pieces(word: str, columns: int) -> list[str]:
    pieces = [""]
    used = 0
    for character in word:
        width = cells(character)
        if used + width > columns:
            pieces.append("")
            used = 0
        pieces[-1] += character
        used += width
    return pieces


def pad(text: str, columns: int, *, right: bool = False) -> str:
    """A text filled up with blanks to `columns` cells, behind it or (`right`) before it."""
    blanks = " " * max(0, columns - cells(text))
    return blanks + text if right else text + blanks


def hang(head: str, text: str, indent: int, columns: int = COLUMNS) -> list[str]:
    """`head` and beside it the text, wrapped at `indent`; a head that is too long stands on lines of its own."""
    body = [" " * indent + line for line in wrap(text, columns - indent)]
    if cells(head) >= indent:
        margin = len(head) - len(head.lstrip(" "))
        return [*(" " * margin + line for line in wrap(head, columns - margin)), *body]
    if not body:
        return [head.rstrip()] if head.strip() else []
    return [pad(head, indent) + body[0][indent:], *body[1:]]


def join(words: Iterable[str], last: str = "and") -> str:
    """'a', 'a and b', 'a, b and c'."""
    listed = list(words)
    return f"{', '.join(listed[:-1])} {last} {listed[-1]}" if len(listed) > 1 else "".join(listed)


def decimal(value: Fraction, places: int) -> str:
    """A number rounded half up to so many places: 2.675 to two is 2.68."""
    scaled = floor(abs(value) * 10**places + Fraction(1, 2))
    whole, rest = divmod(scaled, 10**places)
    sign = "-" if value < 0 and scaled else ""
    return f"{sign}{whole}.{rest:0{places}}" if places else f"{sign}{whole}"


def short(value: Fraction, places: int) -> str:
    """The same without zeros at its end."""
    shown = decimal(value, places)
    return shown.rstrip("0").rstrip(".") if "." in shown else shown


def hours(value: Fraction) -> str:
    """'2.6 h', to the hundredth."""
    return f"{short(value, 2)} h"


def money(value: Fraction, currency: str) -> str:
    """'84.00 EUR'; the bare figure where there is no currency."""
    return f"{decimal(value, 2)} {currency}".rstrip()


def quantity(value: Fraction, unit: str) -> str:
    """'2' of a part that is counted, '5.5 l' of one that is measured."""
    return f"{short(value, 3)} {unit}".rstrip()
