"""What a scanner types into a find box: a bottle's label, which leads to the bottle."""


def is_label(text: str) -> bool:
    """Whether this reads like a bottle's label: B and digits, as a scanner types it."""
    digits = text.strip()[1:]
    return text.strip()[:1] in ("B", "b") and digits.isascii() and digits.isdigit() and len(digits) >= 4


def labelled(text: str) -> int | None:
    """The bottle of that label, read with the connection open; None for letters that are only looked for."""
    from stock.errors import UllageError
    from stock.shelf.bottles import numbered

    bare = text.strip()
    if bare.isdigit() or (bare[:1] in ("B", "b") and bare[1:].strip().isdigit() and not is_label(bare)):
        return None
    try:
        return int(numbered(bare).id)
    except UllageError:
        return None
