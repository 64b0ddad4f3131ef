"""A site's folder as it is filled: a file that is made of the same as in the last site is taken from there, any other is written.

What a file is made of is told by a digest, before it is made. A file is taken whole, under a second name, or not at all; the
folder holds the same bytes as one that was filled anew.
"""

from __future__ import annotations

import hashlib
import json
import os
import struct
from collections.abc import Callable, Iterable, Iterator, Mapping
from dataclasses import dataclass, field
from pathlib import Path
from typing import Generic, TypeVar

from wareboard.output import files
from wareboard.output.builtfolder import MARK, Aside, read_manifest
from wareboard.output.unchanged import STATE

# What `files.stat_of` tells of a file, as a large site's thousands are held.
_STAT = struct.Struct("<qqQ")
Told = TypeVar("Told")


def made_of(*said: object) -> str:
    """A digest of what a file is made of."""
    texts = [(one if isinstance(one, str) else repr(one)).encode("utf-8", "surrogateescape") for one in said]
    told = b"".join([b"%d\0%b" % (len(text), text) for text in texts])
    return hashlib.blake2b(told, digest_size=files.DIGEST_BYTES).hexdigest()


class Packed(Mapping[str, Told], Generic[Told]):
    """What is known of each file of a site, held as a few bytes."""

    def __init__(self, held: Mapping[str, bytes], read: Callable[[bytes], Told]) -> None:
        """Bytes by name, and what they say."""
        self.held, self.read = held, read

    def __getitem__(self, name: str) -> Told:
        """See Mapping."""
        return self.read(self.held[name])

    def __iter__(self) -> Iterator[str]:
        """See Mapping."""
        return iter(self.held)

    def __len__(self) -> int:
        """See Mapping."""
        return len(self.held)


def _packed(stat: Iterable[int]) -> bytes:
    """Raises: struct.error, numbers that no file has."""
    return _STAT.pack(*stat)


@dataclass(slots=True)
class Standing:
    """What was written down of the last site: where it stands, each file's `files.stat_of` and a digest of what it was made of, packed."""

    site: str = ""
    held: dict[str, bytes] = field(default_factory=dict)

    @property
    def files(self) -> Mapping[str, list[int]]:
        """What `files.stat_of` told of each file."""
        return Packed(self.held, lambda told: list(_STAT.unpack_from(told)))

    def made(self, name: str) -> bytes:
        """A digest of what a file was made of; empty where nobody knows."""
        return self.held.get(name, b"")[_STAT.size :]


def standing_place(root: Path, audience: str) -> Path:
    """Where it is written down."""
    return root / files.PRIVATE / STATE / f"{audience}-files.json"


def read_standing(root: Path, audience: str) -> Standing:
    """What was written down of an audience's last site; nothing where that cannot be read."""
    try:
        with open(standing_place(root, audience), "rb") as lines:
            head = json.loads(next(lines, b""))
            standing = Standing(str(head["site"]))
            for line in lines:
                name, made, *stat = json.loads(line)
                standing.held[str(name)] = _packed(stat) + bytes.fromhex(made)
        if len(standing.held) != head["count"]:
            raise ValueError("lines are missing")
        return standing
    except (OSError, struct.error, *files.SPOILT):
        return Standing()


def note_standing(root: Path, audience: str, standing: Standing) -> None:
    """Write it down, a line a file; whoever does is `writing`. Raises: OSError."""

    def lines() -> Iterator[bytes]:
        yield json.dumps({"site": standing.site, "count": len(standing.held)}).encode() + b"\n"
        for name, stat in standing.files.items():
            yield json.dumps([name, standing.made(name).hex(), *stat]).encode() + b"\n"

    files.write_whole(standing_place(root, audience), lines())


@dataclass(slots=True)
class Filling:
    """The new folder, with a digest of each file and of what it was made of; `taken` are those of the last site's."""

    folder: Path
    last: Path
    taken: set[str] = field(default_factory=set)
    standing: Standing = field(default_factory=Standing)
    _held: dict[str, bytes] = field(default_factory=dict)
    _digests_before: Mapping[str, str] = field(default_factory=dict)
    _folders: set[str] = field(default_factory=set)

    @classmethod
    def open(cls, aside: Aside, root: Path) -> Filling:
        """Begin with an empty folder; nothing is taken from a site that is not the one that was written down last.

        Args:
            aside: the folder.
            root: the maker's folder.
        """
        filling, standing = cls(aside.path, aside.target), read_standing(root, aside.edition)
        manifest = read_manifest(aside.target) if os.path.realpath(standing.site) == str(aside.target) else None
        if manifest is not None and standing.files.get(MARK) == files.stat_of(aside.target / MARK):
            before = {name: bytes.fromhex(digest) for name, digest in manifest.files.items()}
            filling.standing, filling._digests_before = standing, Packed(before, bytes.hex)
        return filling

    @property
    def digests(self) -> Mapping[str, str]:
        """A digest of each file."""
        return Packed(self._held, lambda told: told[: files.DIGEST_BYTES].hex())

    def put(self, name: str, made: str, make: Callable[[], bytes]) -> None:
        """One file.

        Args:
            name: its path on the site.
            made: see `made_of`.
            make: gives what it holds.
        """
        digest = bytes.fromhex(made)
        if not self._take(name, digest):
            self.write(name, [make()])
            self._held[name] += digest

    def put_text(self, name: str, content: bytes) -> None:
        """One file whose content is there already."""
        self.put(name, hashlib.blake2b(content, digest_size=files.DIGEST_BYTES).hexdigest(), lambda: content)

    def copy(self, name: str, source: Path) -> None:
        """One file that lies elsewhere already."""
        self.put(name, made_of(source.name, files.stat_of(source)), source.read_bytes)

    def write(self, name: str, pieces: Iterable[bytes]) -> None:
        """One file, piece by piece."""
        self._held[name] = bytes.fromhex(files.write_pieces(self._place(name), pieces))

    def stand(self) -> Standing:
        """How the folder stands, now that it took the last one's place. Raises: OSError."""
        known, held = self.standing.held, dict[str, bytes]()
        for name in (*self._held, MARK):
            stat = known[name][: _STAT.size] if name in self.taken else _packed(files.stat_of(f"{self.last}/{name}"))
            held[name] = stat + self._held.get(name, b"")[files.DIGEST_BYTES :]
        return Standing(str(self.last), held)

    def _place(self, name: str) -> str:
        above, _, _ = name.rpartition("/")
        if above not in self._folders:
            os.makedirs(f"{self.folder}/{above}", exist_ok=True)
            self._folders.add(above)
        return f"{self.folder}/{name}"

    def _take(self, name: str, made: bytes) -> bool:
        """True where the last site has the file, made of the same, and nobody has touched it; it is then ours too."""
        if self.standing.made(name) != made or name not in self._digests_before:
            return False
        source = f"{self.last}/{name}"
        try:
            if self.standing.files.get(name) != files.stat_of(source):
                return False
            os.link(source, self._place(name), follow_symlinks=False)
        except OSError:  # gone, or on a disk that gives no file two names
            return False
        self._held[name] = bytes.fromhex(self._digests_before[name]) + made
        self.taken.add(name)
        return True
