"""The entries of the rule files as they were read and proven before: JSON is read ten times as quickly as TOML.

`python -m tests.rule_entries` proves the rule files in form and writes rules/entries.json. Its first line is a checksum
of the rule files and of its own entries. Where that doesn't hold, because a file was edited or an entry altered, the
rule files are read themselves; `tests/cautions/test_rules.py` says when it is time to write it anew.
"""

import json
from collections.abc import Mapping
from typing import Any
from zlib import crc32

from stock.shipped_files import path_of

PATH = path_of("cautions", "rules", "entries.json")


def of_files(texts: Mapping[str, str]) -> dict[str, list[Any]]:
    """By each file's name its `[[rule]]` entries; empty where these files are not the ones that were read before.

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
    """What the file of entries holds for these rule files, a rule on a line.

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
