"""What `manage.py doctor` looks at: each look says what is wrong and what to do about it."""

import shutil
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from datetime import timedelta
from pathlib import Path

from django.conf import settings
from django.contrib.staticfiles import finders
from django.core import checks
from django.core.mail import get_connection
from django.db import connection
from django.db.migrations.recorder import MigrationRecorder
from django.utils import timezone

from events.project.catalogues.files import compiled, languages, path_of
from events.project.catalogues.gathering import FOLDERS
from events.project.fonts import WEIGHTS
from events.project.health import database_answers, pending_migrations, storage_writable

ROOM = 200 * 1024 * 1024  # bytes free, below which a busy day could fill the disk
SLACK = timedelta(seconds=10)
LOCAL_HOSTS = {"localhost", "127.0.0.1", "[::1]"}


@dataclass(frozen=True)
class Look:
    """One result: ok, advice (the site works) or fault (it does not, or is not safe)."""

    grade: str
    subject: str
    sentence: str


def ok(subject: str, sentence: str) -> Look:
    """All is well."""
    return Look("ok", subject, sentence)


def advice(subject: str, sentence: str) -> Look:
    """The site works, and something could be better."""
    return Look("advice", subject, sentence)


def fault(subject: str, sentence: str) -> Look:
    """The site does not work, or is not safe."""
    return Look("fault", subject, sentence)


def look_at_database() -> Iterator[Look]:
    """Whether it answers."""
    name = connection.settings_dict["NAME"]
    try:
        database_answers()
    except Exception as error:
        said = (
            str(error).strip().splitlines()[0] if str(error).strip() else type(error).__name__
        )
        yield fault("database", f"The database {name} does not answer ({said}): {_mend()}")
        return
    version = ".".join(str(part) for part in connection.get_database_version())
    yield ok("database", f"{connection.display_name} {version} answers ({name}).")


def _mend() -> str:
    """What to do about a database that does not answer."""
    if connection.vendor == "sqlite":
        return (
            "give the file and its folder to the user that runs the site, or name another "
            "with DATABASE_URL."
        )
    return "check DATABASE_URL, and that the database runs."


def look_at_migrations() -> Iterator[Look]:
    """Whether the database is as new as the code."""
    try:
        pending = pending_migrations()
    except Exception:
        yield fault("migrations", "Not known, because the database does not answer.")
        return
    if pending:
        yield fault(
            "migrations",
            f"The database lacks {len(pending)} (first {pending[0]}): make a backup, then run "
            "`manage.py migrate`.",
        )
    else:
        yield ok("migrations", "The database is as new as the code.")


def look_at_mail() -> Iterator[Look]:
    """Whether the mail server takes a connection; nothing is sent."""
    if not settings.EMAIL_BACKEND.endswith("smtp.EmailBackend"):
        yield advice("mail", "No mail server is set: give EMAIL_URL, or letters stay here.")
        return
    where = f"{settings.EMAIL_HOST}:{settings.EMAIL_PORT}"
    try:
        with get_connection(timeout=10):
            pass
    except Exception as error:
        said = getattr(error, "strerror", None) or error
        yield fault(
            "mail",
            f"The mail server {where} does not take a connection ({said}): check EMAIL_URL, "
            "and that the server may be reached from here.",
        )
        return
    yield ok("mail", f"The mail server {where} answers.")


def look_at_storage() -> Iterator[Look]:
    """Whether the state folder can be written and has room."""
    folder = settings.STATE_DIR
    try:
        storage_writable()
        free = shutil.disk_usage(folder).free
    except OSError as error:
        yield fault(
            "storage",
            f"Nothing can be written to {folder} ({error.strerror}): give that folder to the "
            "user that runs the site, or name another with BUOYLINE_STATE.",
        )
        return
    told = f"{folder} can be written; {free // 1024**2} MB are free."
    if free < ROOM:
        yield fault("storage", f"{told} Make room: below 200 MB a busy day may fill the disk.")
    else:
        yield ok("storage", told)


def look_at_fonts() -> Iterator[Look]:
    """Whether the headings' fonts were made."""
    folder = settings.GENERATED_STATIC_DIR / "fonts"
    missing = [
        weight for weight in WEIGHTS if not (folder / f"heading-{weight}.woff2").exists()
    ]
    if missing:
        yield advice("fonts", "Headings use the system's font: run `manage.py build_fonts`.")
    else:
        yield ok("fonts", "The fonts of the headings are there.")


def look_at_translations() -> Iterator[Look]:
    """Whether the translations were compiled since they last changed."""
    for language in languages(settings.BASE_DIR):
        made = compiled(settings.STATE_DIR, language)
        sources = [path_of(settings.BASE_DIR, folder, language) for folder in FOLDERS]
        newest = max(path.stat().st_mtime for path in sources if path.exists())
        if not made.exists() or made.stat().st_mtime < newest:
            yield advice(
                "translations",
                f"Those into “{language}” are missing or old: run `manage.py "
                "build_translations`, then start the site again.",
            )
        else:
            yield ok("translations", f"Those into “{language}” are compiled.")


def look_at_static_files() -> Iterator[Look]:
    """Whether what production serves was collected, and since the last change."""
    if not settings.PRODUCTION:
        yield ok("static files", "Served from where they lie; production collects them.")
        return
    collected = Path(settings.STATIC_ROOT) / "staticfiles.json"
    if not collected.exists():
        yield fault("static files", "None collected: run `manage.py collectstatic`.")
        return
    sources = [
        Path(storage.path(name))
        for finder in finders.get_finders()
        for name, storage in finder.list([])
    ]
    if max(path.stat().st_mtime for path in sources) > collected.stat().st_mtime:
        yield fault("static files", "Older than their sources: run `manage.py collectstatic`.")
    else:
        yield ok("static files", f"{len(sources)} collected.")


def look_at_clock() -> Iterator[Look]:
    """Whether deadlines fall when they should."""
    now = timezone.now()
    try:
        latest = MigrationRecorder(connection).migration_qs.order_by("-applied").first()
    except Exception:
        latest = None
    if latest and latest.applied > now + SLACK:
        yield fault(
            "clock",
            f"It is behind: it says {now:%Y-%m-%d %H:%M} UTC, and the database was changed "
            f"at {latest.applied:%Y-%m-%d %H:%M} UTC. Set the clock; deadlines depend on it.",
        )
    else:
        local = timezone.localtime(now)
        yield ok("clock", f"{local:%Y-%m-%d %H:%M} in {settings.TIME_ZONE}; please compare.")


def look_at_secret() -> Iterator[Look]:
    """Whether the key could be guessed."""
    key = settings.SECRET_KEY
    if len(key) < 50 or len(set(key)) < 10:
        yield fault(
            "secret",
            "SECRET_KEY is short or simple: make one with "
            '`python3 -c "import secrets; print(secrets.token_urlsafe(60))"`.',
        )
    else:
        yield ok("secret", "The key is long and mixed.")


def look_at_debug() -> Iterator[Look]:
    """Whether visitors are shown the inside."""
    if settings.DEBUG and settings.PRODUCTION:
        yield fault("debug", "DEBUG shows visitors the inside of every error: unset DEBUG.")
    elif settings.DEBUG:
        yield advice("debug", "DEBUG is on: never set it where others can reach the site.")
    else:
        yield ok("debug", "Off.")


def look_at_web() -> Iterator[Look]:
    """Whether visitors can reach the site, by a safe way."""
    if not settings.PRODUCTION:
        yield advice("web", "PRODUCTION is not set: right at home, wrong on the internet.")
        return
    if set(settings.ALLOWED_HOSTS) <= LOCAL_HOSTS:
        yield fault("web", "ALLOWED_HOSTS names this computer only: set it to the site's name.")
        return
    if not settings.SECURE_SSL_REDIRECT:
        yield fault("web", "HTTPS is false, so passwords travel in the open: set HTTPS=true.")
    elif not settings.TRUST_PROXY:
        yield advice(
            "web",
            "HTTPS is true and TRUST_PROXY is not: behind a proxy that ends https, visitors "
            "would be sent round in circles. Set TRUST_PROXY=true there.",
        )
    else:
        yield ok("web", f"Open to {', '.join(settings.ALLOWED_HOSTS)} by https.")


def look_at_checks() -> Iterator[Look]:
    """What the framework and the applications find themselves."""
    found = checks.run_checks(
        include_deployment_checks=settings.PRODUCTION, databases=["default"]
    )
    told = [message for message in found if not message.is_silenced()]
    for message in told:
        grade = fault if message.is_serious() else advice
        hint = f" {message.hint}" if message.hint else ""
        yield grade("checks", f"{message.msg}{hint} ({message.id})")
    if not told:
        yield ok("checks", "Nothing found.")


LOOKS: tuple[Callable[[], Iterator[Look]], ...] = (
    look_at_database, look_at_migrations, look_at_storage, look_at_secret, look_at_debug,
    look_at_web, look_at_static_files, look_at_fonts,
    look_at_translations, look_at_mail, look_at_clock,
    look_at_checks,
)  # fmt: skip


def all_looks() -> Iterator[Look]:
    """Everything, in the order in which it should be put right. Never raises."""
    for look in LOOKS:
        subject = look.__name__.removeprefix("look_at_").replace("_", " ")
        try:
            yield from look()
        except Exception as error:  # the other looks still help
            yield fault(subject, f"Could not be looked at ({type(error).__name__}: {error}).")
