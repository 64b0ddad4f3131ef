"""A site's folder as it is filled: a file that is made of the same as in the last site is taken from there, any other is written.

What a file is made of is told by a digest, before it is made. A file is taken whole, under a second name, or not at all; the
folder holds the same bytes as one that was filled anew.
"""

from __future__ import annotations

import hashlib
import json
import os
from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass, field
from pathlib import Path

from wareboard.output import files
from wareboard.output.builtfolder import MARK, Aside, read_manifest
from wareboard.output.unchanged import STATE
from wareboard.pot.frozen import frozen


def made_of(*said: object) -> str:
    """A digest of what a file is made of."""
    texts = [(one if isinstance(one, str) else repr(one)).encode("utf-8", "surrogateescape") for one in said]
    told = b"".join([b"%d\0%b" % (len(text), text) for text in texts])
    return hashlib.blake2b(told, digest_size=files.DIGEST_BYTES).hexdigest()


@frozen
class Standing:
    """What was written down of the last site: where it stands, each file's `files.stat_of`, and a digest of what it was made of."""

    site: str = ""
    files: Mapping[str, list[int]] = field(default_factory=dict)
    made: Mapping[str, str] = field(default_factory=dict)


def standing_place(root: Path, audience: str) -> Path:
    """Where it is written down."""
    return root / files.PRIVATE / STATE / f"{audience}-files.json"


def read_standing(root: Path, audience: str) -> Standing:
    """What was written down of an audience's last site; nothing where that cannot be read."""
    try:
        said = json.loads(standing_place(root, audience).read_bytes())
        return Standing(str(said["site"]), dict(said["files"]), dict(said["made"]))
    except (OSError, *files.SPOILT):
        return Standing()


def note_standing(root: Path, audience: str, standing: Standing) -> None:
    """Write it down; whoever does is `writing`. Raises: OSError."""
    said = {"site": standing.site, "files": dict(standing.files), "made": dict(standing.made)}
    files.write_whole(standing_place(root, audience), json.dumps(said).encode())


@dataclass(slots=True)
class Filling:
    """The new folder, with a digest of each file and of what it was made of; `taken` are those of the last site's."""

    folder: Path
    last: Path
    digests: dict[str, str] = field(default_factory=dict)
    made: dict[str, str] = field(default_factory=dict)
    taken: set[str] = field(default_factory=set)
    standing: Standing = field(default_factory=Standing)
    _digests_before: dict[str, str] = field(default_factory=dict)
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
            filling.standing, filling._digests_before = standing, dict(manifest.files)
        return filling

    def put(self, name: str, made: str, make: Callable[[], bytes]) -> None:
        """One file.

        Args:
            name: its path on the site.
            made: see `made_of`.
            make: gives what it holds.
        """
        if not self._take(name, made):
            self.write(name, [make()])

    def put_text(self, name: str, content: bytes) -> None:
        """One file whose content is there already."""
        self.put(name, hashlib.blake2b(content, digest_size=files.DIGEST_BYTES).hexdigest(), lambda: content)

    def copy(self, name: str, source: Path) -> None:
        """One file that lies elsewhere already."""
        self.put(name, made_of(source.name, files.stat_of(source)), source.read_bytes)

    def write(self, name: str, pieces: Iterable[bytes]) -> None:
        """One file, piece by piece."""
        self.digests[name] = files.write_pieces(self._place(name), pieces)

    def stand(self) -> Standing:
        """How the folder stands, now that it took the last one's place. Raises: OSError."""
        known = self.standing.files
        names = (*self.digests, MARK)
        stats = {name: known[name] if name in self.taken else files.stat_of(f"{self.last}/{name}") for name in names}
        return Standing(str(self.last), stats, {name: self.made.get(name, "") for name in names})

    def _place(self, name: str) -> str:
        above, _, _ = name.rpartition("/")
        if above not in self._folders:
            os.makedirs(f"{self.folder}/{above}", exist_ok=True)
            self._folders.add(above)
        return f"{self.folder}/{name}"

    def _take(self, name: str, made: str) -> bool:
        """True where the last site has the file, made of the same, and nobody has touched it; it is then ours too."""
        self.made[name] = made
        if self.standing.made.get(name) != made or name not in self._digests_before:
            return False
        source = f"{self.last}/{name}"
        try:
            if self.standing.files.get(name) != files.stat_of(source):
                return False
            os.link(source, self._place(name), follow_symlinks=False)
        except OSError:  # gone, or on a disk that gives no file two names
            return False
        self.digests[name] = self._digests_before[name]
        self.taken.add(name)
        return True
