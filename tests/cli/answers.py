"""What a command answered with `--json`."""

import json
from typing import Any


def answer_of(text: str) -> Any:
    """The JSON document, without the number of its shape that each has."""
    said = json.loads(text)
    assert said.pop("schema") == 1
    return said
