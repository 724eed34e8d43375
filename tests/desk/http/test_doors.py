"""Who may do what: links, sessions, roles, forged forms, guessing, what is told to whom."""

import re

import httpx
import pytest
import sounds
from desk import PASSWORD, csrf, receipt_of, until_too_often

KEEPERS_PAGES = ["/", "/repeater/new", "/keepers", "/audit", "/account"]


def test_the_setup_link_works_once(desk):
    late = desk.browser()
    assert late.get(desk.setup_link).status_code == 404
    assert late.get("/setup/" + "a" * 26).status_code == 404
    desk.stop()
    desk.setup_link = None
    desk.start()
    assert desk.setup_link is None, "a desk with a keeper prints no link"


def test_nobody_sees_a_keepers_page_without_signing_in(desk):
    repeater, link = desk.new_repeater()
    receipt_of(desk.send(link, "x.wav", sounds.short(1)))
    [recording] = desk.recordings(repeater)
    stranger = desk.browser()
    pages = KEEPERS_PAGES + [
        f"/repeater/{repeater}", f"/repeater/{repeater}/link",
        f"/recording/{recording['id']}", f"/recording/{recording['id']}/audio",
    ]
    for page in pages:
        answer = stranger.get(page)
        assert answer.status_code == 303, page
        assert answer.headers["location"].startswith("/sign-in"), page
    for path in ["/repeaters", f"/recordings/{recording['id']}", "/audit"]:
        answer = httpx.get(f"{desk.url}/api/v1{path}")
        assert (answer.status_code, answer.json()["code"]) == (401, "sign_in")
        wrong = httpx.get(f"{desk.url}/api/v1{path}", headers={"authorization": "Bearer x"})
        assert wrong.status_code == 401
    # Whoever signs in then is led back, and never elsewhere.
    page = stranger.get(f"/sign-in?then=/repeater/{repeater}").text
    form = {"csrf": csrf(page), "name": "Ada", "password": PASSWORD}
    done = stranger.post("/sign-in", data=form | {"then": f"/repeater/{repeater}"})
    assert done.headers["location"] == f"/repeater/{repeater}"
    done = stranger.post("/sign-in", data=form | {"then": "//elsewhere.example"})
    assert done.headers["location"] == "/"


def test_cookies_are_out_of_scripts_reach_and_secure_behind_tls(desk_of):
    desk = desk_of("--public", "https://desk.example.org")
    link = desk.url + "/setup/" + desk.setup_link.rsplit("/", 1)[1]
    assert desk.setup_link.startswith("https://desk.example.org/setup/")
    page = httpx.get(link)
    cookie = page.headers["set-cookie"]
    for word in ["__Host-door=", "HttpOnly", "SameSite=Lax", "Secure", "Path=/"]:
        assert word in cookie
    assert "max-age" in page.headers["strict-transport-security"]


def test_every_page_carries_the_strict_headers(desk):
    _, link = desk.new_repeater()
    for path in ["/sign-in", link, "/nothing", "/health"]:
        headers = desk.browser().get(path).headers
        policy = headers["content-security-policy"]
        assert "default-src 'none'" in policy and "unsafe" not in policy, path
        assert headers["x-content-type-options"] == "nosniff"
        assert headers["cache-control"] == "no-store"
        assert headers["referrer-policy"] == "same-origin"
    page = desk.keeper.get("/").text
    for asset in re.findall(r'(?:href|src)="(/assets/[^"]+)"', page):
        got = desk.browser().get(asset)
        assert got.status_code == 200 and "immutable" in got.headers["cache-control"]
    assert not re.findall(r'(?:href|src)="https?://', page), "third-party files"
    assert "<script>" not in page and " style=" not in page and " onclick" not in page


def test_a_form_without_its_token_changes_nothing(desk):
    repeater, _ = desk.new_repeater()
    for csrf_ in ["", "wrong", None]:
        form = {"name": "forged"} | ({} if csrf_ is None else {"csrf": csrf_})
        assert desk.keeper.post("/repeater/new", data=form).status_code == 403
        assert desk.keeper.post(f"/repeater/{repeater}/link/renew", data=form).status_code == 403
    # Nor does another site's page with a token that it somehow got.
    token = csrf(desk.keeper.get("/account").text)
    for headers in [{"origin": "https://evil.example"}, {"sec-fetch-site": "cross-site"}]:
        form = {"csrf": token, "name": "forged"}
        answer = desk.keeper.post("/repeater/new", data=form, headers=headers)
        assert answer.status_code == 403
    names = [r["name"] for r in desk.api("GET", "/repeaters").json()]
    assert names == ["QQ0TB, east hill"]
    # A forged sign-in is stopped as well: it would put a victim into the attacker's account.
    form = {"name": "Ada", "password": PASSWORD}
    assert desk.browser().post("/sign-in", data=form).status_code == 400


def test_passwords_cannot_be_guessed_and_names_not_be_found_out(desk):
    answers = [desk.sign_in(name, "wrong password")[1] for name in ["Ada", "Nobody"]]
    plain = [re.sub(r'value="[^"]*"', "", a.text) for a in answers]
    assert [a.status_code for a in answers] == [403, 403] and plain[0] == plain[1]
    statuses = until_too_often(lambda: desk.sign_in("Ada", "wrong password")[1])
    assert statuses[-1] == 429 and set(statuses) == {403, 429}, statuses
    assert PASSWORD not in desk.log.read_text()
    [(kept,)] = desk.rows("SELECT password FROM keepers")
    assert kept.startswith("$argon2id$") and PASSWORD not in kept


def test_secrets_are_kept_as_digests_only(desk):
    repeater, link = desk.new_repeater()
    receipt = receipt_of(desk.send(link, "x.wav", sounds.short(2))).rsplit("/", 1)[1]
    session = desk.keeper.cookies["desk"]
    tables = ["sessions", "bearers", "openings", "recordings", "uploads", "audit"]
    everything = "\n".join(str(desk.rows(f"SELECT * FROM {table}")) for table in tables)
    for secret in [receipt, session, desk.token, desk.setup_link.rsplit("/", 1)[1]]:
        assert secret not in everything
    assert repeater in everything


def test_readers_look_and_change_nothing(desk):
    repeater, link = desk.new_repeater()
    receipt_of(desk.send(link, "x.wav", sounds.short(1)))
    [recording] = desk.all_analysed(repeater)
    token = csrf(desk.keeper.get("/keepers").text)
    form = {"csrf": token, "role": "reader", "for_whom": "Ben"}
    page = desk.keeper.post("/keepers/invite", data=form).text
    invitation = re.search(r"/invited/[a-z0-9]+", page)[0]
    reader = desk.browser()
    desk.enter(reader, invitation, "Ben")
    assert desk.browser().get(invitation).status_code == 404, "an invitation works once"
    for path in ["/", f"/repeater/{repeater}", f"/recording/{recording['id']}", "/keepers"]:
        assert reader.get(path).status_code == 200, path
    assert reader.get("/audit").status_code == 403
    own = csrf(reader.get("/account").text)
    for path, more in [
        ("/repeater/new", {"name": "x"}),
        (f"/repeater/{repeater}/link/renew", {}),
        (f"/recording/{recording['id']}/correct", {"label": "ordinary_traffic"}),
        (f"/recording/{recording['id']}/delete", {"sure": "delete"}),
        ("/keepers/invite", {"role": "keeper"}),
    ]:
        assert reader.post(path, data={"csrf": own} | more).status_code == 403, path
    # Nor by a program of theirs.
    from desk import fresh_token

    made = reader.post("/account/tokens", data={"csrf": own, "label": "mine"})
    keeper, desk.token = desk.token, fresh_token(made.text)
    assert desk.api("GET", "/repeaters").status_code == 200
    assert desk.api("DELETE", f"/recordings/{recording['id']}").status_code == 403
    desk.token = keeper
    # A closed account is out at once.
    page = desk.keeper.get("/keepers").text
    ben = next(i for i in re.findall(r"/keepers/([a-z0-9]{26})/remove", page))
    form = {"csrf": token}
    assert desk.keeper.post(f"/keepers/{ben}/remove", data=form).status_code == 303
    assert reader.get("/").status_code == 303
    [(ada,)] = desk.rows("SELECT id FROM keepers WHERE name = 'Ada'")
    last = desk.keeper.post(f"/keepers/{ada}/remove", data=form)
    assert last.status_code == 409, "the last keeper stays"


def test_links_tell_nothing_of_others(desk):
    repeater, link = desk.new_repeater(name="first")
    other, other_link = desk.new_repeater(name="second secret site")
    receipt = receipt_of(desk.send(link, "mine.wav", sounds.short(1), sender="Carl"))
    member = desk.browser()
    page = member.get(link).text + member.get(receipt).text
    for secret in ["second secret site", other, other_link, repeater, "Ada"]:
        assert secret not in page
    assert "Carl" not in member.get(link).text
    for path in ["/to/" + "a" * 26, "/receipt/" + "a" * 26, "/receipt/" + link[4:]]:
        assert member.get(path).status_code == 404
    # A renewed link closes the old one; receipts stay.
    token = csrf(desk.keeper.get("/account").text)
    done = desk.keeper.post(f"/repeater/{repeater}/link/renew", data={"csrf": token})
    assert done.status_code == 303
    assert member.get(link).status_code == 404
    assert desk.send(link, "x.wav", sounds.short(2)).status_code == 404
    assert member.get(receipt).status_code == 200


@pytest.mark.parametrize("base", ["sqlite"], indirect=True)
def test_a_desk_that_others_can_reach_says_so(desk_of, base):
    desk = desk_of(name="open")
    assert "others can reach" not in desk.log.read_text()
    desk.stop()
    desk.start("0.0.0.0:0")
    assert "others can reach" in desk.log.read_text()
