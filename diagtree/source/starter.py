"""The smallest library, to start from: the files of `diagtree/starter` and the schema that editors check them with.

They are YAML files and no text in code, so that `diagtree vet` and an editor read them as they will be written.
"""

import json
from collections.abc import Mapping
from importlib.resources import files

from diagtree.source.schema import FILE_NAME, schema

ENGINE_FILE = "engine.yaml"
DEFAULT_ENGINE = "example-engine"
EXAMPLE_TREE = "cold-noise"
# The first line of every file: editors take the schema that stands beside it.
EDITOR_LINE = f"# yaml-language-server: $schema={FILE_NAME}"


def library(engine: str = DEFAULT_ENGINE) -> Mapping[str, str]:
    """File name -> text, sorted by name, with `engine` as the engine's id."""
    texts = {name: text for name, text in _texts().items() if name != ENGINE_FILE}
    texts[ENGINE_FILE] = _texts()[ENGINE_FILE].replace(f"engine: {DEFAULT_ENGINE}", f"engine: {engine}")
    texts[FILE_NAME] = schema_text()
    return dict(sorted(texts.items()))


def schema_text() -> str:
    """The schema as a file."""
    return json.dumps(schema(), indent=2) + "\n"


def _texts() -> dict[str, str]:
    folder = files("diagtree").joinpath("starter")
    return {file.name: file.read_text(encoding="utf-8") for file in folder.iterdir() if file.name.endswith(".yaml")}
