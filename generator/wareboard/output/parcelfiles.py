"""A parcel on the disk: one zip with a form and all that it leans on. Read with distrust, written whole."""

from __future__ import annotations

import io
import json
import re
import stat
import zipfile
import zlib
from collections.abc import Mapping
from pathlib import Path, PurePosixPath

from wareboard.output.files import FolderError, write_whole
from wareboard.text.parcels import Parcel

MANIFEST = "parcel.json"
FORMAT = 1
MOST_FILES = 200
MOST_FILE_BYTES = 1_000_000
MOST_BYTES = 8_000_000
# The oldest day that a zip can say: the same parcel has the same bytes whenever it is made.
DAY = (1980, 1, 1, 0, 0, 0)
_PATH = re.compile(r"specs/(forms|clays|glazes)/[a-z0-9][a-z0-9-]{0,79}\.yaml")


def write_parcel(path: Path, parcel: Parcel) -> None:
    """Write a parcel, whole or not at all; never over a file.

    Args:
        path: the file.
        parcel: what goes into it.
    Raises: FolderError, there is a file of that name; OSError.
    """
    held = io.BytesIO()
    manifest = {"format": FORMAT, "form": parcel.form, "gauges": dict(parcel.gauges), "files": sorted(parcel.texts)}
    contents = {MANIFEST: json.dumps(manifest, indent=1, ensure_ascii=False, sort_keys=True), **parcel.texts}
    with zipfile.ZipFile(held, "w", zipfile.ZIP_DEFLATED) as zipped:
        for name in sorted(contents):
            entry = zipfile.ZipInfo(name, DAY)
            entry.compress_type, entry.external_attr = zipfile.ZIP_DEFLATED, 0o644 << 16
            zipped.writestr(entry, contents[name].encode("utf-8"))
    try:
        write_whole(path, held.getvalue(), new=True)
    except FileExistsError:
        raise FolderError(f"{path} is there already") from None


def read_parcel(path: Path) -> Parcel:
    """Read a parcel that may come from anywhere: nothing is unpacked to the disk, and no more than 8 MB to memory.

    Args:
        path: the file.
    Raises: FolderError, it is no parcel, is damaged, or holds what a parcel never holds; OSError.
    """
    if path.stat().st_size > MOST_BYTES:
        raise FolderError(f"{path.name} is larger than a parcel ever is ({MOST_BYTES // 1_000_000} MB)")
    try:
        with zipfile.ZipFile(path) as zipped:
            entries = zipped.infolist()
            if len(entries) > MOST_FILES:
                raise FolderError(f"{path.name} holds {len(entries)} files; a parcel has at most {MOST_FILES}")
            names = [entry.filename for entry in entries]
            if len(set(names)) != len(names):
                raise FolderError(f"{path.name} holds a file twice")
            if MANIFEST not in names:
                raise FolderError(f"{path.name} is no parcel: it has no {MANIFEST}. `wareboard pack FORM` makes one")
            for entry in entries:
                _refuse_odd(path, entry)
            contents = _contents(path, zipped, entries)
    except FolderError:
        raise
    except zipfile.BadZipFile:
        raise FolderError(f"{path.name} is no zip file, or it is damaged; have it sent again") from None
    except (zlib.error, EOFError, NotImplementedError, RuntimeError) as fault:
        raise FolderError(
            f"{path.name} cannot be read to its end ({type(fault).__name__}); have it sent again"
        ) from None
    return _parcel(path, contents)


def _refuse_odd(path: Path, entry: zipfile.ZipInfo) -> None:
    """Nothing but plain spec files, each in its place: no way out of the folder, no link, nothing locked."""
    name = entry.filename
    if stat.S_ISLNK(entry.external_attr >> 16):
        raise FolderError(f"{path.name} holds a link, `{name[:60]}`; a parcel never does. Nothing was unpacked")
    if name != MANIFEST and not _PATH.fullmatch(name):
        out = name.startswith(("/", "\\")) or ".." in PurePosixPath(name.replace("\\", "/")).parts or ":" in name
        why = "leads out of the folder" if out else "is none of a parcel's files"
        raise FolderError(f"{path.name} holds `{name[:60]}`, which {why}. Nothing was unpacked")
    if entry.flag_bits & 1:
        raise FolderError(f"{path.name} is locked with a password; a parcel never is")
    if entry.file_size > MOST_FILE_BYTES:
        raise FolderError(
            f"{path.name} holds `{name}` of {entry.file_size:,} bytes; a spec has at most {MOST_FILE_BYTES:,}"
        )


def _contents(path: Path, zipped: zipfile.ZipFile, entries: list[zipfile.ZipInfo]) -> dict[str, str]:
    """Every file's text; what a file says of its own size is not believed."""
    found, left = {}, MOST_BYTES
    for entry in entries:
        with zipped.open(entry) as opened:
            content = opened.read(min(left, MOST_FILE_BYTES) + 1)
        left -= len(content)
        if len(content) > MOST_FILE_BYTES or left < 0:
            raise FolderError(f"{path.name} unpacks to more than a parcel ever is; nothing was unpacked")
        try:
            found[entry.filename] = content.decode("utf-8-sig")
        except UnicodeDecodeError:
            raise FolderError(f"{path.name}: `{entry.filename}` is not UTF-8 text") from None
    return found


def _parcel(path: Path, contents: Mapping[str, str]) -> Parcel:
    try:
        manifest = json.loads(contents[MANIFEST])
        form, gauges = str(manifest["form"]), dict(manifest.get("gauges", {}))
        number = int(manifest["format"])
    except (ValueError, KeyError, TypeError, OverflowError, RecursionError):
        raise FolderError(f"{path.name}: its {MANIFEST} cannot be read") from None
    if number != FORMAT:
        raise FolderError(f"{path.name} is of format {number}; this program reads {FORMAT}")
    texts = {name: text for name, text in contents.items() if name != MANIFEST}
    if f"specs/forms/{form}.yaml" not in texts:
        raise FolderError(f"{path.name} says that it holds `{form[:60]}`, and does not")
    return Parcel(form, texts, {str(name): str(size) for name, size in gauges.items()})
