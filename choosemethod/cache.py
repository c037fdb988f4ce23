"""What was compiled from data files, kept in the user's cache folder under the content of those files.

The YAML files stay the truth: a kept thing is used only while the files it came from are unchanged. Everything is
written to a temporary file and renamed, so that two processes never see half a file. Whatever bytes lie in the folder,
the answer is the one the YAML gives: what is damaged, of another form, a link, somebody else's or open to others is not
used but built anew, and only files of this program's own names are ever deleted.
"""

from __future__ import annotations

import marshal
import os
import re
import stat
import sys
import time
import zlib
from collections.abc import Callable, Iterable, Sequence
from contextlib import suppress
from pathlib import Path
from typing import Any, TypeVar, cast

from choosemethod.ending import forget, undo_on_signal
from choosemethod.places import cache_folder, users_own

try:
    from _blake2 import blake2b  # the same as hashlib's, without loading the library of all the others
except ImportError:
    from hashlib import blake2b

__all__ = ["content_name", "forget_old", "read_own", "signature", "stored", "temporary_in", "write_whole"]

FORMAT = f"2-{sys.version_info[0]}.{sys.version_info[1]}"  # raise the first number when what is kept changes its form
HEAD = f"choosemethod {FORMAT}\n".encode()
HASHED = 16  # bytes of the hash that follows the head
JUST_NOW = 2.0  # s; a file changed this recently may change again without its time stamp telling
OLDEST = 30 * 86_400.0  # s
ABANDONED = 3_600.0  # s; a temporary file this old belongs to a process that was killed
MOST = 16  # files kept in the folder
LARGEST = 1 << 28  # bytes of a file that is read at all

_OWN = r"[a-z]+-[0-9a-f]{8}\.kept|table-[0-9a-f]{24}\.sqlite"  # names of what this program keeps
_TEMPORARY = ".choosemethod-new-"

T = TypeVar("T")
R = TypeVar("R")


def signature(files: Iterable[Path]) -> tuple[str, float]:
    """Path, size and time stamps of every file as one text, and the newest time stamp (s since the epoch).

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
        lines.append(f"{path}\0{found.st_size}\0{found.st_mtime_ns}\0{found.st_ctime_ns}")
        newest = max(newest, found.st_mtime, found.st_ctime)
    return "\n".join(lines), newest


def content_key(files: Sequence[Path]) -> str:
    """Hash over the names and bytes of the files."""
    digest = blake2b(digest_size=HASHED)
    for path in files:
        try:
            raw = path.read_bytes()
        except OSError:
            raw = b""
        digest.update(f"{path}\0{len(raw)}\0".encode("utf-8", "surrogateescape"))
        digest.update(raw)
    return digest.hexdigest()


def _bytes(thing: Any) -> bytes:
    """The thing as marshal writes it; ValueError if it is nothing marshal can write."""
    return marshal.dumps(thing, 4)


def content_name(raw: bytes) -> str:
    """Name of a kept database, which holds a hash of its bytes."""
    return f"table-{blake2b(raw, digest_size=12).hexdigest()}.sqlite"


def temporary_in(folder: Path) -> Path:
    """Path of a new temporary file of this program in a folder; nothing has that name yet."""
    return folder / f"{_TEMPORARY}{os.getpid()}-{os.urandom(6).hex()}"


def write_whole(path: Path, raw: bytes) -> bool:
    """Write a file in one step, for the user alone; False if that cannot be done."""
    name = temporary_in(path.parent)
    number = undo_on_signal(lambda: remove(name))
    try:
        handle = os.open(name, os.O_WRONLY | os.O_CREAT | os.O_EXCL, 0o600)
        with os.fdopen(handle, "wb") as file:
            file.write(raw)
        os.replace(name, path)
    except OSError:
        remove(name)
        return False
    except BaseException:
        remove(name)
        raise
    finally:
        forget(number)
    return True


def read_own(path: Path) -> tuple[bytes, os.stat_result] | None:
    """Content of a file and what the system says of it; None if it is no file that the user alone can write."""
    try:
        handle = os.open(path, os.O_RDONLY | getattr(os, "O_NOFOLLOW", 0) | getattr(os, "O_NONBLOCK", 0))
    except (OSError, ValueError):
        return None
    try:
        found = os.fstat(handle)
        if not stat.S_ISREG(found.st_mode) or not users_own(found) or found.st_size > LARGEST:
            return None
        with os.fdopen(handle, "rb", 0, closefd=False) as file:
            return file.readall(), found
    except (OSError, MemoryError):
        return None
    finally:
        os.close(handle)


def remove(path: Path) -> None:
    """Remove a file if that can be done."""
    with suppress(OSError):
        os.unlink(path)


def forget_old(folder: Path, keep: Sequence[Path] = ()) -> None:
    """Remove what has not been used for a month and whatever is more than the newest few; only files of own names."""
    now = time.time()
    found: list[tuple[float, str]] = []
    names = {path.name for path in keep}
    try:
        handle = os.open(folder, os.O_RDONLY | getattr(os, "O_NOFOLLOW", 0) | getattr(os, "O_DIRECTORY", 0))
    except OSError:  # a link, or where folders cannot be opened
        return
    try:
        if not users_own(os.fstat(handle)):
            return
        for entry in os.scandir(handle):
            if not entry.is_file(follow_symlinks=False):
                continue
            changed = entry.stat(follow_symlinks=False).st_mtime
            if entry.name.startswith(_TEMPORARY) and changed < now - ABANDONED:
                os.unlink(entry.name, dir_fd=handle)
            elif re.fullmatch(_OWN, entry.name):
                found.append((changed, entry.name))
        for place, (changed, name) in enumerate(sorted(found, reverse=True)):
            if name not in names and (changed < now - OLDEST or place >= MOST):
                os.unlink(name, dir_fd=handle)
    except (OSError, NotImplementedError):
        return
    finally:
        os.close(handle)


def _read(path: Path) -> tuple[str, str, bool, object] | None:
    """Signature, content key, whether the signature alone can be trusted, and what is kept; None if it is no use."""
    raw = read_own(path)
    if raw is None or raw[0][: len(HEAD)] != HEAD:
        return None
    check, body = raw[0][len(HEAD) : len(HEAD) + HASHED], memoryview(raw[0])[len(HEAD) + HASHED :]
    if blake2b(body, digest_size=HASHED).digest() != check:
        return None
    try:
        whole = marshal.loads(body)
    except (EOFError, ValueError, TypeError, MemoryError):
        return None
    if not isinstance(whole, tuple) or len(whole) != 4:
        return None
    known, key, sure, thing = whole
    return (known, key, sure, thing) if isinstance(known, str) and isinstance(key, str) else None


def _as_it_is(thing: Any) -> Any:
    return thing


def stored(
    kind: str,
    files: Sequence[Path],
    build: Callable[[], T],
    anew: bool = False,
    make: Callable[[T], R] = _as_it_is,
) -> R:
    """What `make` makes of what `build()` gives, from the cache while the files it is built from are unchanged.

    kind: short name of what is kept ("rules"), small letters; files: every file the result depends on, data and code
    alike, in a fixed order; build: makes the thing, which must be something `marshal` writes (text, numbers, tuples,
    lists, dicts); anew: build it whatever is kept; make: what is wanted in the end (the thing itself if left out): if it
    fails on a kept thing, the thing is built anew. Costs one stat a file and one read when nothing changed. Errors of
    `build` pass through; a cache that cannot be read, trusted or written only costs time.
    """
    folder = cache_folder()
    known, newest = signature(files)
    place = zlib.crc32("\0".join(str(path) for path in files).encode("utf-8", "surrogateescape"))
    path = None if folder is None else folder / f"{kind}-{place:08x}.kept"
    found = None if path is None or anew else _read(path)
    sure = found is not None and found[0] == known and found[2]
    key = "" if sure else content_key(files)
    if found is not None and (sure or found[1] == key):
        try:
            made = make(cast(T, found[3]))
        except Exception:  # of a form this version does not know, though its hash is right
            return stored(kind, files, build, True, make)
        if not sure and path is not None and time.time() - newest > JUST_NOW:
            _keep(path, known, key, True, found[3])
        elif not sure and path is not None and found[:3] != (known, key, False):
            _keep(path, known, key, False, found[3])
        return made
    thing = build()
    if content_key(files) == key and path is not None:  # else a file changed while it was read
        _keep(path, known, key, time.time() - newest > JUST_NOW, thing)
    return make(thing)


def _keep(path: Path, known: str, key: str, sure: bool, thing: object) -> None:
    body = _bytes((known, key, sure, thing))
    write_whole(path, HEAD + blake2b(body, digest_size=HASHED).digest() + body)
