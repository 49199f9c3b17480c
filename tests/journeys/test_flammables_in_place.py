"""Part 9 of the job: flammable stock stays within what the place may hold, and what the air needs is told."""

from stock.cautions import books
from stock.store.connection import connection
from tests.journeys.test_cautions_screen import address, cautions, listed, to  # noqa: F401
from tests.tui.driving import opened, press, seen, settle
from tests.tui.mouse import click_key, click_on, take


def standing() -> dict[str, str | None]:
    with connection():
        facts = books.facts()
    places = {place.id: place.name for place in facts.places}
    names = {product.id: product.name for product in facts.products}
    return {names[each.product_id]: places.get(each.place_id) for each in facts.bottles}


async def test_by_keys_everything_is_carried_where_it_fits(address: str) -> None:  # noqa: F811
    async with cautions(address) as (pilot, screen):
        assert "frost" in listed(screen)
        await press(pilot, "w")
        text = seen(pilot.app)
        assert "Garage → Steel cabinet" in text
        assert standing()["Swift Reducer"] == "Garage"  # shown is not booked
        await press(pilot, "enter")
        assert "frost" not in listed(screen)
    assert standing()["Swift Reducer"] == "Steel cabinet"


async def test_by_mouse_everything_is_carried_where_it_fits(address: str) -> None:  # noqa: F811
    async with opened(address) as pilot:
        await click_on(pilot, "5 Cautions")
        await click_key(pilot, "All moves")
        await click_on(pilot, "Enter  I moved")
    assert standing()["Swift Reducer"] == "Steel cabinet"


async def test_by_mouse_a_bottle_is_put_where_it_is_advised(address: str) -> None:  # noqa: F811
    async with cautions(address, (140, 45)) as (pilot, screen):
        await to(pilot, screen, "frost")
        await click_key(pilot, "Move")
        if not pilot.app.screen.query("#place"):  # a finding about a place shows what to carry out of it
            await click_on(pilot, "Enter  I moved")
        else:
            await take(pilot, "place", "Steel cabinet")
            await click_on(pilot, "Book it", last=True)
        assert "frost" not in listed(screen)


async def test_what_the_air_needs_stands_beside_a_mix_before_it_is_booked(studio: str) -> None:
    async with opened(studio, (140, 45)) as pilot:
        await press(pilot, "3")
        form = pilot.app.screen.query_one("#form")
        for field, text in (
            ("paint-0", "Harbour Blue"),
            ("amount-0", "4 ml"),
            ("reduce", "20%"),
            ("reducer", "Swift"),
        ):
            form.field(field).text = text
        await settle(pilot)
        await press(pilot, "pagedown")
        plan = pilot.app.screen._plan
        assert any(one.code.startswith("air") for one in plan.cautions)
        assert "`ullage" not in seen(pilot.app)
