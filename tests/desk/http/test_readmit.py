"""A keeper who has lost the password, and whoever has the machine."""

import html
import re
import subprocess

import httpx
import pytest
from desk import PASSWORD, PROGRAM, csrf

NEW_PASSWORD = "quite another sentence of words"


def readmit(desk, *words):
    at = ["--folder", desk.folder] + (["--database", desk.database] if desk.database else [])
    command = [PROGRAM, "desk-readmit", *words, *at]
    return subprocess.run([*map(str, command)], capture_output=True, text=True, timeout=120)


def link_for(desk, name):
    done = readmit(desk, name)
    assert (done.returncode, done.stderr) == (0, ""), done.stderr
    [link] = re.findall(r"http\S+/again/[a-z0-9]{26}", done.stdout)
    return link


def take(desk, link, password=NEW_PASSWORD, again=None):
    """Somebody opens the link and types a password; gives their browser and the answer."""
    browser = desk.browser()
    page = browser.get(link)
    assert page.status_code == 200, page.text
    form = {"csrf": csrf(page.text), "password": password, "again": password if again is None else again}
    return browser, browser.post(link, data=form)


def kinds(desk):
    return [(line["kind"], line["who"], line["about"]) for line in desk.api("GET", "/audit").json()]


def test_the_sole_keeper_comes_back_while_the_desk_goes_on(desk):
    _, forgotten = desk.sign_in(password="what was it again")
    assert forgotten.status_code == 403 and "desk-readmit" in forgotten.text
    link = link_for(desk, "Ada")
    assert link.startswith(desk.url), "where the desk listens, without being told"
    page = desk.browser().get(link).text
    assert "Ada" in page and "a keeper" in page
    # Made is not used: until then everything is as it was, and looking uses nothing up.
    assert desk.keeper.get("/").status_code == 200
    _, short = take(desk, link, "short")
    assert short.status_code == 400 and "too short" in short.text
    _, unlike = take(desk, link, again="something else entirely")
    assert unlike.status_code == 400 and "not the same" in unlike.text
    back, done = take(desk, link)
    assert (done.status_code, done.headers["location"]) == (303, "/"), done.text
    assert back.get("/keepers").status_code == 200, "signed in at once"
    assert desk.keeper.get("/").status_code == 303, "every older session has ended"
    assert desk.browser().get(link).status_code == 404, "it works once"
    token = csrf(desk.browser().get("/sign-in").text)
    assert desk.browser().post(link, data={"csrf": token}).status_code in (400, 404)
    assert desk.sign_in()[1].status_code == 403, "the old password is gone"
    assert desk.sign_in(password=NEW_PASSWORD)[1].status_code == 303
    # The token that the tests hold still opens the interface, as the page has said.
    said = kinds(desk)
    assert ("made a link for a new password", "the machine", "Ada") in said
    assert ("set a new password by a link", "Ada", "") in said
    # Neither the database nor the log of the desk holds the word.
    word = link.rsplit("/", 1)[1]
    assert word not in str(desk.rows("SELECT * FROM openings")) + str(desk.rows("SELECT * FROM audit"))
    assert word not in desk.log.read_text()


def test_the_link_is_made_while_the_desk_is_down_and_opens_when_it_is_up(desk):
    listen = desk.url.removeprefix("http://")
    desk.stop()
    link = link_for(desk, "Ada")
    desk.start(listen)
    _, done = take(desk, link)
    assert done.status_code == 303
    assert desk.sign_in(password=NEW_PASSWORD)[1].status_code == 303


def test_only_the_newest_link_opens_and_only_for_its_own_name(desk):
    page = desk.keeper.post("/keepers/invite", data={
        "csrf": csrf(desk.keeper.get("/keepers").text), "role": "reader", "for_whom": "Ben",
    }).text
    invitation = re.search(r"/invited/[a-z0-9]+", page)[0]
    ben = desk.enter(desk.browser(), invitation, "Ben")
    first, second = link_for(desk, "Ben"), link_for(desk, "Ben")
    adas = link_for(desk, "Ada")
    assert desk.browser().get(first).status_code == 404
    for door in ("setup", "invited"):
        assert desk.browser().get(second.replace("/again/", f"/{door}/")).status_code == 404
    assert desk.browser().get("/again/" + "a" * 26).status_code == 404
    assert desk.browser().get(invitation.replace("/invited/", "/again/")).status_code == 404
    back, done = take(desk, second)
    assert done.status_code == 303 and ben.get("/").status_code == 303
    # The role stays, and nobody else is signed out.
    assert back.get("/audit").status_code == 403 and desk.keeper.get("/").status_code == 200
    # Whoever remembers in time, and changes the password, needs no link that lies about.
    change = {"old": PASSWORD, "new": NEW_PASSWORD}
    assert desk.api("PUT", "/account/password", json=change).status_code == 204
    assert desk.browser().get(adas).status_code == 404
    # An account that is closed has no way back.
    last = link_for(desk, "Ben")
    [key] = [k["id"] for k in desk.api("GET", "/keepers").json() if k["name"] == "Ben"]
    assert desk.api("DELETE", f"/keepers/{key}").status_code == 204
    assert desk.browser().get(last).status_code == 404
    gone = readmit(desk, "Ben")
    assert gone.returncode == 2 and '"Ada"' in gone.stderr and '"Ben"' in gone.stderr
    assert gone.stderr.count("Ben") == 1, "the closed one is not among those that are offered"


def test_an_old_link_opens_nothing(desk):
    link = link_for(desk, "Ada")
    [(made, ends)] = desk.rows("SELECT made_at, ends_at FROM openings WHERE kind = 'again'")
    day = 24 * 3600 * 1_000_000
    assert abs(int(ends) - int(made) - day) < day / 1000
    desk.rows("UPDATE openings SET ends_at = made_at WHERE kind = 'again'")
    browser = desk.browser()
    assert browser.get(link).status_code == 404
    form = {"csrf": csrf(browser.get("/sign-in").text), "password": NEW_PASSWORD, "again": NEW_PASSWORD}
    assert browser.post(link, data=form).status_code == 404
    assert desk.sign_in()[1].status_code == 303


def test_a_form_from_elsewhere_sets_no_password(desk):
    link = link_for(desk, "Ada")
    form = {"password": NEW_PASSWORD, "again": NEW_PASSWORD}
    assert httpx.post(link, data=form).status_code == 400
    browser = desk.browser()
    token = csrf(browser.get(link).text)
    evil = browser.post(link, data=form | {"csrf": token}, headers={"origin": "https://evil.example"})
    assert evil.status_code == 403
    assert desk.sign_in()[1].status_code == 303


@pytest.mark.parametrize("base", ["sqlite"], indirect=True)
def test_where_there_is_nobody_or_no_desk_that_is_said(desk_of, base, tmp_path):
    desk = desk_of("--public", "https://desk.example.org/")
    nobody = readmit(desk, "Ada")
    assert nobody.returncode == 2 and "first keeper" in nobody.stderr, nobody.stderr
    desk.stop()
    at = ["--folder", desk.folder]
    elsewhere = subprocess.run(
        [PROGRAM, "desk-readmit", "Ada", "--folder", tmp_path / "missing"], capture_output=True, text=True)
    assert elsewhere.returncode == 2 and "no desk keeps anything here" in elsewhere.stderr
    assert not (tmp_path / "missing").exists()
    # As a desk of an older program leaves its folder.
    (desk.folder / "address").unlink()
    untold = subprocess.run([PROGRAM, "desk-readmit", "Ada", *at], capture_output=True, text=True)
    assert untold.returncode == 2 and "--public" in untold.stderr
    wrong = readmit(desk, "Ada", "--public", "desk.example.org")
    assert wrong.returncode == 2 and "no address of the web" in wrong.stderr


@pytest.mark.parametrize("base", ["sqlite"], indirect=True)
def test_a_desk_behind_tls_gives_its_public_address(desk_of, base):
    desk = desk_of(name="behind")
    ada = desk.set_up()
    assert html.unescape(ada.get("/account").text).count("Account of Ada")
    desk.stop()
    desk.extra = ["--public", "https://desk.example.org/"]
    desk.start()
    assert link_for(desk, "Ada").startswith("https://desk.example.org/again/")
    told = readmit(desk, "Ada", "--public", "http://10.0.0.7:8474")
    assert "http://10.0.0.7:8474/again/" in told.stdout
