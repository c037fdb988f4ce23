"""What was compiled from data files, kept in the user's cache folder under the content of those files.

The YAML files stay the truth: a kept thing is used only while the files it came from are unchanged. Everything is
written to a temporary file and renamed, so that two processes never see half a file; whatever is damaged is built anew.
"""

from __future__ import annotations

import marshal
import os
import sys
import time
import zlib
from collections.abc import Callable, Iterable, Sequence
from contextlib import suppress
from pathlib import Path
from typing import Any, TypeVar, cast

from choosemethod.places import cache_folder

__all__ = ["forget_old", "signature", "stored"]

FORMAT = f"1-{sys.version_info[0]}.{sys.version_info[1]}"  # raise the first number when what is kept changes its form
HEAD = f"choosemethod {FORMAT}\n".encode()
JUST_NOW = 2.0  # s; a file changed this recently may change again without its time stamp telling
OLDEST = 30 * 86_400.0  # s
MOST = 16  # files kept in the folder

T = TypeVar("T")


def signature(files: Iterable[Path]) -> tuple[str, float]:
    """Path, size and time stamp of every file as one text, and the newest time stamp (s since the epoch).

    A file that cannot be found takes part as missing.
    """
    lines: list[str] = []
    newest = 0.0
    for path in files:
        try:
            found = os.stat(path)
        except OSError:
            lines.append(f"{path}\0-")
            continue
        lines.append(f"{path}\0{found.st_size}\0{found.st_mtime_ns}")
        newest = max(newest, found.st_mtime)
    return "\n".join(lines), newest


def content_key(files: Sequence[Path]) -> str:
    """Hash over the names and bytes of the files."""
    import hashlib

    digest = hashlib.blake2b(digest_size=16)
    for path in files:
        try:
            raw = path.read_bytes()
        except OSError:
            raw = b""
        digest.update(f"{path}\0{len(raw)}\0".encode())
        digest.update(raw)
    return digest.hexdigest()


def _bytes(thing: Any) -> bytes:
    """The thing as marshal writes it; ValueError if it is nothing marshal can write."""
    return marshal.dumps(thing, 4)


def write_whole(path: Path, raw: bytes) -> bool:
    """Write a file in one step; False if the folder cannot be written."""
    import tempfile

    name = ""
    try:
        handle, name = tempfile.mkstemp(prefix=".new-", dir=path.parent)
        with os.fdopen(handle, "wb") as file:
            file.write(raw)
        os.replace(name, path)
    except OSError:
        if name:
            remove(Path(name))
        return False
    return True


def remove(path: Path) -> None:
    """Remove a file if that can be done."""
    with suppress(OSError):
        os.unlink(path)


def forget_old(folder: Path, keep: Sequence[Path] = ()) -> None:
    """Remove what has not been used for a month and whatever is more than the newest few."""
    try:
        found = [(entry.stat().st_mtime, Path(entry.path)) for entry in os.scandir(folder) if entry.is_file()]
    except OSError:
        return
    oldest = time.time() - OLDEST
    for place, (changed, path) in enumerate(sorted(found, reverse=True)):
        if path not in keep and (changed < oldest or place >= MOST):
            remove(path)


def _read(path: Path) -> tuple[str, str, bool, object] | None:
    """Signature, content key, whether the signature alone can be trusted, and what is kept; None if it is no use."""
    try:
        raw = path.read_bytes()
        head, check, body = raw[: len(HEAD)], raw[len(HEAD) : len(HEAD) + 4], raw[len(HEAD) + 4 :]
        if head != HEAD or zlib.crc32(body) != int.from_bytes(check, "big"):
            return None
        known, key, sure, thing = marshal.loads(body)
    except (OSError, EOFError, ValueError, TypeError):
        return None
    return known, key, sure, thing


def stored(kind: str, files: Sequence[Path], build: Callable[[], T], anew: bool = False) -> T:
    """What `build()` gives, from the cache while the files it is built from are unchanged.

    kind: short name of what is kept ("rules"); files: every file the result depends on, data and code alike, in a fixed
    order; build: makes the thing, which must be something `marshal` writes (text, numbers, tuples, lists, dicts);
    anew: build it whatever is kept. Costs one stat a file and one read when nothing changed. Errors of `build` pass
    through; a cache that cannot be read or written only costs time.
    """
    folder = cache_folder()
    known, newest = signature(files)
    place = zlib.crc32("\0".join(str(path) for path in files).encode())
    path = None if folder is None else folder / f"{kind}-{place:08x}.kept"
    found = None if path is None or anew else _read(path)
    if found is not None and found[0] == known and found[2]:
        return cast(T, found[3])
    key = content_key(files)
    if found is not None and found[1] == key:
        thing = cast(T, found[3])
    else:
        thing = build()
        if content_key(files) != key:  # a file changed while it was read
            return thing
    if path is not None:
        sure = time.time() - newest > JUST_NOW
        if found is None or found[:3] != (known, key, sure):
            body = _bytes((known, key, sure, thing))
            write_whole(path, HEAD + zlib.crc32(body).to_bytes(4, "big") + body)
    return thing
