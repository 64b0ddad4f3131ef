"""Pages that tell about themselves: each in a frame of its size in one Chromium, with a script put into it that looks."""

import html
import json
import os
import re
import shutil
import subprocess

import pytest

CHROMIUM = shutil.which("chromium") or shutil.which("chromium-browser") or shutil.which("google-chrome")
needs_chromium = pytest.mark.skipif(CHROMIUM is None and not os.environ.get("CI"), reason="there is no Chromium here")

# For a script that looks: how bright a colour is (WCAG 2.2, relative luminance), what stands under an element, and the
# contrast of two brightnesses.
LIGHT = """
const parts = (colour) => colour.match(/[\\d.]+/g).map(Number);
const light = (colour) => { const [r, g, b] = parts(colour).map((c) => { c /= 255; return c <= 0.04045 ? c / 12.92 : ((c + 0.055) / 1.055) ** 2.4; }); return 0.2126 * r + 0.7152 * g + 0.0722 * b; };
const under = (e) => { for (; e; e = e.parentElement) { const c = getComputedStyle(e).backgroundColor; if ((parts(c)[3] ?? 1) > 0) return c; } return "rgb(255, 255, 255)"; };
const contrast = (a, b) => (Math.max(a, b) + 0.05) / (Math.min(a, b) + 0.05);
"""
# A page tells under its frame's name, and the next one follows.
RUNNER = """<!doctype html><meta charset="utf-8"><pre id="told"></pre><script>
const told = {}, frames = FRAMES;
addEventListener("message", (event) => { const said = JSON.parse(event.data); told[said.frame] = said;
  if (Object.keys(told).length === frames.length) document.querySelector("#told").textContent = JSON.stringify(told); else next(); });
let at = 0;
function next() { if (at >= frames.length) return; const [name, width, height, address] = frames[at++];
  const frame = document.createElement("iframe"); frame.name = name; frame.width = width; frame.height = height; frame.style.border = 0; frame.src = address; document.body.prepend(frame); }
next();
</script>"""


def put_in(site, probe, pages):
    """Put a script that looks into pages of a site, which may be told to do so twice.

    Args:
        site: the site's folder, a copy.
        probe: the script.
        pages: which pages, as a pattern: `forms/*.html`, `**/*.html`.
    """
    (site / "probe.js").write_text(probe, encoding="utf-8")
    for page in site.glob(pages):
        text, up = page.read_text(encoding="utf-8"), "../" * (len(page.relative_to(site).parts) - 1)
        if "probe.js" not in text:
            page.write_text(
                text.replace("</head>", f'<script src="{up}probe.js"></script></head>', 1), encoding="utf-8"
            )


def told_in_frames(site, frames, *more, runner=RUNNER):
    """What pages of a site tell, by the names of their frames.

    Args:
        site: the site's folder, with a script put in.
        frames: name, width, height and address of each.
        more: options for Chromium.
        runner: the page that shows the frames.
    """
    page = site / "runner.html"
    page.write_text(runner.replace("FRAMES", json.dumps(frames)), encoding="utf-8")
    return told_by(page, *more)


def told_by(page, *more):
    """What a page wrote into `#told`, once it has nothing left to do; nothing from the network answers."""
    profile = page.parent.parent / "profile"
    done = subprocess.run(
        [
            CHROMIUM, "--headless", "--no-sandbox", "--disable-gpu", "--disable-quic", "--no-first-run", "--disable-background-networking",
            "--disable-component-update", "--disable-sync", "--host-resolver-rules=MAP * 127.0.0.1:1", f"--user-data-dir={profile}",
            "--window-size=1400,1000", *more, "--virtual-time-budget=120000", "--dump-dom", page.as_uri(),
        ],
        capture_output=True, text=True, timeout=240, check=True,
    )  # fmt: skip
    shutil.rmtree(profile, ignore_errors=True)
    found = re.search(r'<pre id="told">(.+?)</pre>', done.stdout, re.DOTALL)
    assert found, done.stdout[:2000] + done.stderr[-2000:]
    return json.loads(html.unescape(found[1]))
