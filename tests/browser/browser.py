"""A headless Chromium driven over the W3C WebDriver protocol by Debian's chromium-driver, with Python's own library."""
import base64, http.client, json, os, pathlib, shutil, socket, subprocess, tempfile, time

ELEMENT = "element-6066-11e4-a52e-4f735466cecf"  # the protocol's name for a reference to an element
TAB, ENTER, SPACE, ESCAPE, SHIFT, RIGHT = "\ue004", "\ue007", " ", "\ue00c", "\ue008", "\ue014"


def missing():
    """What is not installed here, or None."""
    for names in (("chromium", "chromium-browser"), ("chromedriver",)):
        if not any(shutil.which(n) for n in names):
            return names[0] if names[0] == "chromium" else "chromium-driver"
    return None


class Browser:
    def __init__(self, width=1024, height=768, dark=False):
        self.folder = tempfile.mkdtemp(prefix="wetrun-browser-")
        with socket.socket() as s:
            s.bind(("127.0.0.1", 0))
            self.port = s.getsockname()[1]
        self.driver = subprocess.Popen([shutil.which("chromedriver"), f"--port={self.port}"], stdout=subprocess.DEVNULL,
                                       stderr=subprocess.DEVNULL)
        try:
            self._wait_for_driver()
            args = ["--headless=new", "--no-sandbox", "--disable-gpu", "--no-first-run", "--disable-background-networking",
                    "--disable-component-update", "--disable-sync", "--disable-dev-shm-usage", "--force-device-scale-factor=1",
                    f"--user-data-dir={self.folder}/profile", f"--window-size={width},{height}"]
            if dark:
                args.append("--blink-settings=preferredColorScheme=0")
            options = {"args": args, "binary": shutil.which("chromium") or shutil.which("chromium-browser"),
                       "prefs": {"download.default_directory": self.folder, "download.prompt_for_download": False}}
            answer = self._call("POST", "/session", {"capabilities": {"alwaysMatch": {
                "browserName": "chrome", "goog:chromeOptions": options,
                "goog:loggingPrefs": {"browser": "ALL", "performance": "ALL"}}}})
            self.session = "/session/" + answer["sessionId"]
        except BaseException:
            self.driver.kill()
            raise

    def __enter__(self):
        return self

    def __exit__(self, *_):
        try:
            self._call("DELETE", self.session)
        finally:
            self.driver.terminate()
            self.driver.wait(20)
            shutil.rmtree(self.folder, ignore_errors=True)

    def _wait_for_driver(self):
        for _ in range(200):
            try:
                if self._call("GET", "/status")["ready"]:
                    return
            except OSError:
                time.sleep(0.05)
        raise RuntimeError("chromedriver does not answer")

    def _call(self, method, path, body=None):
        connection = http.client.HTTPConnection("127.0.0.1", self.port, timeout=120)
        connection.request(method, path, None if body is None else json.dumps(body), {"Content-Type": "application/json"})
        answer = json.loads(connection.getresponse().read())["value"]
        connection.close()
        if isinstance(answer, dict) and "error" in answer:
            raise RuntimeError(f"{answer['error']}: {answer['message'].splitlines()[0]}")
        return answer

    def call(self, method, path, body=None):
        return self._call(method, self.session + path, body)

    # ---- pages ----
    def open(self, path):
        self.call("POST", "/url", {"url": pathlib.Path(path).resolve().as_uri()})

    def size(self, width, height):
        self.cdp("Emulation.setDeviceMetricsOverride", {"width": width, "height": height, "deviceScaleFactor": 1, "mobile": False})

    def colours(self, scheme, media=""):
        self.cdp("Emulation.setEmulatedMedia", {"media": media, "features": [{"name": "prefers-color-scheme", "value": scheme}]})

    def cdp(self, command, params):
        return self.call("POST", "/goog/cdp/execute", {"cmd": command, "params": params})

    def run(self, script, *args):
        return self.call("POST", "/execute/sync", {"script": script, "args": list(args)})

    def wait(self, script, *args, seconds=30):
        """Until the script returns something true; that is what comes back."""
        end = time.time() + seconds
        while True:
            value = self.run(script, *args)
            if value:
                return value
            if time.time() > end:
                raise AssertionError(f"waited {seconds} s in vain for: {script}")
            time.sleep(0.03)

    # ---- hands ----
    def find(self, css):
        return self.call("POST", "/element", {"using": "css selector", "value": css})

    def click(self, element):
        self.run("arguments[0].scrollIntoView({block: 'center'})", element)  # a bar that stays may cover what is in view
        self.call("POST", f"/element/{element[ELEMENT]}/click", {})

    def type(self, element, text):
        self.call("POST", f"/element/{element[ELEMENT]}/value", {"text": text})

    def keys(self, text, hold=None):
        """Presses keys wherever the focus is."""
        actions = [{"type": "keyDown", "value": hold}] if hold else []
        for c in text:
            actions += [{"type": "keyDown", "value": c}, {"type": "keyUp", "value": c}]
        if hold:
            actions.append({"type": "keyUp", "value": hold})
        self.call("POST", "/actions", {"actions": [{"type": "key", "id": "keyboard", "actions": actions}]})

    def accept(self):
        self.call("POST", "/alert/accept", {})

    # ---- what is seen ----
    def picture(self, path, whole=False):
        if whole:
            size = self.cdp("Page.getLayoutMetrics", {})["cssContentSize"]
            data = self.cdp("Page.captureScreenshot", {"captureBeyondViewport": True, "clip": {
                "x": 0, "y": 0, "width": size["width"], "height": size["height"], "scale": 1}})["data"]
        else:
            data = self.call("GET", "/screenshot")
        pathlib.Path(path).write_bytes(base64.b64decode(data))

    def pdf(self, path, **options):
        for left in (2, 1, 0):  # the driver gives a printing 10 s, which a page of 80 tasks can need on a busy machine
            try:
                printed = self.call("POST", "/print", options)
                break
            except RuntimeError as error:
                if not left or "Timed out receiving message" not in str(error):
                    raise
        pathlib.Path(path).write_bytes(base64.b64decode(printed))

    def console(self):
        """Messages of the console since the last call."""
        return [e["message"] for e in self.call("POST", "/se/log", {"type": "browser"})]

    def requests(self):
        """Addresses that were asked for since the last call, but for files, data and blobs of its own and the empty tab of the start."""
        out = []
        for entry in self.call("POST", "/se/log", {"type": "performance"}):
            message = json.loads(entry["message"])["message"]
            if message["method"] == "Network.requestWillBeSent":
                address = message["params"]["request"]["url"]
                if not address.startswith(("file:", "data:", "blob:", "chrome:")):
                    out.append(address)
        return out

    def downloaded(self, name, seconds=20):
        path, end = pathlib.Path(self.folder) / name, time.time() + seconds
        while not path.exists() or path.with_name(name + ".crdownload").exists():
            if time.time() > end:
                raise AssertionError(f"no {name} was saved; there is: {os.listdir(self.folder)}")
            time.sleep(0.05)
        return path
