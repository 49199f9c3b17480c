"""What a wash-out usually takes, learnt from those in the books."""

import pytest

from stock.bench import washing
from stock.errors import BadInput, Stopped
from stock.logbook.undo import undo
from stock.shelf import deliveries, products
from stock.shelf.bottles import numbered


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


def test_a_wash_out_is_booked_off_its_bottle_and_judged_by_the_mix_it_follows(mixed: int):
    """Bleach after a paint of which nothing is known is stopped, whether the mix is named or the day's last one."""
    products.add({"name": "Sharp Bleach", "role": "cleaner", "solvent": ["bleach=4"], "water": "96"})
    [bottle] = deliveries.receive("Sharp Bleach", 250_000)["bottles"]
    stops = [
        each.code
        for each in washing.cautions_before("Sharp Bleach", 10_000, mixed)
        if each.severity == "stop"
    ]
    assert stops
    assert washing.cautions_before("Sharp Bleach", 10_000, None) == washing.cautions_before(
        "Sharp Bleach", 10_000, mixed
    )
    for mix in (mixed, None):
        for accept in ((), ["no-such-code"]):
            with pytest.raises(Stopped):
                washing.wash("Sharp Bleach", 10_000, mix=mix, accept=accept)
    answer = washing.wash("Sharp Bleach", 10_000, accept=stops)
    assert (answer["product"], answer["volume_ml"]) == ("Sharp Bleach", 10)
    assert answer["pours"] == [{"bottle": bottle["id"], "volume_ml": 10, "on_hand_ml": 240}]
    assert numbered(str(bottle["id"])).opened_on is not None
    undo("mix", mixed)
    washing.wash("Sharp Bleach", 10_000)  # nothing was mixed that it could meet


def test_only_cleaners_and_reducers_wash_and_only_mixes_are_washed_out(stocked: str):
    assert {row.name for row in washing.washable()} == {"Slow Thinner", "Wash Down"}
    with pytest.raises(BadInput, match="not used to wash"):
        washing.wash("Harbour Blue", 1_000)
    with pytest.raises(BadInput, match="there is no mix 99"):
        washing.wash("Wash Down", 1_000, mix=99)


def test_the_usual_cleaner_is_the_last_one_or_the_only_one(stocked: str):
    assert washing.usual_cleaner().name == "Wash Down"
    assert washing.usual_amount(washing.usual_cleaner().id) is None
    products.add({"name": "Other Wash", "role": "cleaner"})
    assert washing.usual_cleaner() is None
    washing.wash("Slow Thinner", 1_000)
    last = washing.wash("Wash Down", 2_000)["wash"]
    assert washing.usual_cleaner().name == "Wash Down"
    undo("wash", last)
    assert washing.usual_cleaner().name == "Slow Thinner"
