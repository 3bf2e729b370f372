"""A text file that a user names beside an answer: a trace, a scan tool's report."""

import stat
from pathlib import Path

from diagtree.measure.trouble import Trouble, quote

LARGEST = 8 * 1024 * 1024  # bytes


def read_text(path: str) -> str | Trouble:
    """The file's text, or a trouble: no such file, no plain file, too large, no text.

    UTF-8, or the two-byte form that scan tools of an office system write; what is no letter in it is a blank mark.
    """
    try:
        file = Path(path).expanduser()
        status = file.stat()  # looked at before it is opened: a pipe would wait for ever
        if not stat.S_ISREG(status.st_mode):
            return Trouble(f"{quote(path)} is no plain file. Name a file.")
        if status.st_size > LARGEST:
            return Trouble(f"{quote(path)} is larger than {LARGEST // 2**20} MB. Cut it: a short stretch will do.")
        content = file.read_bytes()
    except (OSError, RuntimeError, ValueError) as error:
        reason = getattr(error, "strerror", None) or "its name can't be used"
        return Trouble(f"{quote(path)} can't be read: {reason}. Check the path.")
    if content.startswith((b"\xff\xfe", b"\xfe\xff")):
        return content.decode("utf-16", "replace")
    if b"\0" in content[:4096]:
        return Trouble(f"{quote(path)} is no text. Save it as text from the tool that made it.")
    return content.decode("utf-8-sig", "replace")
