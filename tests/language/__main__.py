"""Bring the catalogue of each language up to the messages of the program: `python -m tests.language`.

New messages are added without a translation, those that are gone are dropped, and what is translated is compiled.
"""

import sys
from datetime import UTC, datetime
from io import BytesIO
from pathlib import Path

from babel.messages.catalog import Catalog
from babel.messages.mofile import write_mo
from babel.messages.pofile import read_po, write_po

from stock.language import CATALOGUES, LANGUAGES, SOURCE
from tests.language.collecting import catalogue


def source_of(code: str) -> Path:
    """The file that translators edit."""
    return Path(CATALOGUES) / code / "LC_MESSAGES" / "ullage.po"


def read(code: str) -> Catalog:
    """The catalogue of a language as it is kept; an empty one where there is none."""
    if not source_of(code).exists():
        return _empty(code)
    with source_of(code).open("rb") as file:
        return read_po(file, locale=code)


def _empty(code: str) -> Catalog:
    made = Catalog(
        locale=code, project="Ullage", fuzzy=False, header_comment=f"# Messages of Ullage: {LANGUAGES[code]}."
    )
    made.creation_date = made.revision_date = datetime(2026, 11, 27, tzinfo=UTC)
    made.last_translator = made.language_team = made.msgid_bugs_address = "the Ullage project"
    return made


def compiled(kept: Catalog) -> bytes:
    """The same as the program reads it."""
    out = BytesIO()
    write_mo(out, kept)
    return out.getvalue()


def main() -> int:
    """Write the catalogues; returns 1 where a message has no translation yet."""
    lacking = 0
    for code in LANGUAGES:
        if code == SOURCE:
            continue
        kept = read(code)
        kept.update(
            catalogue(), no_fuzzy_matching=True, update_header_comment=False, update_creation_date=False
        )
        kept.obsolete.clear()
        source_of(code).parent.mkdir(parents=True, exist_ok=True)
        with source_of(code).open("wb") as file:
            write_po(file, kept, width=110, sort_output=True, no_location=True)
        source_of(code).with_suffix(".mo").write_bytes(compiled(kept))
        untranslated = [
            one for one in kept if one.id and not (all(one.string) if one.pluralizable else one.string)
        ]
        lacking += len(untranslated)
        print(f"{LANGUAGES[code]}: {len(kept)} messages, {len(untranslated)} without a translation")
    return 1 if lacking else 0


if __name__ == "__main__":
    sys.exit(main())
