"""Labels that a scanner types into a find box."""


def is_label(text: str) -> bool:
    """Whether a text reads like a bottle's label: B and digits."""
    digits = text.strip()[1:]
    return text.strip()[:1] in ("B", "b") and digits.isascii() and digits.isdigit() and len(digits) >= 4


def labelled(text: str) -> int | None:
    """The number of the bottle with that label, or None; called with the connection open."""
    from stock.errors import UllageError
    from stock.shelf.bottles import numbered

    bare = text.strip()
    if bare.isdigit() or (bare[:1] in ("B", "b") and bare[1:].strip().isdigit() and not is_label(bare)):
        return None
    try:
        return int(numbered(bare).id)
    except UllageError:
        return None
