"""Write anew what is read in the place of the rule files: `python -m tests.rule_entries`, after a rule changed."""

from pathlib import Path

import tomli

from stock.cautions import rule_entries
from stock.cautions.rule_files import parse_rules


def current() -> str:
    """What the file of entries must hold, read from the rule files."""
    folder = Path(rule_entries.PATH).parent
    texts = {path.name: path.read_text(encoding="utf-8") for path in folder.glob("*.toml")}
    for name, text in texts.items():
        parse_rules(text, name)  # refuses one that is wrong in form: what is written here is proven
    return rule_entries.written(
        texts, {name: tomli.loads(text)["rule"] for name, text in sorted(texts.items())}
    )


if __name__ == "__main__":
    Path(rule_entries.PATH).write_text(current(), encoding="utf-8")
