"""What a wash-out usually takes, learnt from those in the books."""

import pytest

from stock.bench import washing
from stock.errors import BadInput
from stock.logbook.undo import undo


def test_what_is_usual_is_the_middle_of_the_last_wash_outs(stocked: str):
    with pytest.raises(BadInput, match="says what is usual"):
        washing.read_wash(None)
    with pytest.raises(BadInput, match="usual with Slow Thinner"):
        washing.read_wash("Slow Thinner")
    for amount_ul in (10_000, 50_000, 12_000):
        last = washing.wash("Slow Thinner", amount_ul)["wash"]
    assert washing.read_wash(None) == ("Slow Thinner", 12_000)
    assert washing.read_wash("slow=3ml") == ("slow", 3_000)
    undo("wash", last)
    assert washing.read_wash("Slow Thinner") == ("Slow Thinner", 10_000)
