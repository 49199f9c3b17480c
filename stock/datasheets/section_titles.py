"""The titles of the sixteen sections of a safety data sheet, in four languages.

The order and titles are those of Regulation (EC) 1907/2006, annex II, and of the UN's GHS, annex 4.
"""

import re

_TITLES = {
    1: r"identif|bezeichnung|producto|product and company|company",
    2: r"hazard|gefahr|danger|peligro",
    3: r"composition|ingredient|zusammensetzung|composici|bestandteil",
    4: r"first|erste|premier|primeros",
    5: r"fire|brand|incendi|feuer",
    6: r"accident|unbeabsichtigt|vertido|release|spill|liberaci|freisetzung",
    7: r"handling|handhabung|manip|lagerung|storage|stockage|almacenamiento",
    8: r"exposure|exposition|exposici|personal protect|schutzausr",
    9: r"physical|physikalisch|physique|f[íi]sic",
    10: r"stabil|estabilidad|reactivity|reaktiv|r[ée]activit|reactividad",
    11: r"toxi[ck]olog",
    12: r"ecolog|ökolog|umweltbezogen|[ée]colog|environment",
    13: r"dispos|entsorgung|[ée]limination|eliminaci",
    14: r"transport",
    15: r"regulat|rechts|vorschrift|r[ée]glement|reglament|legal",
    16: r"other|sonstig|weitere|autre|divers|otr[ao]",
}
_WORD = r"(?:section|abschnitt|kapitel|rubrique|sektion|secci[oó]n|apartado|part(?:ie)?)"
_NUMBERED = re.compile(
    rf"[*•·]?\s*(?:{_WORD}\s*)?(?P<number>\d{{1,2}})\s*[.:)\-]*\s*(?P<title>.*)", re.IGNORECASE
)
_WORDED = re.compile(rf"[*•·]?\s*{_WORD}\s*\d", re.IGNORECASE)
LONGEST_TITLE = 110


def heading(text: str, following: str = "") -> int | None:
    """The number of the section that a line begins, or None.

    Args:
        text: the line, tidied.
        following: the line after it, where a title may stand.
    """
    found = _NUMBERED.match(text.strip())
    if found is None or len(text) > LONGEST_TITLE:
        return None
    number, title = int(found["number"]), found["title"].strip()
    worded = _WORDED.match(text.strip()) is not None
    wanted = _TITLES.get(number)
    if wanted is None or re.match(r"\d", title) or (title.endswith(".") and not worded):
        return None
    searched = (
        f"{title[:70]} {following.strip()[:70]}" if worded else title[:70]
    )  # a title may take two lines
    if not re.search(wanted, searched, re.IGNORECASE):
        return None
    if not worded and title[:1].islower():
        return None
    return number
