"""The one place that writes a pack: complete in memory, written beside its place, moved in whole."""

from __future__ import annotations

import contextlib
import hashlib
import os
import shutil
import tempfile
from collections.abc import Iterator, Mapping
from pathlib import Path, PurePosixPath

from pixel2make.errors import PackError

__all__ = ["MANIFEST", "check_folder", "manifest_bytes", "write_file", "write_pack"]

MANIFEST = "MANIFEST.sha256"
"""Lists every file of a pack with its SHA-256 digest, one ``digest  path`` line a file."""


def manifest_bytes(files: Mapping[str, bytes]) -> bytes:
    """The manifest of a pack's files, sorted by path.

    >>> print(manifest_bytes({"a.txt": b""}).decode(), end="")
    e3b0c44298fc1c149afbf4c8996fb92427ae41e4649b934ca495991b7852b855  a.txt
    """
    lines = [f"{hashlib.sha256(files[path]).hexdigest()}  {path}\n" for path in sorted(files)]
    return "".join(lines).encode()


def check_folder(folder: Path) -> None:
    """Make sure that a pack may be written at `folder`, before any work is done for it.

    Raises
    ------
    PackError
        Where `folder` is a file, the folder one stands in, or holds anything else than an
        earlier pack whose files are as they were written.
    """
    folder = folder.resolve()
    if not folder.exists():
        above = _nearest_existing(folder)
        if not above.is_dir():
            raise PackError(f"cannot be made, since {above.name} is a file; name another folder")
        if not os.access(above, os.W_OK | os.X_OK):
            raise PackError(
                "cannot be made there, the folder above may not be written to; name another folder"
            )
        return
    if not folder.is_dir():
        raise PackError("is a file, not a folder; name another folder")
    if folder == Path.cwd().resolve() or folder.parent == folder:
        raise PackError("is the folder you stand in; name a new folder, such as build")
    if not os.access(folder.parent, os.W_OK | os.X_OK) or not os.access(folder, os.R_OK | os.X_OK):
        raise PackError("may not be replaced, the folder above may not be written to; name another folder")
    _check_earlier_pack(folder)


def _nearest_existing(path: Path) -> Path:
    while not path.exists():
        path = path.parent
    return path


def _check_earlier_pack(folder: Path) -> None:
    there = sorted(
        p.relative_to(folder).as_posix() for p in folder.rglob("*") if not p.is_dir() or p.is_symlink()
    )
    if not there and not any(folder.iterdir()):
        return
    listed = _read_manifest(folder / MANIFEST)
    if not listed:
        what = there[0] if there else next(iter(sorted(p.name for p in folder.iterdir())))
        raise PackError(f"holds {what!r}, which is no pack of ours; name a new or empty folder")
    for path in there:
        if path == MANIFEST:
            continue
        if path not in listed:
            raise PackError(f"holds {path!r} beside an earlier pack; move it away or name another folder")
        if hashlib.sha256((folder / path).read_bytes()).hexdigest() != listed[path]:
            raise PackError(
                f"holds {path!r}, changed since it was written; move it away or name another folder"
            )


def _read_manifest(path: Path) -> dict[str, str]:
    listed: dict[str, str] = {}
    try:
        lines = path.read_text("utf-8").splitlines()
    except (OSError, UnicodeDecodeError):
        return listed
    for line in lines:
        digest, _, name = line.partition("  ")
        if len(digest) != 64 or not name:
            return {}
        listed[name] = digest
    return listed


def write_pack(files: Mapping[str, bytes], folder: Path) -> None:
    """Write a pack in one move.

    The files are written into a folder beside `folder` and moved in by renaming; a run that is
    stopped or fails leaves `folder` as it was.

    Parameters
    ----------
    files : mapping of str to bytes
        Relative paths with forward slashes; the manifest is added.
    folder : Path
        New, empty, or an earlier pack, which is replaced whole.

    Raises
    ------
    PackError
        One line; nothing of the new pack is left behind.
    """
    check_folder(folder)
    folder = folder.resolve()
    complete = {**files, MANIFEST: manifest_bytes(files)}
    with _os_errors(), _made_parents(folder.parent):
        fresh = Path(tempfile.mkdtemp(prefix=f".{folder.name}.", suffix=".unfinished", dir=folder.parent))
        try:
            for path in sorted(complete):
                target = fresh / PurePosixPath(path)
                target.parent.mkdir(parents=True, exist_ok=True)
                target.write_bytes(complete[path])
            fresh.chmod(0o777 & ~_umask())
            _move_in(fresh, folder)
        finally:
            shutil.rmtree(fresh, ignore_errors=True)


def _move_in(fresh: Path, folder: Path) -> None:
    if not folder.exists():
        fresh.rename(folder)
        return
    aside = Path(tempfile.mkdtemp(prefix=f".{folder.name}.", suffix=".earlier", dir=folder.parent))
    try:
        folder.rename(aside / "pack")
        try:
            fresh.rename(folder)
        except BaseException:
            (aside / "pack").rename(folder)
            raise
    finally:
        shutil.rmtree(aside, ignore_errors=True)


def write_file(content: bytes, path: Path) -> None:
    """Write one file in one move, so that an earlier one is never half overwritten.

    Raises
    ------
    PackError
    """
    path = path.resolve() if path.is_symlink() else path
    if path.is_dir():
        raise PackError("is a folder; name a file in it")
    if path.exists() and not path.is_file():
        raise PackError("is no ordinary file; name another file")
    with _os_errors(), _made_parents(path.parent):
        handle, name = tempfile.mkstemp(prefix=f".{path.name}.", suffix=".unfinished", dir=path.parent)
        try:
            with os.fdopen(handle, "wb") as file:
                file.write(content)
            mode = path.stat().st_mode & 0o777 if path.exists() else 0o666 & ~_umask()
            Path(name).chmod(mode)
            Path(name).replace(path)
        finally:
            Path(name).unlink(missing_ok=True)


def _umask() -> int:
    mask = os.umask(0)
    os.umask(mask)
    return mask


@contextlib.contextmanager
def _made_parents(parent: Path) -> Iterator[None]:
    """Make missing folders above; take them away again if what follows fails."""
    missing = [p for p in (parent, *parent.parents) if not p.exists()]
    try:
        parent.mkdir(parents=True, exist_ok=True)
        yield
    except BaseException:
        for made in missing:
            with contextlib.suppress(OSError):
                made.rmdir()
        raise


@contextlib.contextmanager
def _os_errors() -> Iterator[None]:
    try:
        yield
    except PackError:
        raise
    except OSError as error:
        reason = (error.strerror or str(error)).lower()
        raise PackError(
            f"cannot be written ({reason}); nothing was changed; free some space or name another place"
        ) from error
