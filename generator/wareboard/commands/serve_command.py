"""The command `wareboard serve`: the built site for this machine's browser, or for a phone on the same network."""

from __future__ import annotations

import io
import socket
import sys
from collections.abc import Callable
from functools import partial
from http.server import SimpleHTTPRequestHandler, ThreadingHTTPServer
from pathlib import Path
from typing import Any, ClassVar

import click

from wareboard.commands.cards_command import check_one_of
from wareboard.output.builtfolder import MARK
from wareboard.output.unchanged import STUDIO, state_place
from wareboard.text.problems import format_words

PORT = 8710
HERE_ALONE = "127.0.0.1"


class SiteHandler(SimpleHTTPRequestHandler):
    """Hands out the files of one folder, but for hidden ones, and nothing else."""

    server_version = "Wareboard"
    sys_version = ""
    extensions_map: ClassVar = {**SimpleHTTPRequestHandler.extensions_map, ".webmanifest": "application/manifest+json"}

    def __init__(self, *arguments: Any, notice: Callable[[], None], **more: Any) -> None:
        """Answers one browser; `notice` is called before each file."""
        self.notice = notice
        super().__init__(*arguments, **more)

    def send_head(self):  # type: ignore[no-untyped-def]
        """A file's head; what is hidden is not there, nor a folder without a page, nor what a link leads out to."""
        self.notice()
        try:
            path = Path(self.translate_path(self.path)).resolve()
            inside = path.relative_to(self.directory).parts
            without_page = path.is_dir() and not (path / "index.html").is_file()
        except (ValueError, OSError):  # outside, or no name that a file can have
            inside, without_page = (), True
        if without_page or any(part.startswith(".") for part in inside):
            self.send_error(404)
            return None
        return super().send_head()

    def end_headers(self) -> None:
        """The site changes with each build, so nothing is taken from an old visit without asking."""
        self.send_header("Cache-Control", "no-cache")
        self.send_header("X-Content-Type-Options", "nosniff")
        super().end_headers()

    def log_message(self, format: str, *args: object) -> None:
        """A page and its twenty files are not worth twenty lines."""


class Age:
    """Whether a built site still shows what is typed; says so where it does not, once for each change."""

    def __init__(self, root: Path, site: Path, say: Callable[[str], None], audience: str = STUDIO) -> None:
        """Of a maker's folder and the site that was built from it for an audience."""
        self.root, self.site, self.say, self.audience = root, site, say, audience
        self.said: tuple[str, ...] = ()

    def saved_since(self) -> tuple[str, ...]:
        """The specs and settings that were saved, came or went after the site was built, by path."""
        built_ns = max(
            (_saved_ns(path) for path in (self.site / MARK, state_place(self.root, self.audience))), default=0
        )
        specs = self.root / "specs"
        seen = [self.root / "mkdocs.yml", specs / "studio.yaml"]
        for place in sorted(specs.glob("*/")) if built_ns else ():
            if place.is_dir() and not place.name.startswith("."):
                newer = [path for path in sorted(place.glob("*.yaml")) if _saved_ns(path) > built_ns]
                # Where only the folder is newer, something went.
                seen += newer or [place]
        return tuple(path.relative_to(self.root).as_posix() for path in seen if built_ns and _saved_ns(path) > built_ns)

    def notice(self) -> None:
        """Say what was saved since, where that has not been said."""
        found = self.saved_since()
        if found != self.said:
            self.said = found
            if found:
                shown = format_words([*found[:3], *([f"{len(found) - 3} more"] if len(found) > 3 else [])], "and")
                self.say(
                    f"Saved since this site was built: {shown}. Pages and cards show what was built; `wareboard build` makes them anew."
                )


def _saved_ns(path: Path) -> int:
    try:
        return path.stat().st_mtime_ns
    except OSError:
        return 0


def make_server(
    site: Path, *, on_network: bool, port: int = PORT, notice: Callable[[], None] = lambda: None
) -> ThreadingHTTPServer:
    """A server of a built site, not running yet.

    Args:
        site: the folder.
        on_network: let other devices of the network reach it; else this machine alone.
        port: where it listens; any free one where that is taken, or where it is 0.
        notice: called before each file is handed out.
    """
    handler = partial(SiteHandler, directory=str(site.resolve()), notice=notice)
    address = "" if on_network else HERE_ALONE
    try:
        return ThreadingHTTPServer((address, port), handler)
    except OSError:
        return ThreadingHTTPServer((address, 0), handler)


def network_address() -> str | None:
    """This machine's address on its network, or None where it is on none. Nothing is sent for it."""
    with socket.socket(socket.AF_INET, socket.SOCK_DGRAM) as asked:
        try:
            # An address of the documentation's own block (RFC 5737): a route is looked up, no packet leaves.
            asked.connect(("192.0.2.1", 9))
        except OSError:
            return None
        found = str(asked.getsockname()[0])
    return None if found.startswith("127.") else found


def qr_text(address: str) -> str:
    """An address as a QR code of blocks, for a terminal."""
    import segno

    drawn = io.StringIO()
    segno.make(address, error="l", micro=False).terminal(out=drawn, compact=True, border=2)
    return drawn.getvalue()


@click.command(short_help="Show the built site here, or to a phone on the same network.")
@click.option("--phone", is_flag=True, help="Let other devices on this network reach it, and print a QR code for them.")
@click.option("--for", "audience", default="studio", metavar="WHOM", help="studio (everything), assistant or stockist.")
@click.option("--port", type=click.IntRange(0, 65535), default=PORT, show_default=True, help="Where it listens.")
@click.pass_obj
def serve(directory: Path, phone: bool, audience: str, port: int) -> None:
    """Show the site that was built last, until you press Ctrl-C.

    On this machine alone unless --phone is given. It builds nothing, and says here when specs were saved after the site
    was built: run `wareboard build` again and look anew, or use `mkdocs serve` while you type.
    """
    from wareboard.output.build import site_folder
    from wareboard.output.files import FolderError
    from wareboard.output.unchanged import AUDIENCES

    check_one_of("audience", audience, AUDIENCES)
    try:
        site = site_folder(directory, audience)
    except FolderError as fault:
        raise click.ClickException(str(fault)) from fault
    if not (site / "index.html").is_file():
        asked = "" if audience == STUDIO else f" --for {audience}"
        raise click.ClickException(f"there is no site in {site.name}/ yet; make it with: wareboard build{asked}")
    found = network_address() if phone else HERE_ALONE
    if found is None:
        raise click.ClickException(
            "this machine is on no network that a phone could share; connect it, or leave out --phone"
        )
    age = Age(directory, site, lambda words: click.echo(words, err=True), audience)
    with make_server(site, on_network=phone, port=port, notice=age.notice) as server:
        address = f"http://{found}:{server.server_address[1]}/"
        if phone:
            encoding = (sys.stdout.encoding or "").lower()
            if "utf" in encoding:
                click.echo(qr_text(address))
            private = ", notes and prices with it" if audience == STUDIO else ""
            click.echo(f"{address}\nEverybody on this network can read the site there while this runs{private}.")
        else:
            click.echo(f"{address}\nOnly this machine can reach it; --phone shows it to the network.")
        age.notice()
        click.echo("Ctrl-C ends it.")
        try:
            server.serve_forever(poll_interval=0.2)
        except KeyboardInterrupt:
            click.echo()
