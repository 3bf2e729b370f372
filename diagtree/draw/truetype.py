"""A TrueType font as the PDF library holds it: read once, for measuring and for the page."""

import re
from typing import Any

_PAST_FOUR = re.compile(r"^(<[0-9A-F]{2}>) <([0-9A-F]{5,6})>$", re.MULTILINE)


def load(name: str, file: Any) -> Any:
    """The library's font, with its map back to text put right for codes past U+FFFF.

    Args:
        name: what the PDF calls it.
        file: its path, or the file itself in memory.
    """
    from reportlab.pdfbase.ttfonts import TTFont

    class Font(TTFont):  # type: ignore[misc]
        """As the library's, but for the map."""

        def addObjects(self, doc: Any) -> None:  # noqa: N802  # the library's name
            super().addObjects(doc)
            for key, held in doc.idToObject.items():
                if str(key).startswith("toUnicodeCMap:"):
                    held.content = _PAST_FOUR.sub(_in_pairs, held.content)

    return Font(name, file)


def _in_pairs(found: re.Match[str]) -> str:
    """In UTF-16, as ISO 32000 wants it."""
    return f"{found[1]} <{chr(int(found[2], 16)).encode('utf-16-be').hex().upper()}>"
