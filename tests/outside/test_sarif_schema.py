"""OASIS, SARIF 2.1.0, the published JSON Schema (`published/sarif-schema-2.1.0.json`, as OASIS wrote it)."""

import json
from pathlib import Path

import jsonschema
import pytest

from diagtree.model.problem import Place, problem
from diagtree.report.sarif import as_sarif
from diagtree.rules.registry import manual, problems, vetting
from diagtree.source.reader import read

pytestmark = pytest.mark.outside

PUBLISHED = json.loads((Path(__file__).parent / "published" / "sarif-schema-2.1.0.json").read_text())
VALIDATOR = jsonschema.Draft7Validator(PUBLISHED)


def test_what_vet_finds_is_valid_sarif(tmp_path: Path) -> None:
    (tmp_path / "a.yaml").write_text("tree: t\ntitle: T\nweights: {f: 1}\nstart: n\nnodes: {m: {outcome: g}}\n")
    found = read(str(tmp_path))
    everything = sorted([*found.problems, *problems(found.library, vetting())])
    assert len(everything) > 3
    VALIDATOR.validate(json.loads(as_sarif(everything, found.texts, manual())))


def test_a_clean_run_and_odd_paths_are_valid_too() -> None:
    VALIDATOR.validate(json.loads(as_sarif([], {}, manual())))
    odd = problem(Place("a b/é%.yaml", 1, 1, 1, 2), "a-rule", "Wrong.", severity="warning")
    VALIDATOR.validate(json.loads(as_sarif([odd], {}, {})))


def test_the_validator_refuses_what_is_no_sarif() -> None:
    with pytest.raises(jsonschema.ValidationError):
        VALIDATOR.validate({"version": "2.1.0", "runs": [{"results": []}]})
