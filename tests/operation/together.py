"""Doing several things at the same moment, each in a thread with a connection of its own."""

import threading
from collections.abc import Callable
from typing import Any

from django.db import connections

WAIT = 60  # seconds; nobody waits for the other as long as that


def at_once(*calls: Callable[[], Any]) -> list[Any]:
    """Start all at the same moment; return what each gave back, or the exception it raised."""
    start = threading.Barrier(len(calls))
    came: list[Any] = [None] * len(calls)

    def run(place: int, call: Callable[[], Any]) -> None:
        try:
            start.wait(WAIT)
            came[place] = call()
        except Exception as error:  # handed to the test, which looks at each
            came[place] = error
        finally:
            connections.close_all()

    threads = [
        threading.Thread(target=run, args=(place, call)) for place, call in enumerate(calls)
    ]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join(WAIT)
    assert not any(thread.is_alive() for thread in threads), "two wait for each other"
    return came


def kinds(came: list[Any]) -> list[str]:
    """The class names of what came back, in order of the alphabet."""
    return sorted(type(each).__name__ for each in came)
