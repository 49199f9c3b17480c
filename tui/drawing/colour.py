"""Luminance, contrast and blends of colours.

Contrast is the ratio of WCAG 2.2, "contrast ratio" and "relative luminance" (W3C Recommendation 2023-10-05).
"""

from functools import lru_cache


def channels(colour: str) -> tuple[int, int, int]:
    """Red, green and blue, 0-255, of `#rrggbb` or `#rgb`; a middle grey for any other text."""
    digits = colour.removeprefix("#")
    if len(digits) == 3:
        digits = "".join(letter * 2 for letter in digits)
    try:
        return int(digits[0:2], 16), int(digits[2:4], 16), int(digits[4:6], 16)
    except ValueError:
        return 128, 128, 128


@lru_cache(maxsize=1024)
def luminance(colour: str) -> float:
    """Relative luminance, 0 (black) to 1 (white)."""

    def linear(channel: int) -> float:
        share = channel / 255
        return share / 12.92 if share <= 0.04045 else float(((share + 0.055) / 1.055) ** 2.4)

    red, green, blue = map(linear, channels(colour))
    return 0.2126 * red + 0.7152 * green + 0.0722 * blue


def contrast(one: str, other: str) -> float:
    """The contrast of two colours, 1 (the same) to 21 (black and white)."""
    dark, bright = sorted((luminance(one), luminance(other)))
    return (bright + 0.05) / (dark + 0.05)


@lru_cache(maxsize=1024)
def blend(one: str, other: str, share: float) -> str:
    """A colour `share` of the way from one to the other."""
    mixed = (round(a + (b - a) * share) for a, b in zip(channels(one), channels(other), strict=True))
    return "#" + "".join(f"{channel:02x}" for channel in mixed)
