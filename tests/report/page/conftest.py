"""A browser for the page's tests: Debian's, installed first where we may, without a window and without a network."""

import fcntl
import os
import shutil
import subprocess
import tempfile
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest

from diagtree.report.page import advising
from tests.report.page import cars

_PROGRAM = "/usr/bin/chromium"
_FLAGS = (
    "--disable-gpu",
    "--disable-quic",
    "--no-first-run",
    "--disable-background-networking",
    "--disable-component-update",
    "--disable-sync",
)


def _installed() -> str:
    """Where the browser is; installed first where we may. Empty: there is none."""
    if not Path(_PROGRAM).exists() and os.geteuid() == 0 and shutil.which("apt-get"):
        quiet = {**os.environ, "DEBIAN_FRONTEND": "noninteractive"}
        with (Path(tempfile.gettempdir()) / "diagtree-chromium.lock").open("w") as lock:
            fcntl.flock(lock, fcntl.LOCK_EX)
            if not Path(_PROGRAM).exists():
                for words in (["update", "-qq"], ["install", "-qq", "-y", "--no-install-recommends", "chromium"]):
                    subprocess.run(["apt-get", *words], env=quiet, capture_output=True, check=False, timeout=600)
    return _PROGRAM if Path(_PROGRAM).exists() else shutil.which("chromium") or ""


# Of a module, not of the run: while it is there an event loop of its own is running in this process, and a terminal
# program tested after it could start none.
@pytest.fixture(scope="module")
def chromium() -> Iterator[Any]:
    """The browser; skipped where none can be had."""
    program = _installed()
    if not program:
        pytest.skip("no chromium here, and it can be installed only by root with apt-get")
    playwright = pytest.importorskip("playwright.sync_api", reason="the package playwright is not installed")
    sandbox = ["--no-sandbox"] if os.geteuid() == 0 else []  # root has none to enter
    with playwright.sync_playwright() as started:
        browser = started.chromium.launch(executable_path=program, args=[*_FLAGS, *sandbox])
        yield browser
        browser.close()


@pytest.fixture(scope="session")
def demo(tmp_path_factory: pytest.TempPathFactory) -> tuple[cars.Car, Path]:
    """A car of the demo with its page: a tree that goes on in three others. With less advice, which takes its time."""
    of = cars.car(cars.ROOT / "trees", "rattle-on-cold-start", "brennick-v8", "van-early")
    path = tmp_path_factory.mktemp("demo") / "page.html"
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(advising, "MOST", 20)
        path.write_bytes(of.page())
    return of, path
