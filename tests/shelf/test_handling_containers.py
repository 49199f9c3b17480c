"""What a bottle is, as a person names it."""

import pytest

from stock.errors import BadInput
from stock.shelf.handling import container_of
from stock.store.words import CONTAINERS


@pytest.mark.parametrize(
    ("text", "kind"),
    [
        *((word, word) for word in CONTAINERS), ("Aerosol can", "aerosol_can"), ("spray can", "aerosol_can"),
        ("can", "metal"), ("TIN", "metal"), ("safety can", "safety_can"),
    ],
)  # fmt: skip
def test_a_container_is_read_as_a_person_names_it(text: str, kind: str) -> None:
    assert container_of(text) == kind


@pytest.mark.parametrize("text", ["bottle", "jar"])
def test_a_bottle_or_jar_may_be_of_glass_or_plastic_and_is_asked(text: str) -> None:
    with pytest.raises(BadInput) as refused:
        container_of(text)
    assert "by what it is made of" in str(refused.value.remedy)
