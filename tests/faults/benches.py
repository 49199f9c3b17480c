"""Benches: processes of their own that book in the real books, to be raced against each other and killed.

They come from a server of forks that has loaded the code once, so that two hundred of them cost seconds.
"""

import itertools
import multiprocessing
import os
import random
import signal
import time
from collections.abc import Callable
from contextlib import suppress
from datetime import date, datetime
from multiprocessing.connection import Connection
from multiprocessing.process import BaseProcess
from typing import Any

from stock.bench.mixing import MixRequest, book_mix
from stock.errors import BooksUnreachable, NotEnough, UllageError
from stock.shelf import counts, deliveries, periods
from stock.store import connection
from stock.store.models import Booking
from stock.store.refusals import LineLost

CONTEXT = multiprocessing.get_context("forkserver")
CONTEXT.set_forkserver_preload(["tests.faults.benches"])


def start(work: Callable[..., None], *args: Any) -> tuple[BaseProcess, Connection]:
    """A bench at work; whatever it sends arrives at the connection, and its end closes that."""
    here, there = CONTEXT.Pipe(duplex=False)
    process = CONTEXT.Process(target=work, args=(there, *args), daemon=True)
    process.start()
    there.close()
    return process, here


def heard(line: Connection) -> list[Any]:
    """Everything a bench said until it ended or died."""
    said = []
    while True:
        try:
            said.append(line.recv())
        except (EOFError, ConnectionError):
            return said


def book_forever(line: Connection, address: str, name: str) -> None:
    """Mix and receive with keys of one's own until killed; each answer is told when it is had."""
    connection.open_books(address)
    line.send("open")
    with connection.connection():
        for number in itertools.count():
            key = f"{name}-{number}"
            line.send(("asked", key))
            if number % 5 == 4:
                deliveries.receive("Harbour Blue", 60_000, key=key)
            else:
                book_mix(MixRequest(parts=(("Harbour Blue", 700),), reduce=20), key=key)
            line.send(("booked", key))


def receive_forever(line: Connection, address: str, name: str) -> None:
    """Take in bottles with keys of one's own until killed; a key is told when its answer is had."""
    connection.open_books(address)
    with connection.connection():
        for number in itertools.count():
            key = f"{name}-{number}"
            with suppress(BooksUnreachable):  # refused is not confirmed
                deliveries.receive("Harbour Blue", 60_000, key=key)
                line.send(key)


def book_until(line: Connection, address: str, name: str, enough: Any) -> None:
    """Mix with keys of one's own until it is enough, again with the same key while the server is away."""
    for number in itertools.count():
        if enough.is_set():
            return
        key = f"{name}-{number}"
        while True:
            try:
                connection.open_books(address)
                with connection.connection():
                    book_mix(MixRequest(parts=(("Harbour Blue", 700),), reduce=20), key=key)
                break
            except LineLost:
                line.send(("lost", key))
            except BooksUnreachable:
                line.send(("away", key))
                time.sleep(0.05)
        line.send(("booked", key))


def pour_often(line: Connection, address: str, seed: int, errands: int, gate: Any) -> None:
    """Pour so often from the bottles that all others pour from, once all are ready; pours and refusals are told."""
    chance = random.Random(seed)
    poured, refused, odd, slowest = [], 0, [], 0.0
    connection.open_books(address)
    with connection.connection():
        gate.wait(300)
        for _ in range(errands):
            begun = time.monotonic()
            try:
                if chance.random() < 0.02:
                    deliveries.receive("Harbour Blue", 30_000)
                    continue
                amount = chance.randrange(100, 9_000)
                answer = book_mix(MixRequest(parts=(("Harbour Blue", amount),)), judge=False)
                poured += [
                    (pour["bottle"], pour["volume_ml"], pour["on_hand_ml"]) for pour in answer["pours"]
                ]
            except NotEnough as refusal:
                refused += 1
                if "nothing was booked" not in str(refusal):
                    odd.append(str(refusal))
            except UllageError as error:
                odd.append(str(error))
            slowest = max(slowest, time.monotonic() - begun)
    line.send({"poured": poured, "refused": refused, "odd": odd, "slowest": slowest})


def mix_once(line: Connection, address: str, key: str, gate: Any) -> None:
    """Open the books, wait until all are ready, then send the same request as the others."""
    connection.open_books(address)
    with connection.connection():
        gate.wait(300)
        line.send(
            book_mix(MixRequest(parts=(("Harbour Blue", 1_000),), reduce=20, job=f"Job {key}"), key=key)
        )


def mix_for_job(line: Connection, address: str, number: int, gate: Any) -> None:
    """Open the books, wait until all are ready, then mix one of three products for the same new job."""
    product = ("Harbour Blue", "Slow Thinner", "Wash Down")[number % 3]
    connection.open_books(address)
    with connection.connection():
        gate.wait(300)
        line.send(book_mix(MixRequest(parts=((product, 1_000),), job="One Tank"), key=f"k{number}"))


def close_while_booking(line: Connection, address: str, until: date, gate: Any) -> None:
    """Close the books until a day while others book on it; tells how many bookings that day had by then."""
    connection.open_books(address)
    with connection.connection():
        gate.wait(300)
        with connection.writing():
            periods.close(until)
            line.send(Booking.select().where(Booking.day <= until).count())


def count_on(line: Connection, address: str, at: datetime, bottle: int, gate: Any) -> None:
    """Count a bottle on a past day again and again until that is refused; the refusal's code is told."""
    connection.open_books(address)
    with connection.connection():
        gate.wait(300)
        for volume_ul in range(50_000, 40_000, -10):
            try:
                counts.count(str(bottle), volume_ul, on=at)
            except UllageError as refused:
                line.send(refused.code)
                return


def book_in_each(line: Connection, addresses: list[str], key: str) -> None:
    """Mix once in each of many studios, opened one after the other; each answer is told."""
    for address in addresses:
        connection.open_books(address)
        with connection.connection():
            line.send(book_mix(MixRequest(parts=(("Harbour Blue", 700),), reduce=20), key=key)["booked"])


def kill(process: BaseProcess) -> None:
    """`kill -9`, and wait until it is gone."""
    os.kill(process.pid or 0, signal.SIGKILL)
    process.join()
