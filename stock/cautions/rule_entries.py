"""A cache of the rule files' entries in JSON, which is read ten times as quickly as TOML.

`python -m tests.rule_entries` checks the form of the rule files and writes rules/entries.json. Its first line is a
checksum of the rule files and of its own entries. If the checksum is wrong, because a file or an entry was edited, the
rule files themselves are read; `tests/cautions/test_rules.py` fails when the cache must be written again.
"""

import json
from collections.abc import Mapping
from typing import Any
from zlib import crc32

from stock.shipped_files import path_of

PATH = path_of("cautions", "rules", "entries.json")


def of_files(texts: Mapping[str, str]) -> dict[str, list[Any]]:
    """The `[[rule]]` entries of each file by its name; empty if the cache was made from other files.

    Args:
        texts: every rule file's text by its name.
    """
    try:
        with open(PATH, encoding="utf-8") as file:
            checksum, _, entries = file.read().partition("\n")
    except OSError:
        return {}
    if checksum != _checksum(texts, entries):
        return {}
    found: dict[str, list[Any]] = json.loads(entries)
    return found


def written(texts: Mapping[str, str], read: Mapping[str, list[Any]]) -> str:
    """The text of the cache for these rule files, a rule on each line.

    Args:
        texts: every rule file's text by its name.
        read: the `[[rule]]` entries of each.
    """
    files = (
        f"{json.dumps(name)}: [\n"
        + ",\n".join(json.dumps(rule, ensure_ascii=False) for rule in rules)
        + "\n]"
        for name, rules in read.items()
    )
    entries = "{" + ",\n".join(files) + "}\n"
    return f"{_checksum(texts, entries)}\n{entries}"


def _checksum(texts: Mapping[str, str], entries: str) -> str:
    named = (part for name in sorted(texts) for part in (name, texts[name]))
    return format(crc32("\0".join((*named, entries)).encode()), "08x")
