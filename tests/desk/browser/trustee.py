"""The keeper of a repeater, from the first set-up to a proven case."""

import hashlib
import pathlib
import sys
import urllib.request
import zipfile

from selenium.webdriver.common.keys import Keys

sys.path.append(str(pathlib.Path(__file__).resolve().parents[1] / "shared"))

from pace import Pace  # noqa: E402

# How wide each drawing of a kind is that is seen whole, without a box that scrolls.
DRAWN = """return [...document.querySelectorAll(`figure.${arguments[0]} svg`)]
    .filter((svg) => !svg.closest('.scroll')).map((svg) => svg.getBoundingClientRect().width)"""
PASSWORD = "a wet jumper on the hill"


def sets_up(browser, desk):
    browser.open(desk.setup)
    browser.look("set-up")
    browser.fill("#name", "ada")
    browser.fill("#password", PASSWORD)
    browser.fill("#again", PASSWORD + "?")
    browser.send("Set up and go in")
    assert browser.all(".notice.bad"), "two different passwords are not taken"
    browser.driver.get_log("browser")
    browser.fill("#password", PASSWORD)
    browser.fill("#again", PASSWORD)
    browser.send("Set up and go in")
    browser.says("There is no repeater yet.")
    browser.look("home-empty")
    browser.open(desk.setup)
    assert not browser.all("#again"), "the set-up link works once"
    browser.driver.get_log("browser")


def adds_a_repeater(browser, desk):
    browser.open(desk.address + "/")
    browser.press("Add a repeater")
    browser.says("Add it and make its link")
    browser.look("repeater-new")
    browser.fill("#name", "QQ0TB Nordau")
    browser.fill("#output_mhz", "145.6125")
    browser.fill("#place", "Nordau hill")
    browser.fill("#word", "We look for a fault that comes with rain.")
    browser.send("Add it and make its link")
    if not browser.all("svg.qr"):
        browser.press("Link for members")
    browser.wait(lambda: browser.all("svg.qr"), "the code")
    browser.look("link")
    link = browser.one("[data-copy]").text
    assert browser.code() == link, f"the code says {browser.code()!r}, the page {link!r}"
    assert browser.prints("link") == 1, "the sheet is one sheet"
    return link


def signs_out_and_in_by_keyboard(browser, desk):
    browser.open(desk.address + "/")
    browser.tab_to("Sign out").send_keys(Keys.ENTER)
    browser.wait(lambda: not browser.all(".who"), "being out")
    browser.open(desk.address + "/audit")
    browser.says("Sign in")
    browser.look("sign-in")
    browser.tab_to("Name").send_keys("ada")
    browser.tab_to("Password").send_keys("not the password", Keys.ENTER)
    browser.wait(lambda: browser.all(".notice.bad"), "a refusal")
    browser.driver.get_log("browser")
    browser.look("sign-in-refused")
    browser.fill("#name", "ada")
    browser.one("#password").send_keys(PASSWORD, Keys.ENTER)
    browser.wait(lambda: browser.all(".who"), "being in")
    assert browser.driver.current_url.endswith("/audit"), "it goes on to where one wanted to go"


def finds_recordings(browser, desk, expected):
    """The list, its filters, and one recording with its player."""
    browser.open(desk.address + "/")
    browser.look("home")
    browser.press("QQ0TB Nordau", ".cards")
    browser.says("Recordings")
    assert len(browser.all(".log:not(.cases) li")) == expected, browser.text()
    assert browser.all("svg.beats rect.back"), "tiny pictures are drawn"
    browser.look("repeater", open_all=True)
    browser.fill("#q", "Sund")
    browser.send("Show")
    assert len(browser.all(".log:not(.cases) li")) == 1, "one was heard in Sund"
    browser.fill("#q", "nothing is called so")
    browser.send("Show")
    browser.says("No recording is like that.")
    browser.press("Show all")
    browser.fill("#verdict", "self_desense")
    browser.send("Show")
    assert browser.all(".tag.full") and not browser.all(".tag.half"), "only what was asked for"


def judges_a_recording(browser, desk):
    """Plays it by the picture, notes, corrects, opens a case with it."""
    browser.open(desk.address + "/")
    browser.press("QQ0TB Nordau", ".cards")
    browser.says("Recordings")
    row = [r for r in browser.all(".log:not(.cases) .what a") if r.text == "before.wav"][0]
    row.click()
    browser.says("What was heard")
    browser.wait(
        lambda: browser.driver.execute_script("return document.querySelector('audio').readyState") >= 1,
        "the sound",
    )
    moment = browser.all("figure.wide .tb-moment")[3]
    at = float(moment.get_attribute("data-t"))
    browser.driver.execute_script(
        "arguments[0].dispatchEvent(new MouseEvent('click', {bubbles: true}))", moment
    )
    browser.wait(
        lambda: abs(browser.driver.execute_script("return document.querySelector('audio').currentTime") - at) < 3,
        "the sound at the moment clicked",
    )
    browser.driver.execute_script("document.querySelector('audio').pause()")
    browser.look("recording", open_all=True)
    browser.fill("#text", "Heard it from the valley too.\nSame beat.")
    browser.send("Add it")
    browser.says("Heard it from the valley too.")
    browser.fill("#label", "self_desense")
    browser.fill("#why", "The beat followed the hang time.")
    browser.send("Keep this")
    browser.says("The beat followed the hang time.")
    browser.fill("#case", "new")
    browser.fill("#title", "Cycling in the rain")
    browser.fill("#phase", "before")
    browser.send("Put it there")
    if "/case/" not in browser.driver.current_url:
        browser.press("Cycling in the rain")
    browser.says("Fault search")
    address = browser.driver.current_url.split("#")[0]
    browser.look("case-opened", open_all=True)
    return address


def _state(browser, case, state, why):
    browser.open(case)
    browser.fill("#state-now", state)
    browser.fill("#state-said", why)
    browser.send("Change the state", "#state")
    assert why in browser.text("#state"), browser.text("#state")


def _stepped(browser, case, phase, rows):
    browser.open(case)
    browser.press("Add a stepped test", "#stepped")
    browser.fill("#backoff-day", "2026-05-08")
    browser.fill("#backoff-phase", phase)
    fields = [browser.all(f"[name={name}]") for name in ("backoff_db", "trials", "came_back")]
    for n, row in enumerate(rows):
        for column, value in zip(fields, row):
            column[n].clear()
            column[n].send_keys(value)
    for field in fields[0][len(rows):]:
        field.clear()
    browser.send("Add this test", "#stepped")


def hunts_and_proves(browser, desk, case, link, after, member):
    """Confirmed by a stepped test and tee readings, found by loads, mended, proven."""
    _stepped(browser, case, "before", [("2", "5", "6")])
    assert browser.all("#stepped .notice.bad"), "six returns of five are not taken"
    browser.driver.get_log("browser")
    rows = [("2", "5", "5"), ("4", "5", "5"), ("6", "5", "4"), ("8", "5", "1"), ("10", "5", "0")]
    _stepped(browser, case, "before", rows)
    browser.says("dB")
    assert "at least 6" in browser.text("#stepped"), browser.text("#stepped")
    browser.press("Add readings", "#tee")
    for name, value in [("load_off", "-121 -120.6"), ("antenna_off", "-118"), ("load_on", "-120"), ("antenna_on", "-109.5")]:
        browser.fill(f"#{name}", value)
    browser.send("Add these readings", "#tee")
    assert "Desense on the antenna" in browser.text("#tee"), browser.text("#tee")
    _state(browser, case, "confirmed", "Eight dB by the stepped test.")
    _state(browser, case, "being_hunted", "Loads tomorrow.")

    browser.press("Write the chain down", "#search")
    browser.send("Keep the chain", "#search")
    first = browser.text("#search .answer")
    assert first.startswith("Next: put the load"), first
    browser.look("case-hunted", open_all=True)
    plans = [first]
    for _ in range(8):
        if not plans[-1].startswith("Next"):
            break
        outcome = "gone" if len(plans) == 1 else "stays"
        browser.fill("#load-new-desense", outcome)
        browser.send("Add this result", "#search")
        plans.append(browser.text("#search .answer"))
        assert plans[-1] != plans[-2], "the plan moves with every result"
    assert "most likely" in plans[-1] or "No load can part" in plans[-1], plans
    # A result is edited, and the plan moves again.
    browser.press("Change", "#search .results")
    before = browser.text("#search .answer")
    browser.fill("#load-0-desense", "stays")
    browser.send("Keep this", "#search .results")
    assert browser.text("#search .answer") != before, "the plan moves when a result is edited"
    browser.press("Change", "#search .results")
    browser.fill("#load-0-desense", "gone")
    browser.send("Keep this", "#search .results")
    assert browser.text("#search .answer") == plans[-1], "and back"

    browser.fill("#work", "jumper replaced")
    browser.send("Keep this", "#proof")
    _state(browser, case, "repaired", "New jumper, connector crimped anew.")
    _stepped(browser, case, "after", [("0", "5", "0"), ("2", "5", "0"), ("4", "5", "0")])
    member.sends_a_file(browser, link, after, looks=False)
    browser.as_a(1200, "light")
    browser.open(desk.address + "/")
    browser.press("after.wav", ".log:not(.cases)")
    browser.says("What was heard")
    choice = [o for o in browser.all("#case option") if o.text == "Cycling in the rain"][0]
    browser.fill("#case", choice.get_attribute("value"))
    browser.fill("#phase", "after")
    browser.send("Put it there")
    browser.open(case)
    browser.says("The sheet to hand on")
    assert "Enough for a proof." in browser.text("#proof"), browser.text("#proof")
    _state(browser, case, "proven", "Same test, same place: gone.")
    browser.look("case-proven", open_all=True)
    assert "proven" in browser.text(".heading")


def _goes_by_keyboard(browser, desk, file):
    browser.as_a(1200, "light")
    browser.open(desk.address + "/")
    browser.enter_at("QQ0TB Nordau")
    browser.enter_at(file, 120)


def corrects_by_keyboard(browser, desk, file):
    """From the first page to a corrected verdict without a mouse."""
    _goes_by_keyboard(browser, desk, file)
    browser.says("It was really")
    browser.type_at("The cause, if you know better", "linked", 120)
    browser.type_at("How do you know?", "Both ends were heard.")
    browser.type_at("The repeater's hang time in seconds, if you know it", "2.5")
    browser.type_at("How it was listened to, if you know that", "only")
    browser.enter_at("Keep this")
    browser.says("Both ends were heard.")
    standing = browser.text(".standing")
    assert "link loop" in standing and "2.50 s" in standing and "only noise bursts" in standing, standing
    browser.type_at("The cause, if you know better", "as", 120)
    browser.enter_at("Keep this")
    browser.says("It was really")
    assert not browser.all(".two .standing"), "and it is taken back again"


def hunts_by_keyboard(browser, desk, file):
    """A case, its chain, a result, and the result mended, without a mouse."""
    _goes_by_keyboard(browser, desk, file)
    browser.says("Put it into")
    browser.type_at("Put it into", "a", 120)
    browser.type_at("Title, for a new case", "Without a mouse")
    browser.enter_at("Put it there")
    browser.says("Fault search")
    assert browser.text("h1") == "Without a mouse"
    browser.enter_at("Write the chain down", 200)
    browser.enter_at("Keep the chain", 300)
    plans = [browser.text("#search .answer")]
    assert plans[0].startswith("Next: put the load"), plans
    browser.type_at("The desense", "is", 200)
    browser.enter_at("Add this result")
    plans.append(browser.text("#search .answer"))
    browser.enter_at("Change result 1", 200)
    browser.type_at("The desense", "stays")
    browser.enter_at("Keep this")
    plans.append(browser.text("#search .answer"))
    assert len(set(plans)) == 3, f"the plan moves with the result, and when it is mended: {plans}"
    assert "stays" in browser.text("#search .results")


def _sends(desk, link, sound, name):
    """A member whose telephone is not looked at."""
    mark = "a-line-that-no-sound-holds"
    body = (
        f'--{mark}\r\nContent-Disposition: form-data; name="recording"; filename="{name}"\r\n\r\n'.encode()
        + sound.read_bytes() + f"\r\n--{mark}--\r\n".encode()
    )
    asked = urllib.request.Request(link, data=body, headers={"content-type": f"multipart/form-data; boundary={mark}"})
    with urllib.request.urlopen(asked) as answer:
        return answer.geturl()


def watches_an_analysis(browser, plain, desk, link, long_sound):
    """The verdict of a long recording comes by itself: with scripts and without, and it does not
    take away what somebody is writing. The analysis goes on while it is looked at, and no faster."""
    share = "return document.querySelector('.progress progress').value"
    how_far = lambda: browser.driver.execute_script(share)
    with Pace(desk.process.pid) as pace:
        phone_receipt = _sends(desk, link, long_sound, "long.wav")
        browser.as_a(390, "light")
        browser.open(phone_receipt)
        pace.until(lambda: how_far() > 0 and "Listening to it now: " in browser.text(".progress"))
        browser.look("receipt-working")
        browser.as_a(1200, "light")
        browser.open(desk.address + "/")
        browser.press("long.wav", ".log:not(.cases)")
        browser.wait(lambda: "Listening to it now: " in browser.text(".progress"), "progress on the keeper's page")
        at = how_far()
        # The bar moves by itself.
        pace.until(lambda: how_far() > at)
        browser.look("recording-working")
        address = browser.driver.current_url
        # Somebody without scripts sees it too, and may stop the page while they write.
        plain.as_a(1200, "light")
        plain.open(desk.address + "/sign-in")
        plain.fill("#name", "ada")
        plain.fill("#password", PASSWORD)
        plain.one("#password").send_keys(Keys.ENTER)
        plain.wait(lambda: plain.all(".who"), "being in")
        plain.open(address)
        assert plain.all("noscript meta[http-equiv=refresh]") or "looks again" in plain.text(), plain.text()
        plain.look("recording-working-without-scripts")
        plain.press("Stop that, to write something")
        plain.says("This page stays as it is.")
        assert plain.driver.current_url.endswith("?still=yes")
        plain.press("Look again")
        plain.wait(lambda: not plain.driver.current_url.endswith("?still=yes"), "the page that looks again")
        browser.fill("#text", "While it is listened to")
    browser.says("It is done. Keep what you are writing first.", 180)
    assert browser.one("#text").get_attribute("value") == "While it is listened to"
    plain.says("What was heard")
    browser.send("Add it")
    browser.says("What was heard")
    assert "While it is listened to" in browser.text()


def takes_away_and_brings_back(browser, desk, case, folder, originals):
    """The whole case as one page and as an archive; the archive comes back as a case."""
    browser.open(case)
    cookies = "; ".join(f"{c['name']}={c['value']}" for c in browser.driver.get_cookies())

    def fetch(name):
        asked = urllib.request.Request(f"{case}/{name}", headers={"cookie": cookies})
        with urllib.request.urlopen(asked) as answer:
            return answer.read()

    page = folder / "case.html"
    page.write_bytes(fetch("page.html"))
    browser.open(page.as_uri())
    for width, figure in [(390, "narrow"), (1200, "wide")]:
        browser.as_a(width, "light")
        drawn = browser.driver.execute_script(DRAWN, figure)
        assert len(drawn) >= len(originals) and all(0 < w <= width for w in drawn), (width, drawn)
    browser.look("case-file")
    sheet = folder / "dossier.html"
    sheet.write_bytes(fetch("dossier.html"))
    browser.open(sheet.as_uri())
    assert browser.prints("dossier") == 1, "the sheet to hand on is one sheet"
    archive = folder / "bundle.zip"
    archive.write_bytes(fetch("bundle.zip"))
    with zipfile.ZipFile(archive) as opened:
        assert opened.testzip() is None
        held = {hashlib.sha256(opened.read(name)).hexdigest() for name in opened.namelist()}
    for original in originals:
        assert hashlib.sha256(original.read_bytes()).hexdigest() in held, f"{original.name} is in it"
    browser.open(desk.address + "/import")
    browser.look("import")
    browser.fill("#bundle", str(archive))
    browser.send("Import it")
    browser.says("Cycling in the rain")
    browser.open(desk.address + "/import")
    browser.fill("#bundle", str(page))
    browser.send("Import it")
    assert browser.all("[role=alert]") or "could not be read" in browser.text(), browser.text()
    browser.driver.get_log("browser")


def sees_the_rest(browser, desk):
    """Keepers, log, account, import, what is not there."""
    browser.open(desk.address + "/keepers")
    browser.fill("#for_whom", "bo")
    browser.send("Make the link")
    invitation = browser.one("[data-copy]").text
    browser.look("keepers", open_all=True)
    browser.open(desk.address + "/audit")
    browser.look("log")
    assert "ada" in browser.text()
    browser.open(desk.address + "/account")
    browser.fill("#label", "logger at the site")
    browser.send("Make a token")
    browser.look("account")
    browser.open(desk.address + "/repeater/none")
    browser.says("There is nothing here")
    browser.driver.get_log("browser")
    browser.look("not-there")
    return invitation


def reads_only(browser, desk, invitation, case):
    """Somebody invited as a reader sees all and can change nothing."""
    browser.open(invitation)
    browser.look("invited")
    browser.fill("#name", "bo")
    browser.fill("#password", PASSWORD + " two")
    browser.fill("#again", PASSWORD + " two")
    browser.send("Come in")
    browser.says("Repeaters")
    browser.open(case)
    browser.says("Fault search")
    forms = [f.get_attribute("action") for f in browser.all("form[method=post]")]
    assert len(forms) == 1 and forms[0].endswith("/sign-out"), forms
    browser.look("case-as-reader", open_all=True)
