"""Production: what it insists on, the commands around it, and headers on every answer."""

import json

import pytest
from django.conf import settings
from django.urls import reverse


def test_without_a_key_it_refuses_in_a_sentence(manage):
    done = manage("check", SECRET_KEY="")

    assert done.returncode == 1
    assert "PRODUCTION is true and SECRET_KEY is not set" in done.stderr
    assert "secrets.token_urlsafe(60)" in done.stderr


def test_djangos_own_deployment_checks_find_nothing(manage):
    done = manage("check", "--deploy", "--fail-level", "INFO")

    assert done.returncode == 0, done.stderr
    assert "no issues" in done.stdout


@pytest.mark.parametrize("command", ["demo", "load_demo"])
def test_no_demo_on_the_internet(manage, command):
    done = manage(command)

    assert done.returncode == 1
    assert "whose password everybody knows" in done.stderr


def test_prepare_makes_a_site_that_can_run(manage, production, tmp_path):
    """From nothing to a clean bill, and again without harm."""
    for _ in range(2):
        done = manage("prepare")
        assert done.returncode == 0, done.stdout + done.stderr
        assert "The site can run." in done.stdout
    assert json.loads((tmp_path / "state/collected/staticfiles.json").read_text())["paths"]
    assert not (tmp_path / "state/secret-key.txt").exists()


def test_settings_of_production(manage):
    code = (
        "from django.conf import settings as s\n"
        "print(s.SECURE_SSL_REDIRECT, s.SESSION_COOKIE_SECURE, s.CSRF_COOKIE_SECURE,"
        " s.SECURE_HSTS_SECONDS, s.LOG_REQUESTS, s.DEBUG)"
    )
    assert manage("shell", "-v0", "-c", code).stdout.split() == [
        "True", "True", "True", str(30 * 24 * 3600), "True", "False",
    ]  # fmt: skip
    plain = manage("shell", "-v0", "-c", code, HTTPS="false")
    assert plain.stdout.split() == ["False", "False", "False", "0", "True", "False"]


def test_an_unknown_shape_of_the_log_is_refused(manage):
    done = manage("check", LOG_FORMAT="xml")

    assert done.returncode == 1
    assert "set it to line or json" in done.stderr


POLICY = {
    "default-src": ["'none'"], "script-src": ["'self'"], "style-src": ["'self'"],
    "img-src": ["'self'", "data:"], "font-src": ["'self'"], "connect-src": ["'self'"],
    "manifest-src": ["'self'"], "worker-src": ["'self'"], "form-action": ["'self'"],
    "base-uri": ["'none'"], "frame-ancestors": ["'none'"],
}  # fmt: skip


@pytest.mark.django_db
@pytest.mark.parametrize("address", ["/", "/no-such-page/", "/health/", "/sign-in/"])
def test_headers_of_every_answer(client, address):
    """As the OWASP Secure Headers project advises, for pages that load nothing from elsewhere."""
    headers = client.get(address).headers

    policy = dict(
        (words[0], words[1:])
        for part in headers["Content-Security-Policy"].split(";")
        if (words := part.split())
    )
    assert policy == POLICY
    assert headers["X-Content-Type-Options"] == "nosniff"
    assert headers["X-Frame-Options"] == "DENY"
    assert headers["Referrer-Policy"] == "same-origin"
    assert headers["Cross-Origin-Opener-Policy"] == "same-origin"
    assert "camera=()" in headers["Permissions-Policy"]
    assert "geolocation=()" in headers["Permissions-Policy"]


@pytest.mark.django_db
def test_http_is_sent_on_to_https_but_for_the_health_address(client, settings):
    settings.SECURE_SSL_REDIRECT = True
    settings.SECURE_HSTS_SECONDS = 60

    sent_on = client.get("/tricks/")
    assert (sent_on.status_code, sent_on.url) == (301, "https://testserver/tricks/")
    assert client.get("/health/").status_code == 200
    secure = client.get("/tricks/", secure=True)
    assert secure.headers["Strict-Transport-Security"] == "max-age=60"


@pytest.mark.django_db
def test_who_passes_for_https_behind_a_proxy(client, settings):
    settings.SECURE_SSL_REDIRECT = True
    settings.SECURE_PROXY_SSL_HEADER = ("HTTP_X_FORWARDED_PROTO", "https")

    assert client.get("/tricks/", headers={"X-Forwarded-Proto": "https"}).status_code == 200
    assert client.get("/tricks/", headers={"X-Forwarded-Proto": "http"}).status_code == 301


def test_passwords_are_hashed_slowly_outside_the_tests(manage):
    code = "from django.conf import settings as s; print(s.PASSWORD_HASHERS[0])"

    assert manage("shell", "-v0", "-c", code).stdout.strip().endswith("PBKDF2PasswordHasher")


def test_the_health_address_is_named():
    assert reverse("health") == "/health/"
    assert settings.SECURE_REDIRECT_EXEMPT == [r"^health/$"]
