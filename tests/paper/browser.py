"""Chromium without a window, spoken to over two pipes in its own debugging protocol (Chrome DevTools Protocol): no library is needed."""

from __future__ import annotations

import base64
import contextlib
import fcntl
import json
import os
import shutil
import subprocess
import tempfile
from pathlib import Path
from typing import Any

PROGRAM = next((path for name in ("chromium", "chromium-browser") if (path := shutil.which(name))), None)

_OPTIONS = (
    "--headless", "--no-sandbox", "--disable-gpu", "--no-first-run", "--disable-background-networking", "--disable-component-update",
    "--disable-sync", "--remote-debugging-pipe",
)  # fmt: skip


def _above_nine(number: int) -> int:
    """The same file under a number that is in nobody's way."""
    moved = fcntl.fcntl(number, fcntl.F_DUPFD_CLOEXEC, 10)
    os.close(number)
    return moved


class Browser(contextlib.AbstractContextManager["Browser"]):
    """One browser with one page."""

    def __init__(self) -> None:
        assert PROGRAM is not None
        self._profile = tempfile.TemporaryDirectory(ignore_cleanup_errors=True)
        (its_input, self._out), (self._in, its_output) = (map(_above_nine, os.pipe()) for _ in range(2))
        # the browser reads at 3 and writes at 4
        command = f'exec "$0" "$@" 3<&{its_input} 4>&{its_output}'
        self._program = subprocess.Popen(
            ["bash", "-c", command, PROGRAM, *_OPTIONS, f"--user-data-dir={self._profile.name}", "about:blank"],
            pass_fds=(its_input, its_output),
            stdout=subprocess.DEVNULL,
            stderr=subprocess.DEVNULL,
        )
        os.close(its_input)
        os.close(its_output)
        self._count, self._session, self._told = 0, "", bytearray()
        targets = self.ask("Target.getTargets")["targetInfos"]
        page = next(one["targetId"] for one in targets if one["type"] == "page")
        self._session = self.ask("Target.attachToTarget", targetId=page, flatten=True)["sessionId"]
        self.ask("Page.enable")

    def __exit__(self, *_: object) -> None:
        with contextlib.suppress(OSError):
            self.ask("Browser.close")
        self._program.wait(20)
        os.close(self._out)
        os.close(self._in)
        self._profile.cleanup()

    def ask(self, method: str, **params: Any) -> dict[str, Any]:
        """One command and its answer. Errors: RuntimeError with what the browser says."""
        self._count += 1
        session = {"sessionId": self._session} if self._session and not method.startswith("Browser.") else {}
        os.write(
            self._out, json.dumps({"id": self._count, "method": method, "params": params, **session}).encode() + b"\0"
        )
        while True:
            answer = self._message()
            if answer.get("id") == self._count:
                if "error" in answer:
                    raise RuntimeError(f"{method}: {answer['error']}")
                return answer["result"]  # type: ignore[no-any-return]

    def _message(self) -> dict[str, Any]:
        while b"\0" not in self._told:
            piece = os.read(self._in, 1 << 20)
            if not piece:
                raise OSError("the browser has gone")
            self._told += piece
        line, _, rest = self._told.partition(b"\0")
        self._told = bytearray(rest)
        return json.loads(line)  # type: ignore[no-any-return]

    def open(self, file: Path, fragment: str = "") -> None:
        """Load a page and wait until it is there."""
        if fragment:
            self.ask("Page.navigate", url="about:blank")  # else a new fragment alone would not load it anew
        self.ask("Page.navigate", url=file.as_uri() + fragment)
        self._wait()

    def back(self, by: int = 1) -> None:
        """Go back to the page before, or forward by a negative number."""
        entries = self.ask("Page.getNavigationHistory")
        self.ask("Page.navigateToHistoryEntry", entryId=entries["entries"][entries["currentIndex"] - by]["id"])
        self.run("new Promise(done => setTimeout(done, 100))")
        self._wait()

    def _wait(self) -> None:
        self.run(
            "document.readyState === 'complete' || new Promise(done => addEventListener('load', () => done(true)))"
        )

    def run(self, script: str) -> Any:
        """The value of an expression on the page, waited for where it is a promise."""
        found = self.ask("Runtime.evaluate", expression=script, awaitPromise=True, returnByValue=True)
        if "exceptionDetails" in found:
            raise RuntimeError(
                found["exceptionDetails"]["exception"].get("description", found["exceptionDetails"]["text"])
            )
        return found["result"].get("value")

    def look(self, target: Path, width: int, height: int, **features: str) -> None:
        """A picture of the page in a window of this size (px); `features` such as prefers_color_scheme="dark"."""
        self.ask("Emulation.setDeviceMetricsOverride", width=width, height=height, deviceScaleFactor=1, mobile=False)
        wanted = [{"name": name.replace("_", "-"), "value": value} for name, value in features.items()]
        self.ask("Emulation.setEmulatedMedia", features=wanted)
        target.write_bytes(base64.b64decode(self.ask("Page.captureScreenshot", format="png")["data"]))

    def printed(self) -> bytes:
        """The page as PDF."""
        return base64.b64decode(self.ask("Page.printToPDF", preferCSSPageSize=True)["data"])
