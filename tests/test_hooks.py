"""The hooks that run before a commit: ours, and the one that others may take."""

import re
import shlex
from pathlib import Path
from typing import Any

import pytest
import yaml

from diagtree.cli import COMMANDS

ROOT = Path(__file__).parents[1]


def hooks(name: str) -> list[dict[str, Any]]:
    found = yaml.safe_load((ROOT / name).read_text())
    return list(found["repos"][0]["hooks"] if isinstance(found, dict) else found)


def test_others_take_vet_for_yaml_files_without_their_names() -> None:
    [hook] = hooks(".pre-commit-hooks.yaml")
    assert (hook["id"], hook["entry"], hook["language"]) == ("diagtree-vet", "diagtree vet", "python")
    assert (hook["types"], hook["pass_filenames"]) == (["yaml"], False)
    assert hook["entry"].split()[1] in COMMANDS


@pytest.mark.parametrize("hook", hooks(".pre-commit-config.yaml"), ids=lambda hook: str(hook["id"]))
def test_our_own_run_what_stands_in_the_repository(hook: dict[str, Any]) -> None:
    program, *rest = shlex.split(hook["entry"])
    assert program == ".venv/bin/python"
    if rest[1] == "diagtree":
        assert rest[2] in COMMANDS
        assert (ROOT / rest[3]).is_dir()
        assert re.search(hook["files"], f"{rest[3]}/x.yaml")
    else:
        assert f"$python -m {' '.join(rest[1:])}" in (ROOT / ".ci" / "run").read_text()
