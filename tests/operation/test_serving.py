"""The files for a real site: gunicorn with its settings, and what asks whether it is well."""

import re
import signal
import socket
import subprocess
import sys
import time
from contextlib import contextmanager
from http.client import HTTPConnection

import pytest

from tests.operation.conftest import BASE

HOST = "runs.club.example"
OPERATION = BASE / ".operation"


def free_port():
    with socket.socket() as found:
        found.bind(("127.0.0.1", 0))
        return found.getsockname()[1]


@contextmanager
def gunicorn(environ):
    """A real server until the block ends, which asks it to finish."""
    command = [sys.executable, "-m", "gunicorn", "-c", ".operation/gunicorn.conf.py"]
    server = subprocess.Popen(command, cwd=BASE, env=environ, stderr=subprocess.DEVNULL)
    try:
        yield server
    finally:
        server.send_signal(signal.SIGTERM)
        server.wait(60)


def healthy(environ):
    return subprocess.run(
        [sys.executable, ".operation/healthy.py"],
        cwd=BASE, env=environ, capture_output=True, text=True,
    )  # fmt: skip


def get(port, path, **headers):
    connection = HTTPConnection("127.0.0.1", port, timeout=20)
    connection.request("GET", path, headers={"Host": HOST, **headers})
    answer = connection.getresponse()
    return answer, answer.read().decode()


@pytest.mark.skipif(sys.platform == "win32", reason="gunicorn needs a Unix system")
def test_a_real_server_of_a_production_site(production, manage):
    """Prepared, started, asked, and ended without being cut off."""
    done = manage("prepare", "--without-doctor")
    assert done.returncode == 0, done.stderr
    port = free_port()
    environ = production | {"WEB_BIND": f"127.0.0.1:{port}", "WEB_WORKERS": "1"}
    assert healthy(environ).returncode == 1

    with gunicorn(environ) as server:
        until = time.monotonic() + 60
        while (said := healthy(environ)).returncode and time.monotonic() < until:
            time.sleep(0.2)
        assert '"healthy": true' in said.stdout, said.stderr
        plain, _ = get(port, "/")
        assert (plain.status, plain.headers["Location"]) == (301, f"https://{HOST}/")
        secure, page = get(port, "/sign-in/", **{"X-Forwarded-Proto": "https"})
        assert secure.status == 200
        assert "max-age=" in secure.headers["Strict-Transport-Security"]
        assert "script-src 'self'" in secure.headers["Content-Security-Policy"]
        style = re.search(r'href="(/static/buoyline/app\.[0-9a-f]{12}\.css)"', page)[1]
        file, _ = get(port, style, **{"X-Forwarded-Proto": "https"})
        assert "immutable" in file.headers["Cache-Control"]
        strange, _ = get(port, "/", Host="elsewhere.example")
        assert strange.status == 400

    assert server.returncode == 0


def test_the_container_copies_every_folder_of_the_site():
    """What the code needs to run, and none of what it does not."""
    copied = set(
        re.findall(r"^COPY (\S+) \S+$", (OPERATION / "Containerfile").read_text(), re.M)
    )
    shown = {path.name for path in BASE.iterdir() if path.is_dir() and path.name[0] not in "._"}

    assert copied == shown - {"tests"} | {".operation"}


def test_the_container_takes_its_packages_from_the_project():
    text = (OPERATION / "Containerfile").read_text().replace("\\\n", "")
    code = re.search(r'python -c "(.+?)" > /tmp/packages\.txt', text)[1]
    done = subprocess.run(
        [sys.executable, "-c", code],
        cwd=BASE, capture_output=True, text=True, check=True,
    )  # fmt: skip
    names = {re.split(r"[^\w-]", line)[0] for line in done.stdout.split("\n")}

    assert {"django", "gunicorn", "psycopg"} <= names
    assert "pytest" not in names
