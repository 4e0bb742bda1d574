"""A browser that is asked over a pipe (the DevTools protocol): nothing but Python's own library is needed."""

import json
import os
import pathlib
import subprocess


class Browser:
    """A browser with one page, asked over a pipe."""

    def __init__(self, path, folder, extra=()):
        into, self.writes = os.pipe()
        self.reads, out = os.pipe()

        def pipes():
            # What it reads is file 3, what it writes file 4.
            a, b = os.dup(into), os.dup(out)
            os.dup2(a, 3)
            os.dup2(b, 4)

        # The shell between would shut what it does not know.
        self.process = subprocess.Popen(
            [path, "--headless=new", "--no-sandbox", "--disable-gpu", f"--user-data-dir={folder}",
             "--remote-debugging-pipe", "--hide-scrollbars", *extra, "about:blank"],
            preexec_fn=pipes, close_fds=False, stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL)
        os.close(into)
        os.close(out)
        self.count, self.rest, self.session = 0, b"", None
        # What it complains of, and what it asks others for.
        self.said, self.requests = [], []
        page = next(t for t in self.ask("Target.getTargets")["targetInfos"] if t["type"] == "page")
        found = self.ask("Target.attachToTarget", targetId=page["targetId"], flatten=True)
        self.session = found["sessionId"]
        self.ask("Runtime.enable")
        self.ask("Log.enable")
        self.ask("Network.enable")

    def ask(self, method, **params):
        self.count += 1
        asked = {"id": self.count, "method": method, "params": params}
        if self.session:
            asked["sessionId"] = self.session
        os.write(self.writes, json.dumps(asked).encode() + b"\0")
        while True:
            while b"\0" not in self.rest:
                more = os.read(self.reads, 1 << 20)
                if not more:
                    raise SystemExit("the browser went away")
                self.rest += more
            one, self.rest = self.rest.split(b"\0", 1)
            one = json.loads(one)
            if one.get("id") == self.count:
                if "error" in one:
                    raise SystemExit(f"{method}: {one['error']}")
                return one["result"]
            if one.get("method") in ("Runtime.exceptionThrown", "Log.entryAdded", "Runtime.consoleAPICalled"):
                self.said.append(json.dumps(one["params"])[:600])
            if one.get("method") == "Network.requestWillBeSent":
                self.requests.append(one["params"]["request"]["url"])

    def run(self, script):
        """What a script comes to; a promise is waited for."""
        found = self.ask("Runtime.evaluate", expression=script, awaitPromise=True, returnByValue=True)
        if "exceptionDetails" in found:
            raise SystemExit(f"{script[:200]}: {json.dumps(found['exceptionDetails'])[:600]}")
        return found["result"].get("value")

    def opens(self, page):
        self.ask("Page.enable")
        self.ask("Page.navigate", url=pathlib.Path(page).resolve().as_uri())
        self.run("new Promise((done) => document.readyState === 'complete' ? done() : addEventListener('load', done))")

    def ends(self):
        self.ask("Browser.close")
        self.process.wait(timeout=30)
