"""The pack moves in whole, or the folder stays as it was."""

import hashlib
import os
import subprocess
import sys

import pytest

from pixel2make.errors import PackError
from pixel2make.pack.writer import MANIFEST, check_folder, manifest_bytes, write_file, write_pack

FILES = {"README.txt": b"read me\n", "sheets/greyboard.svg": b"<svg/>\n"}


def tree(folder):
    return {p.relative_to(folder).as_posix(): p.read_bytes() for p in folder.rglob("*") if p.is_file()}


def test_pack_holds_the_files_and_a_manifest_and_nothing_else(tmp_path):
    write_pack(FILES, tmp_path / "pack")
    assert tree(tmp_path / "pack") == {**FILES, MANIFEST: manifest_bytes(FILES)}
    assert [p.name for p in tmp_path.iterdir()] == ["pack"]


def test_manifest_is_verified_by_the_systems_own_checksum_tool(tmp_path):
    """GNU coreutils `sha256sum --check` is the outside judge of the manifest's form."""
    write_pack(FILES, tmp_path / "pack")
    check = subprocess.run(
        ["sha256sum", "--check", "--strict", MANIFEST], cwd=tmp_path / "pack", capture_output=True, text=True
    )
    assert check.returncode == 0, check.stderr
    assert check.stdout.count(": OK") == len(FILES)


def test_folders_above_are_made(tmp_path):
    write_pack(FILES, tmp_path / "a" / "b" / "pack")
    assert (tmp_path / "a" / "b" / "pack" / "README.txt").is_file()


def test_an_earlier_pack_is_replaced_whole(tmp_path):
    write_pack(FILES, tmp_path / "pack")
    write_pack({"other.txt": b"2"}, tmp_path / "pack")
    assert set(tree(tmp_path / "pack")) == {"other.txt", MANIFEST}


def test_an_empty_folder_is_taken(tmp_path):
    (tmp_path / "pack").mkdir()
    write_pack(FILES, tmp_path / "pack")
    assert (tmp_path / "pack" / MANIFEST).is_file()


def test_a_link_to_a_folder_stays_a_link(tmp_path):
    (tmp_path / "real").mkdir()
    (tmp_path / "link").symlink_to(tmp_path / "real")
    write_pack(FILES, tmp_path / "link")
    assert (tmp_path / "link").is_symlink()
    assert (tmp_path / "real" / "README.txt").is_file()


@pytest.mark.parametrize("name", ["notes.txt", "sub/notes.txt"])
def test_a_makers_file_in_the_folder_stops_the_run(tmp_path, name):
    write_pack(FILES, tmp_path / "pack")
    (tmp_path / "pack" / "sub").mkdir()
    (tmp_path / "pack" / name).write_text("my notes")
    before = tree(tmp_path / "pack")
    with pytest.raises(PackError, match=name):
        write_pack(FILES, tmp_path / "pack")
    assert tree(tmp_path / "pack") == before


def test_a_changed_file_of_the_pack_stops_the_run(tmp_path):
    write_pack(FILES, tmp_path / "pack")
    (tmp_path / "pack" / "README.txt").write_text("mine now")
    with pytest.raises(PackError, match=r"'README\.txt', changed since it was written"):
        write_pack(FILES, tmp_path / "pack")


def test_a_foreign_folder_is_refused(tmp_path):
    (tmp_path / "photos").mkdir()
    (tmp_path / "photos" / "a.jpg").write_bytes(b"x")
    with pytest.raises(PackError, match=r"'a\.jpg', which is no pack of ours"):
        check_folder(tmp_path / "photos")


def test_a_folder_of_folders_is_foreign_too(tmp_path):
    (tmp_path / "photos" / "summer").mkdir(parents=True)
    with pytest.raises(PackError, match="'summer', which is no pack of ours"):
        check_folder(tmp_path / "photos")


def test_a_manifest_of_ours_with_a_link_in_the_folder_is_refused(tmp_path):
    write_pack(FILES, tmp_path / "pack")
    (tmp_path / "pack" / "link").symlink_to(tmp_path)
    with pytest.raises(PackError, match="'link' beside an earlier pack"):
        check_folder(tmp_path / "pack")


def test_a_file_is_no_folder(tmp_path):
    (tmp_path / "pack").write_text("x")
    with pytest.raises(PackError, match="is a file, not a folder"):
        check_folder(tmp_path / "pack")


def test_a_file_above_is_no_folder(tmp_path):
    (tmp_path / "file").write_text("x")
    with pytest.raises(PackError, match="file is a file"):
        check_folder(tmp_path / "file" / "pack")


def test_the_folder_one_stands_in_is_refused(tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)
    with pytest.raises(PackError, match="the folder you stand in"):
        check_folder(tmp_path)


@pytest.mark.parametrize("earlier", [False, True])
def test_a_failure_in_the_middle_leaves_the_folder_as_it_was(tmp_path, earlier):
    """A path that cannot exist fails after other files were written."""
    if earlier:
        write_pack(FILES, tmp_path / "pack")
    before = tree(tmp_path)
    with pytest.raises(PackError, match="cannot be written"):
        write_pack({"a.txt": b"1", "z" * 300: b"2"}, tmp_path / "pack")
    assert tree(tmp_path) == before


def test_a_failed_move_brings_the_earlier_pack_back(tmp_path, monkeypatch):
    write_pack(FILES, tmp_path / "pack")
    before = tree(tmp_path)
    real = os.rename

    def rename(self, target):
        if str(self).endswith(".unfinished"):
            raise OSError(5, "Input/output error")
        real(self, target)
        return target

    monkeypatch.setattr("pathlib.Path.rename", rename)
    with pytest.raises(PackError, match="input/output error"):
        write_pack({"other.txt": b"2"}, tmp_path / "pack")
    assert tree(tmp_path) == before


def test_a_full_disk_is_one_clear_line(tmp_path):
    """A limit on the size of a file stands in for a disk without room; the system raises EFBIG."""
    code = (
        "import resource, pathlib, sys\n"
        "from pixel2make.pack.writer import write_pack\n"
        "from pixel2make.errors import PackError\n"
        "resource.setrlimit(resource.RLIMIT_FSIZE, (4096, 4096))\n"
        "try:\n"
        "    write_pack({'a.txt': b'1', 'b.txt': bytes(9999)}, pathlib.Path(sys.argv[1]))\n"
        "except PackError as error:\n"
        "    print(error)\n"
    )
    run = subprocess.run([sys.executable, "-c", code, str(tmp_path / "pack")], capture_output=True, text=True)
    assert "cannot be written (file too large); nothing was changed" in run.stdout, run.stderr
    assert list(tmp_path.iterdir()) == []


def test_write_file_replaces_in_one_move_and_keeps_the_mode(tmp_path):
    path = tmp_path / "plan.toml"
    path.write_text("old")
    path.chmod(0o640)
    write_file(b"new", path)
    assert path.read_bytes() == b"new"
    assert path.stat().st_mode & 0o777 == 0o640
    assert [p.name for p in tmp_path.iterdir()] == ["plan.toml"]


def test_write_file_does_not_write_to_devices_or_folders(tmp_path):
    with pytest.raises(PackError, match="is a folder"):
        write_file(b"x", tmp_path)
    fifo = tmp_path / "pipe"
    os.mkfifo(fifo)
    with pytest.raises(PackError, match="no ordinary file"):
        write_file(b"x", fifo)


def test_manifest_digest_against_the_standard_library():
    line = manifest_bytes({"a": b"abc"}).decode()
    # FIPS 180-4 example: SHA-256 of "abc".
    assert line.startswith("ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad  a")
    assert hashlib.sha256(b"abc").hexdigest() in line
