"""A browser without a window, driven through its own pipe: what a reader of a page would see and do.

Chromium speaks its protocol for developers over two file descriptors, 3 and 4, as JSON ended by zero bytes.
"""

import base64
import fcntl
import json
import os
import select
import subprocess
import time
from pathlib import Path

PATIENCE = 120
"""Seconds: a busy machine may take long to start a browser."""
ENTER = {"key": "Enter", "code": "Enter", "text": "\r", "windowsVirtualKeyCode": 13}
TAB = {"key": "Tab", "code": "Tab", "windowsVirtualKeyCode": 9}
SPACE = {"key": " ", "code": "Space", "text": " ", "windowsVirtualKeyCode": 32}


def _out_of_the_way(descriptor):
    """The same file under a number that is not 3 or 4, nor what a shell keeps for itself."""
    moved = fcntl.fcntl(descriptor, fcntl.F_DUPFD, 20)
    os.close(descriptor)
    return moved


class Browser:
    """One page in headless Chromium; `problems` gathers what it writes on its console."""

    def __init__(self, folder):
        to_browser, self._write = map(_out_of_the_way, os.pipe())
        self._read, from_browser = map(_out_of_the_way, os.pipe())
        options = ["--headless", "--no-sandbox", "--disable-gpu", "--disable-dev-shm-usage"]
        place = [f"--user-data-dir={folder / 'profile'}", "--remote-debugging-pipe", "about:blank"]

        at_3_and_4 = f'exec chromium "$@" 3<&{to_browser} 4>&{from_browser}'
        with (folder / "browser.log").open("wb") as log:
            self._process = subprocess.Popen(
                ["bash", "-c", at_3_and_4, "bash", *options, *place],
                stdin=subprocess.DEVNULL,
                stdout=log,
                stderr=log,
                pass_fds=(to_browser, from_browser),
            )
        os.close(to_browser)
        os.close(from_browser)
        self._number, self._rest, self._session = 0, b"", None
        self.problems, self.asked_for = [], []
        target = self.send("Target.createTarget", url="about:blank")["targetId"]
        attached = self.send("Target.attachToTarget", targetId=target, flatten=True)
        self._session = attached["sessionId"]
        for domain in ("Page", "Runtime", "Log", "Network"):
            self.send(f"{domain}.enable")

    def __enter__(self):
        return self

    def __exit__(self, *_):
        self._process.terminate()
        self._process.wait(PATIENCE)
        os.close(self._write)
        os.close(self._read)

    # The protocol -----------------------------------------------------------------------------------------

    def send(self, method, **params):
        """Ask for something, and wait for the answer."""
        self._number += 1
        message = {"id": self._number, "method": method, "params": params}
        if self._session:
            message["sessionId"] = self._session
        os.write(self._write, json.dumps(message).encode() + b"\0")
        while True:
            answer = self._next()
            if answer.get("id") == self._number:
                assert "error" not in answer, answer
                return answer["result"]

    def _next(self):
        """The next message; events are noted on the way."""
        until = time.monotonic() + PATIENCE
        while b"\0" not in self._rest:
            ready, _, _ = select.select([self._read], [], [], max(0, until - time.monotonic()))
            assert ready, "the browser says nothing"
            piece = os.read(self._read, 1 << 16)
            assert piece, "the browser has ended"
            self._rest += piece
        text, _, self._rest = self._rest.partition(b"\0")
        message = json.loads(text)
        self._note(message.get("method"), message.get("params", {}))
        return message

    def _note(self, event, params):
        if event == "Runtime.exceptionThrown":
            self.problems.append(params["exceptionDetails"]["exception"]["description"])
        elif event == "Runtime.consoleAPICalled":
            self.problems.append(str(params["args"]))
        elif event == "Log.entryAdded":
            self.problems.append(params["entry"]["text"])
        elif event == "Network.requestWillBeSent":
            self.asked_for.append(params["request"]["url"])
        elif event == "Page.loadEventFired":
            self._loaded = True

    # What a reader does -----------------------------------------------------------------------------------

    def open(self, path: Path):
        """Open a file and wait until it is there."""
        self._loaded = False
        self.send("Page.navigate", url=path.as_uri())
        while not self._loaded:
            self._next()

    def ask(self, expression):
        """The value of an expression in the page."""
        answer = self.send("Runtime.evaluate", expression=expression, returnByValue=True)
        assert "exceptionDetails" not in answer, answer
        return answer["result"].get("value")

    def press(self, key):
        """Press a key and let it go."""
        self.send("Input.dispatchKeyEvent", type="keyDown", **key)
        self.send("Input.dispatchKeyEvent", type="keyUp", **key)

    def type(self, text):
        """Type a line, and Return."""
        for sign in text:
            self.press({"key": sign, "text": sign})
        self.press(ENTER)

    def text(self, name):
        """What an element shows, by its id."""
        return self.ask(f"document.getElementById({name!r}).innerText")

    def printed(self):
        """The page as PDF."""
        return base64.b64decode(self.send("Page.printToPDF", preferCSSPageSize=True)["data"])

    def picture(self, width=1000, height=1400):
        """The page as PNG, in a window of this size."""
        self.send(
            "Emulation.setDeviceMetricsOverride",
            width=width,
            height=height,
            deviceScaleFactor=1,
            mobile=False,
        )
        return base64.b64decode(self.send("Page.captureScreenshot", captureBeyondViewport=False)["data"])
