"""A headless Chromium driven over a pipe by the Chrome DevTools Protocol: no library, no port."""

import json
import os
import select
import subprocess
import tempfile
import time

FLAGS = "--headless --no-sandbox --disable-gpu --disable-quic --no-first-run --disable-background-networking --disable-sync --remote-debugging-pipe".split()


class Browser:
    """Opens one page; `console` holds what stands on its console and every fault of its scripts, `asked` every address it asked for."""

    def __init__(self, chromium, address, width=1400, height=1000):
        self.scratch = tempfile.TemporaryDirectory(ignore_cleanup_errors=True)
        to_browser, self.write = os.pipe()
        self.read, from_browser = os.pipe()

        def pipes():
            # The browser reads at 3 and writes at 4.
            first, second = os.dup(to_browser), os.dup(from_browser)
            os.dup2(first, 3)
            os.dup2(second, 4)

        command = [chromium, *FLAGS, f"--user-data-dir={self.scratch.name}/profile", "about:blank"]
        self.process = subprocess.Popen(command, preexec_fn=pipes, close_fds=False, stderr=subprocess.DEVNULL, stdout=subprocess.DEVNULL)
        os.close(to_browser)
        os.close(from_browser)
        self.buffer, self.next, self.session = b"", 0, None
        self.console, self.asked = [], []
        self.downloads = tempfile.TemporaryDirectory(ignore_cleanup_errors=True)
        target = next(t for t in self.call("Target.getTargets")["targetInfos"] if t["type"] == "page")
        self.call("Browser.setDownloadBehavior", behavior="allow", downloadPath=self.downloads.name, eventsEnabled=False)
        self.session = self.call("Target.attachToTarget", targetId=target["targetId"], flatten=True)["sessionId"]
        for domain in ("Page", "Runtime", "Log", "Network", "DOM"):
            self.call(f"{domain}.enable")
        # A worker's console counts too.
        self.call("Target.setAutoAttach", autoAttach=True, waitForDebuggerOnStart=False, flatten=True)
        self.resize(width, height)
        self.call("Page.navigate", url=address)

    def _message(self, timeout):
        end = time.monotonic() + timeout
        while b"\0" not in self.buffer:
            ready, _, _ = select.select([self.read], [], [], max(0, end - time.monotonic()))
            if not ready:
                return None
            piece = os.read(self.read, 1 << 20)
            assert piece, "the browser ended"
            self.buffer += piece
        message, self.buffer = self.buffer.split(b"\0", 1)
        return json.loads(message)

    def _note(self, message):
        method, given = message.get("method"), message.get("params", {})
        if method == "Runtime.exceptionThrown":
            self.console.append(given["exceptionDetails"].get("exception", {}).get("description") or given["exceptionDetails"]["text"])
        elif method == "Runtime.consoleAPICalled":
            self.console.append(" ".join(str(a.get("value", a.get("description"))) for a in given["args"]))
        elif method == "Log.entryAdded":
            self.console.append(given["entry"]["text"])
        elif method == "Network.requestWillBeSent":
            self.asked.append(given["request"]["url"][:80])
        elif method == "Target.attachedToTarget":
            self._send("Runtime.enable", {}, given["sessionId"])

    def _send(self, method, given, session):
        self.next += 1
        message = {"id": self.next, "method": method, "params": given}
        if session:
            message["sessionId"] = session
        os.write(self.write, json.dumps(message).encode() + b"\0")
        return self.next

    def call(self, method, timeout=60, **given):
        number = self._send(method, given, self.session)
        while (message := self._message(timeout)) is not None:
            if message.get("id") == number:
                assert "error" not in message, f"{method}: {message['error']}"
                return message["result"]
            self._note(message)
        raise TimeoutError(method)

    def run(self, script, timeout=60):
        """The value of an expression of JavaScript on the page; a promise is awaited."""
        answer = self.call("Runtime.evaluate", timeout=timeout, expression=script, awaitPromise=True, returnByValue=True)
        assert "exceptionDetails" not in answer, f"{script}: {answer['exceptionDetails'].get('exception', {}).get('description')}"
        return answer["result"].get("value")

    def wait(self, script, timeout, every=0.05):
        """Waits until an expression is true; the seconds that took."""
        start = time.monotonic()
        while not (found := self.run(script)):
            assert time.monotonic() - start < timeout, f"not within {timeout} s: {script}"
            time.sleep(every)
        return time.monotonic() - start if found is True else found

    def downloaded(self, name, timeout=20):
        """The bytes of a file that the page saved."""
        path, end = os.path.join(self.downloads.name, name), time.monotonic() + timeout
        while not os.path.exists(path):
            assert time.monotonic() < end, f"no {name}: {os.listdir(self.downloads.name)}"
            time.sleep(0.05)
        with open(path, "rb") as file:
            content = file.read()
        os.unlink(path)
        return content

    def choose(self, selector, paths):
        """Chooses files in a chooser."""
        root = self.call("DOM.getDocument")["root"]["nodeId"]
        node = self.call("DOM.querySelector", nodeId=root, selector=selector)["nodeId"]
        self.call("DOM.setFileInputFiles", nodeId=node, files=[str(p) for p in paths])

    def resize(self, width, height):
        self.call("Emulation.setDeviceMetricsOverride", width=width, height=height, deviceScaleFactor=1, mobile=False)

    def key(self, key, control=False, shift=False):
        held = (2 if control else 0) + (8 if shift else 0)
        for kind in ("rawKeyDown", "keyUp"):
            self.call("Input.dispatchKeyEvent", type=kind, key=key, modifiers=held)

    def picture(self, path, whole=True):
        """Writes a screenshot (PNG)."""
        import base64

        shot = self.call("Page.captureScreenshot", format="png", captureBeyondViewport=whole)
        with open(path, "wb") as file:
            file.write(base64.b64decode(shot["data"]))

    def close(self):
        os.close(self.write)
        try:
            self.process.wait(timeout=10)
        except subprocess.TimeoutExpired:
            self.process.terminate()
            self.process.wait(timeout=10)
        os.close(self.read)
        self.scratch.cleanup()
        self.downloads.cleanup()
