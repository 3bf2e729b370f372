"""Standard output and error as a terminal, a pipe or a file can take them."""

import codecs
import errno
import io
import os
import sys
from contextlib import suppress

# As `typing` has it. Importing it here would cost `--help` a part of its time.
TYPE_CHECKING = False
if TYPE_CHECKING:
    from typing import TextIO

# What stands in where a stream can't hold a character. Never `?`: that is an answer in the walk.
_STAND_INS = {
    "–": "-",
    "—": "-",
    "−": "-",
    "‐": "-",
    "‑": "-",
    "…": "...",
    "→": "->",
    "←": "<-",
    "↑": "^",
    "↓": "v",
    "·": ".",
    "•": "*",
    "●": "#",
    "○": ".",
    "×": "x",
    "°": " deg",
    "±": "+-",
    "≤": "<=",
    "≥": ">=",
    "‘": "'",
    "’": "'",
    "“": '"',
    "”": '"',
    "«": '"',
    "»": '"',
    "µ": "u",
    "Ω": "ohm",
    "€": "EUR",
    "£": "GBP",
    "✓": "x",
    "✔": "x",
    "☐": "[ ]",
    "☑": "[x]",
    "─": "-",
    "│": "|",
    "═": "=",
    " ": " ",
    "ß": "ss",
    "æ": "ae",
    "Æ": "Ae",
    "ø": "o",
    "Ø": "O",
    "ł": "l",
    "Ł": "L",
}
_HANDLER = "diagtree-stand-in"


def _stand_in(error: UnicodeError) -> tuple[str | bytes, int]:
    if not isinstance(error, UnicodeEncodeError):
        raise error
    shown = "".join(_plain(character) for character in error.object[error.start : error.end])
    return shown, error.end


def _plain(character: str) -> str:
    from unicodedata import normalize

    found = _STAND_INS.get(character)
    if found is not None:
        return found
    base = normalize("NFKD", character).encode("ascii", "ignore").decode()
    return base or f"U+{ord(character):04X}"


class _Gone(io.TextIOBase):
    """Standard output where there is none: what is written is an error of the system, as on a full disk."""

    def __init__(self) -> None:
        super().__init__()
        self._lost = False

    def write(self, text: str) -> int:
        self._lost = self._lost or bool(text)
        self.flush()
        return len(text)

    def flush(self) -> None:
        # Said again when the streams are flushed: not every writer heeds the first time.
        if self._lost:
            raise OSError(errno.EBADF, "standard output is closed")


def prepare() -> None:
    """Let both streams show readable stand-ins for what their encoding lacks."""
    codecs.register_error(_HANDLER, _stand_in)
    if sys.stdout is None:  # closed by whoever started the program
        sys.stdout = _Gone()
    for stream in (sys.stdout, sys.stderr):
        reconfigure = getattr(stream, "reconfigure", None)
        if reconfigure:
            with suppress(ValueError, OSError):
                reconfigure(errors=_HANDLER)


def columns(stream: "TextIO", widest: int, narrowest: int = 20) -> int:
    """How many cells a line may take: the terminal's, at most `widest`; `widest` in a pipe or a file."""
    with suppress(OSError, ValueError, AttributeError):
        if stream.isatty():
            wide = os.get_terminal_size(stream.fileno()).columns
            return max(narrowest, min(widest, wide)) if wide else widest  # some terminals do not say
    return widest


def coloured(stream: "TextIO") -> bool:
    """Whether a stream is written in colour: a terminal's, unless NO_COLOR says no; FORCE_COLOR says yes of any other.

    Either counts only where it is not empty, and NO_COLOR comes first.
    """
    if os.environ.get("NO_COLOR"):
        return False
    if os.environ.get("FORCE_COLOR"):
        return True
    with suppress(OSError, ValueError, AttributeError):
        return stream.isatty() and os.environ.get("TERM") not in {None, "", "dumb"}
    return False


def show(text: str) -> None:
    """Write a report for people to standard output: its headings bold and `STOP` red, where it takes colour."""
    sys.stdout.write(_painted(text) if coloured(sys.stdout) else text)


_BOLD, _GRAVE, _PLAIN = "\x1b[1m", "\x1b[1;31m", "\x1b[0m"
_GRAVE_WORD = "STOP:"
# What a report begins a line with that says what it is about.
_HEADINGS = ("Outcome: ", "Repair scope: ", "Next, ", "If you stop now: ")


def _painted(text: str) -> str:
    return "\n".join(_paint(line) for line in text.split("\n"))


def _paint(line: str) -> str:
    before, grave, rest = line.partition(_GRAVE_WORD)
    if grave and not before.strip():
        return f"{before}{_GRAVE}{grave}{_PLAIN}{rest}"
    heading = line.endswith(":") and not line.startswith((" ", "-"))
    if heading or line.startswith(_HEADINGS):
        first, colon, rest = (line[:-1], ":", "") if heading else line.partition(":")
        return f"{_BOLD}{first}{colon}{_PLAIN}{rest}"
    return line


def flush() -> None:
    """Write out what is held back, so that a closed pipe is met here and not at the interpreter's end."""
    if sys.stdout is not None and not sys.stdout.closed:
        sys.stdout.flush()


def abandon() -> None:
    """Point standard output nowhere: the interpreter flushes it once more as it ends, and must not complain."""
    if isinstance(sys.stdout, _Gone):
        sys.stdout = None
        return
    with suppress(OSError, ValueError, AttributeError):
        nowhere = os.open(os.devnull, os.O_WRONLY)
        os.dup2(nowhere, sys.stdout.fileno())
        os.close(nowhere)
