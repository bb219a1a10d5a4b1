"""The files to run a real site from: units, container, packages, notes. Where the tool that
reads a file is on the machine, it reads it here too."""

import os
import re
import shlex
import shutil
import socket
import subprocess
import sys
from configparser import RawConfigParser
from pathlib import Path

import pytest

from tests.operation.conftest import BASE
from tests.operation.test_serving import free_port, gunicorn

OPERATION = BASE / ".operation"
UNITS = sorted(
    path.name for path in OPERATION.iterdir() if path.suffix in (".service", ".timer")
)
SERVICES = [name for name in UNITS if name.endswith(".service")]


def lines_of_container() -> list[tuple[str, str]]:
    """Each instruction of the container file with its arguments, continued lines joined."""
    text = (OPERATION / "Containerfile").read_text("utf-8").replace("\\\n", " ")
    plain = [line for line in text.splitlines() if line.strip() and not line.startswith("#")]
    return [(line.split(maxsplit=1)[0], line.split(maxsplit=1)[1]) for line in plain]


def said(instruction: str) -> list[str]:
    return [rest for name, rest in lines_of_container() if name == instruction]


class TestContainer:
    def test_the_base_is_one_version_of_python_that_the_project_takes(self):
        (base,) = said("FROM")
        found = re.fullmatch(r"docker\.io/library/python:(\d+)\.(\d+)-slim-[a-z]+", base)

        assert found, f"{base} must name a version of Python and of Debian"
        assert (int(found[1]), int(found[2])) >= (3, 11)

    def test_every_source_is_there_and_none_is_private(self):
        sources = [part for line in said("COPY") for part in line.split()[:-1]]

        assert sources
        for source in sources:
            assert (BASE / source).exists(), source
            assert source not in (".", ".buoyline", ".git", "tests")
        assert said("ADD") == []

    def test_nobody_runs_it_as_root(self):
        """The user is made before, named after everything that needs root, and stays."""
        names = [name for name, _ in lines_of_container()]
        (user,) = said("USER")

        assert user not in ("root", "0")
        assert re.search(rf"useradd .*\b{user}\b", " ".join(said("RUN")))
        assert names.index("USER") > max(
            n for n, name in enumerate(names) if name in ("RUN", "COPY")
        )
        assert names.index("USER") < names.index("CMD")
        assert f"-o {user} " in " ".join(said("RUN")), "the state folder is the user's own"

    def test_its_health_is_what_the_site_says_of_itself(self):
        (health,) = said("HEALTHCHECK")
        command = health.partition("CMD")[2].strip()

        assert command == '["python", ".operation/healthy.py"]'
        assert '"GET", "/health/"' in (OPERATION / "healthy.py").read_text("utf-8")

    def test_no_secret_stands_in_it(self):
        settings = dict(pair.split("=", 1) for pair in shlex.split(said("ENV")[0]))

        assert not set(settings) & {"SECRET_KEY", "DATABASE_URL", "EMAIL_URL"}
        assert (settings["PRODUCTION"], settings["BUOYLINE_ENV"]) == ("true", "current")
        assert said("VOLUME") == [settings["BUOYLINE_STATE"]]
        assert said("EXPOSE") == [settings["WEB_BIND"].rpartition(":")[2]]

    def test_the_state_and_its_key_never_reach_the_builder(self):
        left_out = (BASE / ".dockerignore").read_text("utf-8").split("\n")

        assert {".git", ".buoyline"} <= set(left_out)
        copied = {part for line in said("COPY") for part in line.split()[:-1]}
        assert not copied & set(left_out)


def unit(name: str) -> dict[str, dict[str, list[str]]]:
    """A unit file: sections, keys, and each value of a key that may stand several times."""
    sections: dict[str, dict[str, list[str]]] = {}
    for line in (OPERATION / name).read_text("utf-8").splitlines():
        if line.startswith("["):
            here = sections.setdefault(line.strip("[]"), {})
        elif line and not line.startswith("#"):
            key, _, value = line.partition("=")
            here.setdefault(key, []).append(value)
    return sections


class TestUnits:
    def test_there_is_something_to_look_at(self):
        assert len(SERVICES) >= 3
        assert RawConfigParser(strict=False).read(OPERATION / SERVICES[0])

    @pytest.mark.parametrize("name", SERVICES)
    def test_commands_name_what_is_in_the_project(self, name):
        """Every command of manage.py is one, and every file is there."""
        service = unit(name)["Service"]
        commands = [
            each for key, values in service.items() if key.startswith("Exec") for each in values
        ]
        known = {
            path.stem
            for app in ("events", "riders", "runsheets")
            for path in (BASE / app / "management/commands").glob("[a-z]*.py")
        } | {"db_worker"}
        for command in commands:
            for found in re.findall(r"manage\.py (\w+)", command):
                assert found in known, found
            for path in re.findall(r"\.operation/\S+", command):
                assert (BASE / path).exists(), path

    @pytest.mark.parametrize("name", SERVICES)
    def test_each_runs_as_its_own_user_and_writes_its_state_only(self, name):
        service = unit(name)["Service"]

        assert service["User"] == ["buoyline"]
        assert "buoyline" in service["StateDirectory"][0].split()
        assert (
            f"BUOYLINE_STATE=/var/lib/{service['StateDirectory'][0].split()[0]}"
            in service["Environment"][0]
        )
        assert service["EnvironmentFile"] == ["/etc/buoyline.env"], "secrets stand in no unit"
        for key, value in {"ProtectSystem": "strict", "NoNewPrivileges": "true", "UMask": "0077",
                           "CapabilityBoundingSet": ""}.items():  # fmt: skip
            assert service[key] == [value], key

    @pytest.mark.parametrize("name", UNITS)
    def test_comments_name_the_place_of_the_file(self, name):
        assert (
            (OPERATION / name)
            .read_text("utf-8")
            .startswith(f"# systemd: /etc/systemd/system/{name}")
        )

    def test_each_timer_starts_a_service_that_is_there(self):
        timers = [name for name in UNITS if name.endswith(".timer")]

        assert timers
        for name in timers:
            assert name.replace(".timer", ".service") in SERVICES

    @pytest.mark.skipif(not shutil.which("systemd-analyze"), reason="needs systemd-analyze")
    def test_systemd_reads_every_unit(self, tmp_path):
        """With programs of this machine in place of those in /opt, which need not be there."""
        for name in UNITS:
            text = (OPERATION / name).read_text("utf-8")
            text = re.sub(r"/opt/buoyline-venv/bin/\w+", sys.executable, text)
            (tmp_path / name).write_text(text, "utf-8")
        done = subprocess.run(
            ["systemd-analyze", "verify", *(str(tmp_path / name) for name in UNITS)],
            capture_output=True, text=True, env=os.environ | {"SYSTEMD_LOG_LEVEL": "warning"},
        )  # fmt: skip
        ours = [line for line in done.stderr.splitlines() if "buoyline" in line]

        assert ours == []


@pytest.mark.skipif(sys.platform == "win32", reason="gunicorn needs a Unix system")
def test_the_server_tells_systemd_when_it_is_ready(production, manage, tmp_path):
    """Type=notify waits for READY=1 on a datagram socket (man sd_notify)."""
    assert unit("buoyline.service")["Service"]["Type"] == ["notify"]
    assert manage("prepare", "--without-doctor").returncode == 0
    where = tmp_path / "n"
    with socket.socket(socket.AF_UNIX, socket.SOCK_DGRAM) as heard:
        heard.bind(str(where))
        heard.settimeout(60)
        home = tmp_path / "home"
        home.mkdir()
        environ = production | {
            "NOTIFY_SOCKET": str(where), "WEB_WORKERS": "1", "HOME": str(home),
            "WEB_BIND": f"127.0.0.1:{free_port()}",
        }  # fmt: skip
        with gunicorn(environ):
            assert b"READY=1" in heard.recv(4096)
    assert list(home.iterdir()) == [], "it leaves nothing outside the state folder"


def test_the_nightly_backup_keeps_thirty(tmp_path):
    """The line of the unit that takes older ones away, run on files of our own."""
    (line,) = unit("buoyline-backup.service")["Service"]["ExecStartPost"]
    folder = tmp_path / "backups"
    folder.mkdir()
    for n in range(33):
        (folder / f"2027-{1 + n // 28:02}-{1 + n % 28:02}-0320.zip").write_text("")
    shell, option, code = shlex.split(line.replace("/var/lib/buoyline-backup", str(folder)))
    for _ in range(2):
        subprocess.run([shell, option, code], check=True)
        left = sorted(path.name for path in folder.iterdir())
        assert len(left) == 30
        assert left[0] == "2027-01-04-0320.zip"
    for path in folder.iterdir():
        path.unlink()
    subprocess.run([shell, option, code], check=True)


def test_the_nightly_backup_can_be_restored(production, manage, tmp_path):
    """The line that makes it, as systemd would start it, and `restore` as the notes say."""
    assert manage("prepare", "--without-doctor").returncode == 0
    (line,) = unit("buoyline-backup.service")["Service"]["ExecStart"]
    line = line.replace("/var/lib/buoyline-backup", str(tmp_path)).replace("%%", "%")
    line = re.sub(r"/opt/buoyline-venv/bin/python", sys.executable, line)
    done = subprocess.run(
        shlex.split(line), cwd=BASE, env=production, capture_output=True, text=True
    )
    assert done.returncode == 0, done.stderr
    (made,) = tmp_path.glob("*.zip")

    assert re.fullmatch(r"\d{4}-\d\d-\d\d-\d{4}\.zip", made.name)
    back = manage("restore", "--replace", str(made))
    assert back.returncode == 0, back.stderr


class TestNotes:
    def test_packages_of_debian_are_names(self):
        lines = (OPERATION / "debian-packages.txt").read_text("utf-8").splitlines()
        names = [line for line in lines if line and not line.startswith("#")]

        assert len(names) == len(set(names)) >= 4
        assert all(re.fullmatch(r"[a-z0-9][a-z0-9+.-]+", name) for name in names)

    @pytest.mark.skipif(not shutil.which("apt-cache"), reason="needs Debian's apt-cache")
    def test_debian_has_each_package(self):
        lines = (OPERATION / "debian-packages.txt").read_text("utf-8").splitlines()
        names = [line for line in lines if line and not line.startswith("#")]
        done = subprocess.run(["apt-cache", "show", "python3"], capture_output=True, text=True)
        if done.returncode or not done.stdout:
            pytest.skip("the lists of packages were never fetched here")
        for name in names:
            shown = subprocess.run(["apt-cache", "show", name], capture_output=True, text=True)
            assert f"Package: {name}\n" in shown.stdout, name

    def test_the_notes_name_commands_units_and_settings_that_exist(self):
        text = (OPERATION / "upgrade.md").read_text("utf-8")
        commands = {
            path.stem for path in (BASE / "events/management/commands").glob("[a-z]*.py")
        }
        settings = (BASE / "events/project/settings.py").read_text("utf-8")

        assert set(re.findall(r"manage\.py (\w+)", text)) <= commands
        for name in re.findall(r"[a-z]+(?:-[a-z]+)*\.service", text):
            assert name in UNITS
        for name in re.findall(r"`([A-Z][A-Z_]{5,})`", text):
            assert name in settings

    def test_the_readme_leads_to_every_file(self):
        """By its folder; and the folder holds nothing that nobody reads."""
        assert "(.operation)" in (BASE / "README.md").read_text("utf-8")
        kinds = {path.suffix for path in OPERATION.iterdir() if path.is_file()}
        assert kinds <= {"", ".service", ".timer", ".py", ".txt", ".md"}


def test_no_file_names_a_path_of_one_machine():
    for path in [*OPERATION.iterdir(), BASE / ".dockerignore"]:
        if path.is_file():
            text = path.read_text("utf-8")
            assert str(Path.home()) not in text or str(Path.home()) == "/"
            assert str(BASE) not in text
