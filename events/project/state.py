"""What is kept in the local state folder: made when first needed, never in version control."""

import os
import secrets
from pathlib import Path

KEY_BYTES = 48


def writable_folder(folder: Path) -> Path:
    """The folder as an absolute path, made if it is missing.

    Raises OSError if it cannot be made.
    """
    folder = folder.expanduser().absolute()
    folder.mkdir(parents=True, exist_ok=True)
    return folder


def secret_key(path: Path) -> str:
    """The random key kept in the file `path`, readable by its owner only; made if missing.

    The file appears complete or not at all, and only the first of several processes that
    start together makes it, so that all of them sign with the same key. Raises OSError if
    it cannot be written.
    """
    if not path.exists():
        draft = path.with_name(f"{path.name}.{os.getpid()}")
        descriptor = os.open(draft, os.O_WRONLY | os.O_CREAT | os.O_TRUNC, 0o600)
        with open(descriptor, "w", encoding="ascii") as file:
            file.write(secrets.token_urlsafe(KEY_BYTES))
        try:
            os.link(draft, path)  # unlike a rename, this refuses to replace a key
        except FileExistsError:
            pass
        finally:
            draft.unlink()
    return path.read_text("ascii").strip()
