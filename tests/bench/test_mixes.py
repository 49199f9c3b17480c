"""What the books say of mixes that were made."""

from datetime import date

from stock.bench.mixes import mixed_often
from stock.store.models import Product


def test_what_was_mixed_lately_is_counted_by_mix_not_by_pour(mixed):
    numbers = {row.name: row.id for row in Product.select()}
    assert mixed_often(date(2000, 1, 1)) == {numbers["Harbour Blue"]: 1, numbers["Slow Thinner"]: 1}
    assert mixed_often(date(9000, 1, 1)) == {}
