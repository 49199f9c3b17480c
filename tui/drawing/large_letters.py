"""Letters and figures of blocks, to be read from afar: five points high, a point being half a row or a whole one."""

import unicodedata

GLYPHS = {
    "0": "75557", "1": "26227", "2": "71747", "3": "71317", "4": "55711", "5": "74717", "6": "74757", "7": "71122",
    "8": "75757", "9": "75717", "A": "25755", "B": "65656", "C": "34443", "D": "65556", "E": "74647", "F": "74644",
    "G": "34553", "H": "55755", "I": "72227", "J": "11152", "K": "55655", "L": "44447", "M": "57755", "N": "65555",
    "O": "25552", "P": "65644", "Q": "25563", "R": "65655", "S": "34216", "T": "72222", "U": "55557", "V": "55552",
    "W": "55775", "X": "55255", "Y": "55222", "Z": "71247", " ": "00000", ".": "00002", ",": "00024", "+": "02720",
    "-": "00700", "%": "51245", ":": "02020", "/": "11244", "?": "71202",
}  # fmt: skip
"""Each letter's five rows of three points, a row as an octal figure."""
BLANK = "\N{NO-BREAK SPACE}"
"""A plain space at the beginning of a row would be left out where the row is drawn."""
HALVES = {(0, 0): BLANK, (1, 0): "▀", (0, 1): "▄", (1, 1): "█"}
ROWS, WIDE, NARROW = 5, 8, 4
"""Points in a letter's height; cells of a letter with its gap, large and small."""


def _points(text: str) -> list[list[int]]:
    """The points of a text, row by row, each letter followed by a gap."""
    plain = [
        letter for letter in unicodedata.normalize("NFKD", text.upper()) if not unicodedata.combining(letter)
    ]
    glyphs = [GLYPHS.get(letter, GLYPHS["?"]) for letter in plain]
    return [
        [bit for glyph in glyphs for bit in (*(int(glyph[row]) >> at & 1 for at in (2, 1, 0)), 0)]
        for row in range(ROWS)
    ]


def large(text: str, width: int) -> list[str]:
    """Five rows of letters eight cells wide; what does not fit is left out."""
    return [
        "".join("██" if bit else "  " for bit in row[: width // WIDE * NARROW]).rstrip()
        for row in _points(text)
    ]


def small(text: str, width: int) -> list[str]:
    """Three rows of letters four cells wide; what does not fit is left out."""
    rows = [*_points(text[: width // NARROW]), []]
    length = len(rows[0])
    rows[-1] = [0] * length
    return [
        "".join(HALVES[upper, lower] for upper, lower in zip(rows[at], rows[at + 1], strict=True)).rstrip()
        for at in range(0, len(rows), 2)
    ]
