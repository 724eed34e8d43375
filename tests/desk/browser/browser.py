"""Debian's chromium, driven; every page is looked at by axe-core in four ways."""

import base64
import re
import time

from selenium import webdriver
from selenium.common.exceptions import (
    NoSuchElementException,
    StaleElementReferenceException,
    WebDriverException,
)
from selenium.webdriver.common.action_chains import ActionChains
from selenium.webdriver.chrome.service import Service
from selenium.webdriver.common.by import By
from selenium.webdriver.common.keys import Keys
from selenium.webdriver.support.ui import Select

# Width in dots, colours. 360 is the narrowest telephone that is sold widely: common practice.
WAYS = [(360, "light"), (390, "dark"), (1200, "light"), (1200, "dark")]
HEIGHT = 800
PATIENCE_S = 90
# A page is read once more for so long when it goes while it is being read: some look again by themselves.
CALM_S = 5
POLL_S = 0.3
# What the driver says then, beside its two exceptions for elements.
GOING = ("does not belong to the document", "No node with given id found", "Execution context was destroyed", "aborted by navigation")

# Draws the code and reads it as a telephone's camera would.
READ_CODE = """const [size, done] = arguments;
const svg = document.querySelector('svg.qr').cloneNode(true);
svg.setAttribute('xmlns', 'http://www.w3.org/2000/svg');
const image = new Image(size, size);
image.onload = () => {
  const canvas = document.createElement('canvas');
  canvas.width = canvas.height = size;
  const pen = canvas.getContext('2d');
  pen.drawImage(image, 0, 0, size, size);
  done(jsQR(pen.getImageData(0, 0, size, size).data, size, size)?.data ?? null);
};
image.onerror = () => done('the code could not be drawn');
image.src = 'data:image/svg+xml,' + encodeURIComponent(svg.outerHTML);"""
CODE_DOTS = 280
# Whoever uses the keyboard must see where they are.
IN_SIGHT = """const box = arguments[0].getBoundingClientRect(), style = getComputedStyle(arguments[0]);
return box.width > 0 && box.bottom > 0 && box.top < innerHeight
    && style.outlineStyle !== 'none' && parseFloat(style.outlineWidth) >= 2;"""
# A telephone's window grows with what is too wide for it: only the width asked for tells.
SIDEWAYS = """return [...document.querySelectorAll('body *')]
    .filter((e) => e.getBoundingClientRect().right > arguments[0] + 1 && !e.closest('.scroll, svg, .skip'))
    .map((e) => e.outerHTML.slice(0, 120)).slice(0, 3)"""
AXE = """const done = arguments[0];
axe.run().then((r) => done(r.violations.map((v) => [v.id, v.help, v.nodes.map((n) => n.html.slice(0, 160))])));"""


def is_going(error):
    """Whether the page went while it was read, which is no fault of the page's."""
    if isinstance(error, (StaleElementReferenceException, NoSuchElementException)):
        return True
    return isinstance(error, WebDriverException) and any(words in str(error) for words in GOING)


def calmly(act):
    """Does it again when the page goes in the midst of it; what stays wrong is raised."""
    end = time.monotonic() + CALM_S
    while True:
        try:
            return act()
        except WebDriverException as error:
            if not is_going(error) or time.monotonic() > end:
                raise
        time.sleep(POLL_S)


class Browser:
    def __init__(self, packages, shots, scripts=True, sound=None):
        options = webdriver.ChromeOptions()
        options.binary_location = "/usr/bin/chromium"
        for word in ["--headless=new", "--no-sandbox", "--disable-gpu", "--hide-scrollbars", "--lang=en-GB"]:
            options.add_argument(word)
        if sound:
            options.add_argument("--use-fake-device-for-media-stream")
            options.add_argument("--use-fake-ui-for-media-stream")
            options.add_argument(f"--use-file-for-fake-audio-capture={sound}")
        if not scripts:
            options.add_experimental_option(
                "prefs", {"profile.managed_default_content_settings.javascript": 2}
            )
        options.set_capability("goog:loggingPrefs", {"browser": "ALL"})
        self.scripts = scripts
        self.driver = webdriver.Chrome(options=options, service=Service("/usr/bin/chromedriver"))
        self.packages = packages
        self.axe = packages.joinpath("axe-core/axe.min.js").read_text()
        self.shots = shots
        self.looked_at = 0
        self.as_a(1200, "light")

    def as_a(self, width, colours):
        self.width = width
        send = self.driver.execute_cdp_cmd
        send(
            "Emulation.setDeviceMetricsOverride",
            {"width": width, "height": HEIGHT, "deviceScaleFactor": 1, "mobile": width < 600},
        )
        features = [
            {"name": "prefers-color-scheme", "value": colours},
            # Colours that are still changing are no colours to be judged.
            {"name": "prefers-reduced-motion", "value": "reduce"},
        ]
        send("Emulation.setEmulatedMedia", {"features": features})

    def open(self, address):
        self.driver.get(address)

    def one(self, selector):
        return calmly(lambda: self.driver.find_element(By.CSS_SELECTOR, selector))

    def all(self, selector):
        return calmly(lambda: self.driver.find_elements(By.CSS_SELECTOR, selector))

    def text(self, selector="main"):
        return calmly(lambda: self.driver.find_element(By.CSS_SELECTOR, selector).text)

    def button(self, words, within="body"):
        path = f".//*[self::button or self::a or self::summary][normalize-space()='{words}']"
        found = calmly(lambda: self.driver.find_element(By.CSS_SELECTOR, within).find_elements(By.XPATH, path))
        assert found, f"nothing to press is called {words!r} on {self.driver.current_url}:\n{self.text()}"
        return found[0]

    def press(self, words, within="body"):
        """Presses a button or link. A page that comes of it is waited for by what it says."""
        def act():
            element = self.button(words, within)
            self.driver.execute_script("arguments[0].scrollIntoView({block:'center'})", element)
            element.click()
        # The driver says that an element is gone before it clicks: nothing is pressed twice.
        calmly(act)

    def send(self, words, within="body"):
        """Presses a button and waits until its page is another."""
        before = self.one("html")
        self.press(words, within)
        self.wait(lambda: self._is_gone(before), f"a page after {words!r}")

    @staticmethod
    def _is_gone(element):
        try:
            element.tag_name
            return False
        except WebDriverException as error:
            if is_going(error):
                return True
            raise

    def fill(self, selector, value):
        field = self.one(selector)
        if field.tag_name == "select":
            Select(field).select_by_value(value)
            return
        if field.get_attribute("type") in ("date", "file"):
            if field.get_attribute("type") == "file":
                field.send_keys(value)
            else:
                self.driver.execute_script("arguments[0].value = arguments[1]", field, value)
            return
        field.clear()
        field.send_keys(value)

    def wait(self, until, what, seconds=PATIENCE_S):
        end = time.monotonic() + seconds
        while True:
            going = None
            try:
                if until():
                    return
            except WebDriverException as error:
                if not is_going(error):
                    raise
                going = error
            if time.monotonic() > end:
                raise AssertionError(f"waited in vain for {what}") from going
            time.sleep(POLL_S)

    def says(self, words, seconds=PATIENCE_S):
        self.wait(lambda: words in self.text("body"), repr(words), seconds)

    def look(self, name, open_all=False):
        """Looks at the page in four ways: accessible, no sideways scrolling, nothing refused."""
        wrong = []
        if open_all:
            self.driver.execute_script(
                "for (const d of document.querySelectorAll('main details')) d.open = true"
            )
        for width, colours in WAYS:
            self.as_a(width, colours)
            if self.scripts:
                # Also what is cut off and does not scroll.
                if beyond := self.driver.execute_script(SIDEWAYS, width):
                    wrong.append((width, "goes beyond the edge", beyond))
                self.driver.execute_script(self.axe)
                wrong += [(width, colours, *v) for v in self.driver.execute_async_script(AXE)]
            self._shot(f"{name}-{width}-{colours}")
        for line in self.driver.get_log("browser"):
            wrong.append(line["message"])
        self.as_a(1200, "light")
        self.looked_at += len(WAYS)
        assert not wrong, f"{name}: " + "\n".join(map(str, wrong))

    def _shot(self, name):
        size = self.driver.execute_cdp_cmd("Page.getLayoutMetrics", {})["cssContentSize"]
        self.clip(self.shots / f"{name}.png", self.width, min(size["height"], 16000))

    def clip(self, path, width, height):
        """The page's beginning as a picture."""
        clip = {"x": 0, "y": 0, "width": width, "height": height, "scale": 1}
        shot = self.driver.execute_cdp_cmd(
            "Page.captureScreenshot", {"captureBeyondViewport": True, "clip": clip}
        )
        path.write_bytes(base64.b64decode(shot["data"]))

    def code(self):
        """What the QR code on the page says."""
        self.driver.execute_script(self.packages.joinpath("jsqr/dist/jsQR.js").read_text() + ";window.jsQR ??= self.jsQR")
        return self.driver.execute_async_script(READ_CODE, CODE_DOTS)

    def prints(self, name):
        """The page on A4 paper; returns the number of sheets."""
        paper = self.driver.execute_cdp_cmd(
            "Page.printToPDF", {"paperWidth": 8.27, "paperHeight": 11.69, "printBackground": True}
        )
        pdf = base64.b64decode(paper["data"])
        (self.shots / f"{name}.pdf").write_bytes(pdf)
        return len(re.findall(rb"/Type\s*/Page\b", pdf))

    def keys(self, *keys):
        """To whatever has the focus; a file chooser takes keys for a path if given them itself."""
        ActionChains(self.driver).send_keys(*keys).perform()

    def tab_to(self, words, most=80):
        """Goes on with the tab key alone until the focus is on what is called so."""
        for _ in range(most):
            self.keys(Keys.TAB)
            at = self.driver.switch_to.active_element
            name = at.accessible_name
            if name == words or at.text.strip() == words:
                assert self.driver.execute_script(IN_SIGHT, at), f"nobody sees that the focus is on {words!r}"
                return at
        raise AssertionError(f"the tab key never reaches {words!r} on {self.driver.current_url}")

    def type_at(self, words, text, most=80):
        """Goes on by the tab key to a field and types; a list takes the first letters of a choice."""
        field = self.tab_to(words, most)
        if field.tag_name == "input":
            # What is in it gives way.
            ActionChains(self.driver).key_down(Keys.CONTROL).send_keys("a").key_up(Keys.CONTROL).perform()
        self.keys(text)

    def enter_at(self, words, most=80):
        """Goes on by the tab key and presses Enter; what comes of it is waited for."""
        before = self.one("html")
        opens = self.tab_to(words, most).tag_name == "summary"
        self.keys(Keys.ENTER)
        if not opens:
            self.wait(lambda: self._is_gone(before), f"a page after {words!r}")

    def sleep(self, seconds):
        time.sleep(seconds)

    def close(self):
        self.driver.quit()
