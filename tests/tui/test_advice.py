"""What the Bench says of a jar that is left of a colour."""

from datetime import date
from types import SimpleNamespace

import pytest

from tui.bench.advice import jar_note

TODAY = date(2026, 5, 4)


@pytest.mark.parametrize(
    ("good_until", "said", "ink"),
    [
        (date(2026, 5, 4), "good until 2026-05-04", "good"),
        (date(2026, 5, 3), "past its last good day 2026-05-03: test it on a card first", "warn"),
        (None, "shelf life unknown", "warn"),
    ],
)
def test_a_jar_past_its_day_is_never_offered_as_good(good_until, said, ink):
    jar = SimpleNamespace(on_hand_ul=3_000, label="M1032", good_until=good_until)
    text, shown = jar_note(jar, TODAY)
    assert said in text
    assert shown == ink
    assert text.startswith("! ") == (ink == "warn")
