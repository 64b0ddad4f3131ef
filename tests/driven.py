"""A browser that a test drives step by step, as a person would: Chromium over its DevTools pipe, with nothing in between."""

import json
import os
import subprocess
import time

from tests.framed import CHROMIUM

KEYS = {"ArrowDown": 40, "ArrowUp": 38, "Enter": 13, "Escape": 27, "Tab": 9}


class Browser:
    """One Chromium with one page; used as `with Browser(folder) as page:`."""

    def __init__(self, folder, width=360, height=640):
        """Its profile goes into the folder; sizes are in px."""
        told, self.tell = os.pipe()
        self.hear, said = os.pipe()
        words = [
            CHROMIUM, "--headless", "--no-sandbox", "--disable-gpu", "--no-first-run", "--disable-background-networking", "--disable-component-update",
            "--host-resolver-rules=MAP * 127.0.0.1:1, EXCLUDE 127.0.0.1", f"--user-data-dir={folder / 'profile'}", f"--window-size={width},{height}",
            "--remote-debugging-pipe", "about:blank",
        ]  # fmt: skip

        def wire():
            os.dup2(told, 70), os.dup2(said, 71), os.dup2(70, 3), os.dup2(71, 4)

        self.process = subprocess.Popen(words, preexec_fn=wire, close_fds=False, stderr=subprocess.DEVNULL)
        os.close(told), os.close(said)
        self.count, self.heard, self.session, self.happened = 0, b"", None, []
        target = next(one for one in self.ask("Target.getTargets")["targetInfos"] if one["type"] == "page")
        self.session = self.ask("Target.attachToTarget", targetId=target["targetId"], flatten=True)["sessionId"]
        for domain in ("Page", "Runtime", "Log"):
            self.ask(f"{domain}.enable")
        self.ask("Emulation.setDeviceMetricsOverride", width=width, height=height, deviceScaleFactor=1, mobile=False)

    def __enter__(self):
        return self

    def __exit__(self, *fault):
        self.process.terminate()
        self.process.wait(20)
        os.close(self.tell), os.close(self.hear)

    def ask(self, method, **given):
        """One command of the DevTools protocol, and its answer."""
        self.count += 1
        asked = {"id": self.count, "method": method, "params": given}
        if self.session:
            asked["sessionId"] = self.session
        os.write(self.tell, json.dumps(asked).encode() + b"\0")
        while True:
            said = self.next_said()
            if said.get("id") == self.count:
                assert "error" not in said, (method, said["error"])
                return said["result"]
            self.happened.append(said)

    def next_said(self):
        """What the browser says next."""
        while b"\0" not in self.heard:
            piece = os.read(self.hear, 1 << 16)
            assert piece, "the browser has ended"
            self.heard += piece
        said, _, self.heard = self.heard.partition(b"\0")
        return json.loads(said)

    def open(self, url):
        """Go to an address, and wait until the page is there."""
        self.run("window.before = true")
        self.ask("Page.navigate", url=url)
        self.until("document.readyState === 'complete' && !window.before")

    def reload(self):
        """The page again, once it is there."""
        self.run("window.before = true")
        self.ask("Page.reload")
        self.until("document.readyState === 'complete' && !window.before")

    def run(self, script):
        """What a script comes to on the page; a promise is waited for."""
        said = self.ask("Runtime.evaluate", expression=script, awaitPromise=True, returnByValue=True, userGesture=True)
        assert "exceptionDetails" not in said, said["exceptionDetails"]
        return said["result"].get("value")

    def until(self, script, seconds=30.0):
        """Wait until a script comes to something true; that."""
        end = time.monotonic() + seconds
        while True:
            try:
                found = self.run(script)
            except AssertionError:  # between two pages there is none
                found = None
            if found:
                return found
            assert time.monotonic() < end, script
            time.sleep(0.05)

    def press(self, key):
        """A key, down and up."""
        code = {"key": key, "windowsVirtualKeyCode": KEYS[key]}
        if key == "Enter":
            code["text"] = "\r"
        self.ask("Input.dispatchKeyEvent", type="keyDown", **code)
        self.ask("Input.dispatchKeyEvent", type="keyUp", **{name: code[name] for name in code if name != "text"})

    def write(self, text):
        """Text into what has the focus, as if typed."""
        self.ask("Input.insertText", text=text)

    def picture(self, path):
        """What is seen, as a file."""
        import base64

        path.write_bytes(base64.b64decode(self.ask("Page.captureScreenshot")["data"]))

    @property
    def errors(self):
        """What the console has complained of so far."""
        entries = (one["params"]["entry"] for one in self.happened if one.get("method") == "Log.entryAdded")
        return [entry["text"] for entry in entries if entry["level"] == "error"]
