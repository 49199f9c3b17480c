"""Chains of undo and redo: which booking takes back which, and which bookings stand at present.

A booking, its undo, the undo of that and so on make a chain: errand <- undo <- redo <- undo ... Only the last
of a chain can be taken back. Each time that happens, every booking below it changes between standing and
undone, so exactly one of two neighbours stands.
"""

from collections.abc import Iterable

from stock.store.models import Booking, Undone


def root(booking: Booking) -> Booking:
    """The errand at the bottom of a booking's chain; the booking itself if it undoes nothing."""
    while booking.undoes_id is not None:
        booking = Booking.get_by_id(booking.undoes_id)
    return booking


def tip(booking: Booking) -> Booking:
    """The last booking of a chain: the one to reverse in order to turn the errand over."""
    while (following := Booking.get_or_none(Booking.undoes == booking.id)) is not None:
        booking = following
    return booking


def leader(undo: Booking) -> int:
    """The undo that a person asked for: this one, or the one with which it was booked."""
    return int(undo.id if undo.with_undo_id is None else undo.with_undo_id)


def undone_by(booking: int) -> int | None:
    """The number of the undo that took a booking back, or None while the booking stands."""
    row = Undone.get_or_none(Undone.booking == booking)
    return None if row is None else int(row.by_id)


def turn(reversed_: Booking, by: int) -> None:
    """Note that the last booking of a chain was taken back, and turn over everything below it."""
    Undone.insert(booking=reversed_.id, by=by).execute()
    stands, current = False, reversed_
    while current.undoes_id is not None:
        below = Booking.get_by_id(current.undoes_id)
        stands = not stands
        if stands:
            Undone.delete().where(Undone.booking == below.id).execute()
        else:
            Undone.insert(booking=below.id, by=current.id).execute()
        current = below


def unsound(links: Iterable[tuple[int, int]], undone: dict[int, int]) -> list[int]:
    """Bookings that are marked as undone, or not marked, contrary to the undos.

    Args:
        links: (number of the undo, number of what it undoes), all of the books.
        undone: the marks: booking to the undo that took it back.
    """
    by = {below: above for above, below in links}
    wrong = [below for below, above in by.items() if (below in undone) == (above in undone)]
    wrong += [booking for booking, above in undone.items() if by.get(booking) != above]
    return sorted(set(wrong))
