"""What browsers may load and use on this site, and what production insists on."""

from csp.constants import NONE, SELF

HSTS_SECONDS = 30 * 24 * 3600

NO_KEY = (
    "PRODUCTION is true and SECRET_KEY is not set. Whoever knows the key can sign in as "
    "anybody, so on the internet it must be yours alone: make one with "
    '`python3 -c "import secrets; print(secrets.token_urlsafe(60))"` and set SECRET_KEY to it '
    "in the environment of the server."
)

# Nothing from elsewhere, no script or style in the page itself, no frame, no plug-in.
CONTENT = {
    "default-src": [NONE],
    "script-src": [SELF],
    "style-src": [SELF],
    "img-src": [SELF, "data:"],
    "font-src": [SELF],
    "connect-src": [SELF],
    "manifest-src": [SELF],
    "worker-src": [SELF],
    "form-action": [SELF],
    "base-uri": [NONE],
    "frame-ancestors": [NONE],
}

# Copying a link is the one feature in use; everything a phone could give away is off.
_UNUSED = (
    "accelerometer", "autoplay", "bluetooth", "camera", "display-capture", "encrypted-media",
    "geolocation", "gyroscope", "hid", "idle-detection", "local-fonts", "magnetometer",
    "microphone", "midi", "payment", "publickey-credentials-get", "serial", "usb",
    "xr-spatial-tracking",
)  # fmt: skip
PERMISSIONS: dict[str, list[str]] = {feature: [] for feature in _UNUSED}
