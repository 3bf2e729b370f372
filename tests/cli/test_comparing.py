"""`vet --against --jobs`: which of the shop's own closed jobs end elsewhere after an edit; and what figures rest on."""

import json
import shutil
from pathlib import Path

import pytest

from diagtree.cli import main
from diagtree.jobs.address import Address
from diagtree.jobs.handing import Beginning
from diagtree.jobs.record import Job
from diagtree.jobs.store import Store, open_store
from tests.jobs.test_counting import entry

FOREIGN = Path(__file__).resolve().parents[1] / "foreign" / "pump"
WALKED = (("noise-kind", "rumble"), ("frame-oil", "grey"))


@pytest.fixture
def jobs(tmp_path: Path) -> str:
    """Eight jobs through `worn-frame`, seven of them closed, and one closed that stopped before its end."""
    path = str(tmp_path / "jobs.db")
    store = open_store(Address(path), making=True)
    assert isinstance(store, Store)
    for at in range(9):
        told = [entry("answered", *pair) for pair in (WALKED if at < 8 else WALKED[:1])]
        closed = [entry("closed", value="yes"), entry("found", "bearings-worn")] if at != 3 else []
        assert isinstance(store.begin(Beginning("noisy-pump", "tarn-pump", (*told, *closed))), Job)
    store.close()
    return path


@pytest.fixture
def library(tmp_path: Path) -> Path:
    folder = tmp_path / "library"
    shutil.copytree(FOREIGN, folder)
    return folder


def edit(library: Path, before: str, after: str) -> None:
    path = library / "trees.yaml"
    text = path.read_text()
    assert text.count(before) == 1
    path.write_text(text.replace(before, after))


def compared(capsys: pytest.CaptureFixture[str], library: Path, jobs: str) -> dict[str, object]:
    assert main(["vet", str(library), "--against", str(FOREIGN), "--jobs", jobs, "--json"]) == 0
    found = json.loads(capsys.readouterr().out)["jobs"]
    assert isinstance(found, dict)
    return found


def test_a_job_that_ends_elsewhere_is_named(library: Path, jobs: str, capsys: pytest.CaptureFixture[str]) -> None:
    assert compared(capsys, library, jobs) == {"closed": 8, "elsewhere": []}
    edit(library, "grey: worn-frame", "grey: out-of-line")
    found = compared(capsys, library, jobs)
    listed = found["elsewhere"]
    assert isinstance(listed, list)
    assert [one["number"] for one in listed] == ["1", "2", "3", "5", "6", "7", "8"]
    assert listed[0]["before"]["faults"] == ["bearings-worn"]
    assert listed[0]["after"]["faults"] == ["coupling-out"]
    assert main(["vet", str(library), "--against", str(FOREIGN), "--jobs", jobs]) == 0
    assert "Of 8 closed jobs, 7 would end elsewhere:" in capsys.readouterr().out


def test_another_question_and_a_node_of_another_name(
    library: Path, jobs: str, capsys: pytest.CaptureFixture[str]
) -> None:
    edit(
        library,
        "{check: frame-oil, then: {grey: worn-frame, clear: turn}}",
        "{check: frame-oil, then: {grey: turn, clear: turn}}",
    )
    listed = compared(capsys, library, jobs)["elsewhere"]
    assert isinstance(listed, list)
    assert {one["after"]["check"] for one in listed} == {"shaft-turn"}
    assert len(listed) == 7


def test_jobs_alone_and_no_store(library: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["vet", str(library), "--jobs", "jobs.db"]) == 2
    out, err = capsys.readouterr()
    assert not out
    assert "--against" in err
    assert compared(capsys, library, str(tmp_path / "none.db")) == {"closed": 0, "elsewhere": []}


def test_what_the_chances_rest_on_is_told_once_it_is_learned(
    library: Path, jobs: str, capsys: pytest.CaptureFixture[str]
) -> None:
    """`closed-jobs` is written where it stands; walks and estimates tell it, and a second lesson warns."""
    learn = ["learn", "--library", str(library), "--jobs", jobs]
    assert main(learn) == 0
    assert "`closed-jobs: 8`" in " ".join(capsys.readouterr().out.split())
    edit(library, "other: 4\n", "other: 4\nclosed-jobs: 0\n")
    estimate = ["estimate", "noisy-pump", "--library", str(library)]
    assert main(estimate) == 0
    assert "the author's estimate, no closed jobs" in capsys.readouterr().out
    assert main([*learn, "--write", "--yes", "--json"]) == 0
    assert json.loads(capsys.readouterr().out)["closed_jobs"] == [
        {"tree": "noisy-pump", "before": 0, "after": 8, "written": True}
    ]
    assert main(estimate) == 0
    assert "from 8 closed jobs" in capsys.readouterr().out
    assert main([*estimate, "--json"]) == 0
    assert json.loads(capsys.readouterr().out)["ground"] == "from 8 closed jobs"
    assert main(["next", "noisy-pump", "--library", str(library)]) == 0
    assert "(from 8 closed jobs)" in capsys.readouterr().out
    assert main(learn) == 0
    assert "rest on 8 closed jobs already" in " ".join(capsys.readouterr().out.split())
