"""Writing files so that a power cut leaves the old content or the new, never half of either."""

import errno
import os
from collections.abc import Iterable
from pathlib import Path
from uuid import uuid4


def write_atomically(path: Path, data: bytes | Iterable[bytes], *, to_disk: bool = True) -> None:
    """Replace the content of `path` by `data`, down to the disk; a link stays one.

    data: whole, or piece by piece as it is made; what making it raises comes through.
    to_disk: False for what may be lost in a power cut, because its reader finds that out.

    Raises:
        OSError: if it cannot be written; what stood there before still stands.
    """
    path = path.resolve() if path.is_symlink() else path
    temporary = path.with_name(f".{path.name}.{uuid4().hex}.tmp")
    try:
        with temporary.open("xb") as file:
            file.writelines([data] if isinstance(data, bytes) else data)
            if to_disk:
                file.flush()
                os.fsync(file.fileno())
        temporary.replace(path)
    finally:
        temporary.unlink(missing_ok=True)
    if to_disk:
        sync_folder(path.parent)


def make_folder(path: Path) -> None:
    """Create a folder with its parents, down to the disk; an existing one is left as it is.

    Raises:
        OSError: if it cannot be created.
    """
    if path.is_dir():
        return
    if path.parent != path:
        make_folder(path.parent)
    try:
        path.mkdir(exist_ok=True)
    except FileExistsError:
        raise NotADirectoryError(errno.ENOTDIR, "Not a folder", str(path)) from None
    sync_folder(path.parent)


def sync_folder(path: Path) -> None:
    """Bring a folder's list of names to the disk.

    Raises:
        OSError: if the disk refuses.
    """
    if os.name == "nt":  # Windows cannot open a folder, and journals the names itself.
        return
    folder = os.open(path, os.O_RDONLY)
    try:
        os.fsync(folder)
    finally:
        os.close(folder)
