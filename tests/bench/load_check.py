"""The last minutes before a deadline, on a real server. Run by hand, never by pytest:

    BUOYLINE_STATE=/tmp/load python tests/bench/load_check.py --workers 1 2 4
    BUOYLINE_STATE=/tmp/load .ci/with-postgres python tests/bench/load_check.py

500 invented riders come at moments spread evenly at random over the last seconds before the
deadline. Each opens the planner, checks the run twice as the form does at every change, and
declares it. Told are the errors, the medians and the 95th percentiles, for each number of
gunicorn's workers. It needs an empty database of its own and leaves it filled.
"""

import argparse
import os
import random
import statistics
import subprocess
import sys
import threading
import time
from collections import Counter
from dataclasses import dataclass, field
from datetime import timedelta
from http.client import HTTPConnection, HTTPException
from pathlib import Path
from urllib.parse import urlencode

BASE = Path(__file__).resolve().parents[2]
sys.path.insert(0, str(BASE))
os.environ["BUOYLINE_ENV"] = "current"
os.environ["DJANGO_SETTINGS_MODULE"] = "events.project.settings"
PORT = 8457
TOKEN = "a" * 32
TRICKS = ("Raley", "Mute", "Indy", "HS FS 360")


@dataclass
class Told:
    """What the riders met."""

    times: dict[str, list[float]] = field(default_factory=dict)
    outcomes: Counter = field(default_factory=Counter)
    lock: threading.Lock = field(default_factory=threading.Lock)

    def add(self, what: str, seconds: float, outcome: str) -> None:
        with self.lock:
            self.times.setdefault(what, []).append(seconds)
            self.outcomes[outcome] += 1


def build(count: int) -> list[tuple[int, str]]:
    """An event with a division and its riders; gives each entry and its session."""
    from django.conf import settings
    from django.contrib.auth import BACKEND_SESSION_KEY, HASH_SESSION_KEY, SESSION_KEY
    from django.contrib.sessions.backends.db import SessionStore
    from django.core.management import call_command

    from events.rules.loading import as_data, load_format
    from tests.factories import EditionFactory, EntryFactory
    from tests.riders.conftest import RULES

    settings.PASSWORD_HASHERS = ["django.contrib.auth.hashers.MD5PasswordHasher"]
    call_command("migrate", verbosity=0, interactive=False)
    division = EditionFactory(data=as_data(load_format(RULES))).division
    riders = []
    for entry in EntryFactory.create_batch(count, division=division):
        user = entry.rider.user
        session = SessionStore()
        session[SESSION_KEY] = str(user.pk)
        session[BACKEND_SESSION_KEY] = settings.AUTHENTICATION_BACKENDS[0]
        session[HASH_SESSION_KEY] = user.get_session_auth_hash()
        session.save()
        riders.append((entry.pk, session.session_key))
    return riders


def ask(line: HTTPConnection, what: str, path: str, cookie: str, told: Told, form=None) -> None:
    """One request; its time and what came of it."""
    headers = {"Host": "localhost", "Cookie": cookie, "X-CSRFToken": TOKEN}
    body = urlencode(form) if form else None
    if form:
        headers["Content-Type"] = "application/x-www-form-urlencoded"
    if what == "check":
        headers["HX-Request"] = "true"
    began = time.perf_counter()
    try:
        line.request("POST" if form else "GET", path, body, headers)
        answer = line.getresponse()
        page = answer.read().decode()
        outcome = f"{what} {answer.status}"
        if what == "declare" and answer.status == 200:
            outcome = "declare too late" if "The deadline was" in page else "declare refused"
    except (OSError, HTTPException) as error:
        line.close()
        outcome = f"{what} {type(error).__name__}"
    told.add(what, time.perf_counter() - began, outcome)


def ride(entry: int, session: str, wait: float, seed: int, told: Told) -> None:
    """One rider: open the planner, check twice, declare."""
    from tests.riders.conftest import fields

    dice = random.Random(seed)
    time.sleep(wait)
    path, cookie = f"/riding/entries/{entry}/plan/", f"sessionid={session}; csrftoken={TOKEN}"
    line = HTTPConnection("127.0.0.1", PORT, timeout=60)
    ask(line, "open", path, cookie, told)
    for _ in range(2):
        time.sleep(dice.uniform(0.5, 2))
        run = fields("HS backroll 8/10; Indy", f"{dice.choice(TRICKS)} 50%")
        ask(line, "check", path, cookie, told, run)
    time.sleep(dice.uniform(0.2, 1))
    run = fields(
        "HS backroll 8/10; Indy 6/9", f"{dice.choice(TRICKS[:2])} 5/9", action="declare"
    )
    ask(line, "declare", path, cookie, told, run)
    line.close()


def measure(workers: int, riders: list[tuple[int, str]], seconds: float) -> None:
    """Start the server, let everybody come, and tell what they met."""
    from django.db import connections
    from django.utils import timezone

    from events.models import Event
    from riders.models import Declaration

    Declaration.objects.all().delete()
    Event.objects.update(declare_by=timezone.now() + timedelta(seconds=seconds + 14))
    environ = os.environ | {"WEB_WORKERS": str(workers), "WEB_BIND": f"127.0.0.1:{PORT}"}
    command = [sys.executable, "-m", "gunicorn", "-c", ".operation/gunicorn.conf.py"]
    server = subprocess.Popen([*command, "--log-level", "warning"], cwd=BASE, env=environ)
    try:
        told = Told()
        for _ in range(100):
            try:
                HTTPConnection("127.0.0.1", PORT, timeout=5).connect()
                break
            except OSError:
                time.sleep(0.1)
        dice = random.Random(workers)
        threads = [
            threading.Thread(target=ride, args=(*rider, dice.uniform(0, seconds), n, told))
            for n, rider in enumerate(riders)
        ]
        began = time.perf_counter()
        for thread in threads:
            thread.start()
        for thread in threads:
            thread.join()
        took = time.perf_counter() - began
    finally:
        server.terminate()
        server.wait(60)
    vendor, stored = connections["default"].vendor, Declaration.objects.count()
    asked = sum(told.outcomes.values())
    print(
        f"{vendor}, {workers} workers: {asked} requests in {took:.0f} s, {asked / took:.0f}/s"
    )
    for what, times in told.times.items():
        p95 = statistics.quantiles(times, n=20)[-1]
        median, most = statistics.median(times), max(times)
        print(f"  {what:8} p50 {median:.3f} s  p95 {p95:.3f} s  most {most:.3f} s")
    print(f"  {dict(sorted(told.outcomes.items()))}; {stored} runs stored", flush=True)
    if stored != told.outcomes["declare 302"]:
        sys.exit("What riders were told and what is stored differ.")


def main() -> None:
    """Read the command line and go."""
    parser = argparse.ArgumentParser(description=(__doc__ or "").partition("\n")[0])
    parser.add_argument("--riders", type=int, default=500)
    parser.add_argument("--seconds", type=float, default=60)
    parser.add_argument("--workers", type=int, nargs="+", default=[1, 2, 4])
    asked = parser.parse_args()
    if not os.environ.get("BUOYLINE_STATE"):
        sys.exit("Set BUOYLINE_STATE to a new folder: this fills a database.")
    import django

    django.setup()
    riders = build(asked.riders)
    for workers in asked.workers:
        measure(workers, riders, asked.seconds)


if __name__ == "__main__":
    main()
