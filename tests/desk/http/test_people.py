"""Accounts, invitations, roles and tokens through the API: the same as on the pages."""

import datetime

import sounds
from desk import PASSWORD, receipt_of, until_too_often

OTHER_PASSWORD = "five other words are enough"


def as_owner_of(desk, token):
    """What a program with another token may do."""
    return lambda method, path, **more: desk.api(method, path, headers={"authorization": f"Bearer {token}"}, **more)


def invited(desk, role, name):
    """Somebody invited by the API, who comes in by their browser; gives it with their key."""
    made = desk.api("POST", "/invitations", json={"role": role, "for_whom": f"{name}, by letter"})
    assert made.status_code == 201, made.text
    [open_one] = desk.api("GET", "/invitations").json()
    assert (open_one["for_whom"], open_one["role"], open_one["by"]) == (f"{name}, by letter", role, "Ada")
    assert made.json()["id"] == open_one["id"]
    browser = desk.enter(desk.browser(), made.json()["link"], name)
    assert desk.api("GET", "/invitations").json() == [], "it is used up"
    [one] = [k for k in desk.api("GET", "/keepers").json() if k["name"] == name]
    assert (one["role"], one["is_you"]) == (role, False) and one["last_seen_at"]
    return browser, one["id"]


def token_of(desk, browser):
    from desk import csrf, fresh_token

    form = {"csrf": csrf(browser.get("/account").text), "label": "mine"}
    return fresh_token(browser.post("/account/tokens", data=form).text)


def test_people_come_change_their_role_and_go(desk):
    reader, key = invited(desk, "reader", "Ben")
    ben = as_owner_of(desk, token_of(desk, reader))
    repeater, link = desk.new_repeater()
    assert ben("GET", "/keepers").status_code == 200
    for method, path, more in [
        ("POST", "/invitations", {"json": {"role": "keeper"}}),
        ("DELETE", "/invitations/" + "a" * 26, {}),
        ("PUT", f"/keepers/{key}/role", {"json": {"role": "keeper"}}),
        ("DELETE", f"/keepers/{key}", {}),
        ("POST", f"/repeaters/{repeater}/link", {}),
        ("GET", "/audit", {}),
    ]:
        refused = ben(method, path, **more)
        assert (refused.status_code, refused.json()["code"]) == (403, "forbidden"), path
    assert desk.api("PUT", f"/keepers/{key}/role", json={"role": "keeper"}).status_code == 204
    assert ben("POST", f"/repeaters/{repeater}/link").status_code == 200
    assert desk.browser().get(link).status_code == 404, "the old link opens nothing any more"
    assert desk.api("PUT", f"/keepers/{key}/role", json={"role": "king"}).status_code == 400
    assert desk.api("DELETE", f"/keepers/{key}").status_code == 204
    assert ben("GET", "/keepers").status_code == 401 and reader.get("/").status_code == 303
    assert desk.api("DELETE", f"/keepers/{key}").status_code == 404
    # The last keeper stays one.
    [ada] = desk.api("GET", "/keepers").json()
    assert ada["is_you"]
    assert desk.api("DELETE", f"/keepers/{ada['id']}").status_code == 409
    assert desk.api("PUT", f"/keepers/{ada['id']}/role", json={"role": "reader"}).status_code == 409
    # One that was taken back lets nobody in.
    made = desk.api("POST", "/invitations", json={"role": "reader"}).json()
    assert desk.api("DELETE", f"/invitations/{made['id']}").status_code == 204
    assert desk.browser().get(made["link"]).status_code == 404
    kinds = {line["kind"] for line in desk.api("GET", "/audit").json()}
    assert {"invited", "withdrew an invitation", "changed a role", "closed account", "renewed a link"} <= kinds


def test_a_token_makes_tokens_that_do_not_outlive_it(desk):
    made = desk.api("POST", "/account/tokens", json={"label": "for a week", "days": 7})
    assert made.status_code == 201, made.text
    week = as_owner_of(desk, made.json()["token"])
    longer = week("POST", "/account/tokens", json={"label": "for good"})
    assert longer.status_code == 201
    tokens = {token["label"]: token for token in week("GET", "/account/tokens").json()}
    assert tokens["for good"]["ends_at"] == tokens["for a week"]["ends_at"]
    left = datetime.datetime.fromisoformat(tokens["for a week"]["ends_at"]) - datetime.datetime.now(datetime.UTC)
    assert datetime.timedelta(days=6.9) < left < datetime.timedelta(days=7)
    assert tokens["tests"]["ends_at"] is None and tokens["tests"]["used_at"]
    assert made.json()["token"] not in week("GET", "/account/tokens").text, "a word is given once"
    for wrong in [{"label": " "}, {"label": "x", "days": 0}, {"label": "x", "days": 3651}, {"label": "x", "days": 1.5}]:
        assert desk.api("POST", "/account/tokens", json=wrong).status_code == 400, wrong
    assert desk.api("DELETE", f"/account/tokens/{made.json()['id']}").status_code == 204
    assert week("GET", "/account").status_code == 401
    assert desk.api("DELETE", f"/account/tokens/{made.json()['id']}").status_code == 404
    kinds = [line["kind"] for line in desk.api("GET", "/audit").json()]
    assert kinds.count("made a token") == 3 and kinds.count("took a token back") == 1


def test_another_password_ends_every_session_and_is_not_guessed(desk):
    account = desk.api("GET", "/account").json()
    assert (account["name"], account["role"], account["sessions"]) == ("Ada", "keeper", 1)
    change = lambda **words: desk.api("PUT", "/account/password", json=words)
    assert change(old="not the old one", new=OTHER_PASSWORD).status_code == 400
    assert change(old=PASSWORD, new="short").status_code == 400
    assert change(old=PASSWORD, new=OTHER_PASSWORD).status_code == 204
    assert desk.keeper.get("/").status_code == 303 and desk.api("GET", "/account").json()["sessions"] == 0
    assert desk.sign_in()[1].status_code == 403
    other, done = desk.sign_in(password=OTHER_PASSWORD)
    assert done.status_code == 303
    assert desk.api("DELETE", "/account/sessions").status_code == 204
    assert other.get("/").status_code == 303, "signed out everywhere"
    statuses = until_too_often(lambda: change(old="a guess", new=OTHER_PASSWORD))
    assert statuses[-1] == 429 and set(statuses) == {400, 429}, statuses
    kinds = {line["kind"] for line in desk.api("GET", "/audit").json()}
    assert {"changed password", "signed out elsewhere"} <= kinds


def test_what_is_new_stays_new_until_a_keeper_has_seen_it(desk):
    reader, _ = invited(desk, "reader", "Ben")
    repeater, link = desk.new_repeater()
    receipt_of(desk.send(link, "x.wav", sounds.short(1)))
    sent = {"name": "y.wav", "place": "hill", "set": "handheld", "squelch": "open", "sender": "Carl"}
    made = desk.api("POST", f"/repeaters/{repeater}/recordings", params=sent, content=sounds.short(2))
    assert made.status_code == 201, made.text
    everything = {r["file_name"]: r for r in desk.all_analysed(repeater)}
    kept = everything["y.wav"]
    assert [kept[name] for name in ("place", "set", "squelch", "sender")] == ["hill", "handheld", "open", "Carl"]
    new = lambda: {r["file_name"] for r in desk.api("GET", "/recordings?unseen=true").json()["recordings"]}
    assert new() == {"x.wav", "y.wav"}
    assert reader.get(f"/recording/{kept['id']}").status_code == 200
    assert new() == {"x.wav", "y.wav"}, "a reader has looked, and readers change nothing"
    assert desk.keeper.get(f"/recording/{kept['id']}").status_code == 200
    assert new() == {"x.wav"}
    assert desk.api("PUT", f"/recordings/{everything['x.wav']['id']}/seen").status_code == 204
    assert new() == set()
    path = f"/recordings/{kept['id']}"
    assert desk.api("GET", path + "/timeline").text == desk.keeper.get(f"/recording/{kept['id']}/timeline.svg").text
    assert desk.api("GET", path + "/captions").text.startswith("WEBVTT")
