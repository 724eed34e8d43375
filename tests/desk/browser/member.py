"""A club member with a telephone."""

import hashlib

from selenium.common.exceptions import ElementNotInteractableException
from selenium.webdriver.common.keys import Keys


def _verdict(browser):
    browser.says("Your link to come back")
    browser.says("What was heard", 180)
    return browser.text("h1")


def sends_a_file(browser, link, sound, looks=True):
    """Chooses a file, says a few words, gets the verdict and comes back by the link."""
    browser.as_a(390, "light")
    browser.open(link)
    if looks:
        browser.look("send-in", open_all=True)
        browser.as_a(390, "light")
    browser.fill("#recording", str(sound))
    browser.fill("#noticed", "Drops and comes back <b>all the time</b>")
    browser.fill("#place", "Hilltop car park, Nordau")
    browser.fill("#set", "handheld")
    browser.fill("#squelch", "closed")
    browser.fill("#sender", "QQ1AB")
    browser.press("Send it in")
    headline = _verdict(browser)
    assert "<b>all the time</b>" in browser.text(), "what was typed is shown as it was typed"
    receipt = browser.one("[data-copy]").get_attribute("href")
    if looks:
        browser.look("receipt", open_all=True)
    browser.open(link)
    browser.open(receipt)
    assert browser.text("h1") == headline, "the receipt's link comes back to the same verdict"
    return headline, receipt


def is_refused(browser, link, file, words):
    """Sends what is no recording, and is told so in words."""
    browser.open(link)
    browser.fill("#recording", str(file))
    browser.press("Send it in")
    browser.says(words)


def records_on_the_page(browser, link, seconds):
    """Records with the browser's own recorder, whose microphone hears a repeater."""
    browser.as_a(390, "light")
    browser.open(link)
    browser.press("Record right here")
    browser.sleep(seconds / 2)
    browser.look("recording-now")
    browser.as_a(390, "light")
    browser.sleep(seconds / 2)
    browser.wait(
        lambda: float(browser.one("meter").get_attribute("value")) > 0.2, "the meter to move", 10
    )
    browser.press("Stop")
    browser.says("Recorded 0:")
    browser.look("recorded")
    # The page is closed by mistake; what was recorded is still there.
    browser.open("about:blank")
    browser.open(link)
    browser.says("was not sent yet")
    browser.press("Send it in")
    headline = _verdict(browser)
    assert "recorded-" in browser.text() and ".webm" in browser.text()
    browser.open(link)
    browser.sleep(1)
    assert "was not sent yet" not in browser.text(), "what was sent is not offered again"
    return headline


def sends_without_scripts(browser, link, sound):
    """The same form in a browser that runs no script."""
    browser.as_a(390, "light")
    browser.open(link)
    assert not browser.one(".recorder").is_displayed(), "no recorder without the script"
    browser.fill("#recording", str(sound))
    browser.fill("#place", "Sund")
    browser.send("Send it in")
    # The page looks again by itself.
    browser.says("What was heard", 180)
    assert "Sund" in browser.text()
    browser.look("receipt-without-scripts")
    return browser.text("h1")


def loses_the_network(browser, wire, link, sound):
    """The connection breaks in mid-upload, stays away, comes back; then the page is closed and
    the same file chosen again. Nothing is sent twice."""
    size = sound.stat().st_size
    browser.as_a(390, "light")
    browser.open(link)
    browser.fill("#recording", str(sound))
    wire.passed = 0
    wire.cut_after(size // 2)
    browser.press("Send it in")
    browser.says("No connection.")
    wrong = [line["message"] for line in browser.driver.get_log("browser")]
    assert all("net::ERR" in line for line in wrong), wrong
    wire.mend()
    wire.cut_after(size // 4)
    try:
        browser.press("Try now")
    except ElementNotInteractableException:
        pass  # On a busy machine it has tried again by itself meanwhile.
    browser.sleep(1)
    browser.says("No connection.")
    # The telephone fell asleep and the page is gone.
    browser.driver.execute_script("window.onbeforeunload = null")
    wire.mend()
    browser.open("about:blank")
    try:
        browser.driver.switch_to.alert.accept()
    except Exception:
        pass
    browser.driver.get_log("browser")
    browser.open(link)
    browser.fill("#recording", str(sound))
    browser.press("Send it in")
    headline = _verdict(browser)
    digest = hashlib.sha256(sound.read_bytes()).hexdigest()
    assert digest in browser.driver.page_source, "what arrived is what was sent, to the bit"
    # Without going on where it was, the two cuts alone would make it 1.75 times the file.
    times = wire.passed / size
    assert times < 1.4, f"{wire.passed} bytes for a file of {size}"
    return f"{headline}; {times:.2f} times the file went over the wire"


def sends_by_keyboard(browser, link, sound):
    """No mouse and no finger."""
    browser.as_a(1200, "light")
    browser.open(link)
    skip = browser.tab_to("Skip to the content", 1)
    skip.send_keys(Keys.ENTER)
    # A file chooser belongs to the system; the keyboard reaches it, the driver fills it.
    chooser = browser.tab_to("Choose a file")
    chooser.send_keys(str(sound))
    browser.tab_to("What did you notice?").send_keys("Noisy since Monday")
    browser.tab_to("Send it in").send_keys(Keys.ENTER)
    return _verdict(browser)
