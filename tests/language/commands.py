"""What each command says and writes: `python -m tests.language.commands pseudo` in the language that nobody speaks.

Run in an empty folder. Prints the JSON answers of each line, and every text that the books then hold; in that language
the texts of each line, too.
"""

import io
import json
import shlex
import sqlite3
import sys
from contextlib import redirect_stderr, redirect_stdout
from pathlib import Path
from typing import Any

from tests.faults.every_command import DOES, READS
from tests.language import pseudo


def said(line: str) -> tuple[int, str]:
    """The status of a line, and what it printed."""
    from stock.cli.main import main

    out, err = io.StringIO(), io.StringIO()
    with redirect_stdout(out), redirect_stderr(err):
        status = main(shlex.split(line))
    return status, out.getvalue() + err.getvalue()


def heard(*, as_text: bool) -> dict[str, Any]:
    """Every line done, then every line read as JSON and, where that is asked for, as text."""
    done = {line: said(line) for line in DOES}
    reads = [line for line in READS if not line.startswith(("help", "completion", "labels"))]
    texts = {line: said(line)[1] for line in reads if as_text}
    answers = {line: json.loads(said(f"{line} --json")[1]) for line in reads}
    return {
        "failed": [(line, text) for line, (status, text) in done.items() if status],
        "texts": {**{line: text for line, (_, text) in done.items()}, **texts},
        "answers": answers,
        "written": sorted(written(Path("studio.ullage"))),
    }


def written(books: Path) -> set[str]:
    """Every text that the tables of the books hold."""
    with sqlite3.connect(books) as file:
        tables = [name for (name,) in file.execute("SELECT name FROM sqlite_schema WHERE type = 'table'")]
        return {
            value
            for table in tables
            for row in file.execute(f'SELECT * FROM "{table}"')
            for value in row
            if isinstance(value, str)
        }


if __name__ == "__main__":
    if other := "pseudo" in sys.argv:
        pseudo.speak()
    print(json.dumps(heard(as_text=other)))
