"""The costs of many trees in pieces: the same bytes here, in processes and on a cluster; gone on with after a stop."""

import json
import os
import signal
import subprocess
import sys
import time
from collections.abc import Callable, Iterator
from pathlib import Path

import pytest

from diagtree.cli import main

ROOT = Path(__file__).resolve().parents[2]
PUMP = str(ROOT / "tests" / "foreign" / "pump")


def vetted(capsys: pytest.CaptureFixture[str], *options: str, path: str = PUMP) -> str:
    code = main(["vet", path, "--json", "--nodes", "50", *options])
    out, err = capsys.readouterr()
    assert code in {0, 1}, err
    assert not err
    return out


SHARED = """\
checks:
  wet: {ask: Is it wet?, hours: 0.2, answers: {yes: Wet, no: Dry}, given: {seal: 90, pump: 20, default: 50}}
  loud: {ask: Is it loud?, hours: 0.3, answers: {yes: Loud, no: Quiet}, given: {seal: 10, pump: 80, default: 50}}
---
faults:
  seal: {title: Seal, why: Age., repair: [renew-seal], verify: [Look.]}
  pump: {title: Pump, why: Wear., repair: [renew-pump], verify: [Look.]}
---
engine: small
title: Small
work:
  renew-seal: {title: Renew the seal, hours: 1}
  renew-pump: {title: Renew the pump, hours: 3}
"""
TREE = """\
tree: leak-{at}
title: Leak {at}
weights: {{seal: {at}, pump: 400}}
other: 1
start: wet
nodes:
  wet: {{check: wet, then: {{yes: loud, no: pump}}}}
  loud: {{check: loud, then: {{yes: pump, no: seal}}}}
  seal: {{outcome: seal}}
  pump: {{outcome: pump}}
"""


def many_trees(folder: Path, count: int) -> str:
    """A library of so many small trees, alike but for their weights."""
    path = folder / "library.yaml"
    path.write_text("---\n".join([SHARED, *(TREE.format(at=at) for at in range(1, count + 1))]))
    return str(path)


def test_processes_give_the_same_bytes(capsys: pytest.CaptureFixture[str]) -> None:
    here = vetted(capsys)
    assert json.loads(here)["trees"]
    assert vetted(capsys, "--workers", "2") == here


def test_what_is_done_is_not_done_again(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    book = tmp_path / "book.jsonl"
    here = vetted(capsys, "--resume", str(book))
    whole = book.read_text()
    lines = whole.splitlines()
    # The power went in the middle of the third line.
    book.write_text("\n".join(lines[:3])[:-5])
    assert vetted(capsys, "--resume", str(book)) == here
    assert sorted(book.read_text().splitlines()) == sorted(lines)
    # What stands there is believed, so it was not worked out anew.
    book.write_text(whole.replace('"walk": ', '"walk": 1'))
    assert vetted(capsys, "--resume", str(book)) != here


@pytest.mark.parametrize("content", ["something else\n", '{"costs of": "another"}\n'])
def test_another_file_is_not_gone_on_with(content: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    book = tmp_path / "book"
    book.write_text(content)
    assert main(["vet", PUMP, "--resume", str(book)]) == 2
    out, err = capsys.readouterr()
    assert not out
    assert err.count("\n") == 1
    assert book.read_text() == content


def test_no_cluster_is_a_sentence(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["vet", PUMP, "--cluster", "nowhere at all"]) == 2
    out, err = capsys.readouterr()
    assert not out
    assert "nowhere at all" in err
    assert err.count("\n") == 1


def until(holds: Callable[[], bool]) -> None:
    """Wait for this; two minutes are for a machine that has much else to do."""
    give_up = time.monotonic() + 120
    while not holds():
        assert time.monotonic() < give_up
        time.sleep(0.02)


@pytest.fixture(scope="module")
def cluster(tmp_path_factory: pytest.TempPathFactory) -> Iterator[tuple[str, list[subprocess.Popen[bytes]]]]:
    """A scheduler and two workers of one thread, as somebody would start them; the scheduler's address."""
    folder = tmp_path_factory.mktemp("cluster")
    where = folder / "scheduler.json"
    given = {"env": {**os.environ, "PYTHONPATH": str(ROOT)}, "cwd": folder, "stderr": subprocess.DEVNULL}
    scheduler = ["distributed.cli.dask_scheduler", "--host", "127.0.0.1", "--port", "0", "--scheduler-file", str(where)]
    started = [subprocess.Popen([sys.executable, "-m", *scheduler, "--no-dashboard"], **given)]  # type: ignore[call-overload]
    until(lambda: where.exists() and where.read_text().rstrip().endswith("}"))  # written whole
    address = json.loads(where.read_text())["address"]
    worker = ["distributed.cli.dask_worker", address, "--nthreads", "1", "--no-nanny", "--local-directory", str(folder)]
    started += [
        subprocess.Popen([sys.executable, "-m", *worker, "--no-dashboard"], **given)  # type: ignore[call-overload]
        for _ in range(2)
    ]
    try:
        yield address, started[1:]
    finally:
        for process in started:
            process.kill()
            process.wait()


@pytest.mark.filterwarnings("ignore")  # whatever the cluster's own client warns of
def test_a_cluster_gives_the_same_bytes_on_400_trees_though_a_worker_is_killed(
    cluster: tuple[str, list[subprocess.Popen[bytes]]], tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    address, workers = cluster
    path = many_trees(tmp_path, 400)
    here = vetted(capsys, path=path)
    assert len(json.loads(here)["trees"]) == 400
    book = tmp_path / "book.jsonl"
    given = ["vet", path, "--json", "--nodes", "50", "--cluster", address, "--resume", str(book)]
    ran = subprocess.Popen(
        [sys.executable, "-m", "diagtree", *given],
        stdout=subprocess.PIPE,
        stderr=subprocess.DEVNULL,
        env={**os.environ, "PYTHONPATH": str(ROOT)},
    )
    until(lambda: book.exists() and book.read_text().count("\n") > 5)  # a part of it is done
    assert ran.poll() is None, "it ended before a worker could be killed"
    workers[0].send_signal(signal.SIGKILL)
    out, _ = ran.communicate(timeout=120)
    assert out.decode() == here
