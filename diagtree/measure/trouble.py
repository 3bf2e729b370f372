"""What a person typed that cannot be used, as a value, and how such text may be quoted back."""

from dataclasses import dataclass

MOST_QUOTED = 40  # characters of a person's text in one message


@dataclass(frozen=True, slots=True)
class Trouble:
    """One plain message: what is wrong with what was typed, then what to type instead."""

    message: str


def quote(text: str) -> str:
    """The text between single quotes, fit for a terminal: one line, at most `MOST_QUOTED` characters of it.

    White space is folded to single spaces. A character that does not print (control and format characters, which
    could move the cursor or turn the reading direction) is shown as U+FFFD.
    """
    # Cut before folding: a pasted megabyte must cost nothing.
    head = " ".join(text[: 4 * MOST_QUOTED].split())
    shown = "".join(sign if sign.isprintable() else "\N{REPLACEMENT CHARACTER}" for sign in head)
    cut = len(shown) > MOST_QUOTED or len(text) > 4 * MOST_QUOTED
    return f"'{shown[: MOST_QUOTED - 1]}…'" if cut else f"'{shown}'"
