"""A form that is not taken comes back on its own page, with what was typed and why."""

import html
import re

import pytest
import sounds
from desk import csrf, receipt_of, until_too_often

LONG = "a sentence that was typed with care; " * 300


def form_of(page, action):
    """The form of a page that posts there, with what stands right above it."""
    found = re.search(r'(<p class="notice bad" role="alert">[^<]*</p>)?<form[^>]*action="' + re.escape(action)
                      + r'(?:#[^"]*)?".*?</form>', page, re.DOTALL)
    assert found, action
    return html.unescape(found[0])


@pytest.fixture
def recording(desk):
    repeater, link = desk.new_repeater()
    receipt_of(desk.send(link, "x.wav", sounds.short(1)))
    [one] = desk.all_analysed(repeater)
    return one["id"]


def refused(desk, page, to, typed, why):
    """Posts it, and gives the form that comes back."""
    token = csrf(desk.keeper.get(page).text)
    answer = desk.keeper.post(to, data={"csrf": token} | typed)
    assert answer.status_code == 400, answer.text
    assert answer.text.count('role="alert"') == 1, "one complaint"
    # It is the page itself, not one about an error.
    assert re.search("<title>[^<]*", desk.keeper.get(page).text)[0] in answer.text
    form = form_of(answer.text, to)
    assert why in form.split("<form")[0], form
    return form


def test_a_recordings_forms_come_back_as_they_were_typed(desk, recording):
    page = f"/recording/{recording}"
    note = refused(desk, page, f"{page}/note", {"text": LONG}, "more than 8000 characters")
    assert LONG.strip() in note
    refused(desk, page, f"{page}/note", {"text": "  "}, "Fill in the field")
    typed = {"why": "I was <there>", "hang_s": "three", "mode": "squelched"}
    labels = desk.keeper.get(page).text
    typed["label"] = re.search(r'name="label".*?<option value="([a-z_]+)"', labels, re.DOTALL)[1]
    form = refused(desk, page, f"{page}/correct", typed, 'not "three"')
    for kept in ('value="I was <there>"', 'value="three"', 'value="squelched" selected', f'value="{typed["label"]}" selected'):
        assert kept in form, kept
    title = "Flapping in the rain " * 9
    form = refused(desk, page, f"{page}/case", {"case": "new", "title": title, "phase": "after"}, "more than 120")
    assert title.strip() in form and 'value="after" selected' in form
    form = refused(desk, page, f"{page}/delete", {"sure": "yes please"}, "type the word".capitalize())
    assert 'value="yes please"' in form
    # Nothing of it was kept.
    one = desk.api("GET", f"/recordings/{recording}").json()
    assert one["corrected"] is None and LONG.strip() not in desk.keeper.get(page).text
    # Mended, it goes.
    data = {"csrf": csrf(labels), "text": "short"}
    assert desk.keeper.post(f"{page}/note", data=data).status_code == 303


def test_tokens_passwords_and_invitations_come_back(desk):
    form = refused(desk, "/account", "/account/tokens", {"label": "the logger", "days": "a year"}, 'not "a year"')
    assert 'value="the logger"' in form and 'value="a year"' in form
    words = {"old": "not my password at all", "password": "another long one", "again": "another long one"}
    form = refused(desk, "/account", "/account/password", words, "old password is not right")
    assert not any(word in form for word in words.values()), "passwords are never put back"
    token = csrf(desk.keeper.get("/account").text)
    tries = []

    def guess():
        tries.append(desk.keeper.post("/account/password", data={"csrf": token} | words))
        return tries[-1]

    assert until_too_often(guess)[-1] == 429 and int(tries[-1].headers["retry-after"]) > 0
    assert "Too many requests" in form_of(tries[-1].text, "/account/password")
    form = refused(desk, "/keepers", "/keepers/invite", {"for_whom": LONG, "role": "keeper"}, "more than 100")
    assert LONG.strip() in form and 'value="keeper" selected' in form


def test_a_repeaters_and_a_cases_forms_come_back(desk, recording):
    [repeater] = [r["id"] for r in desk.api("GET", "/repeaters").json()]
    page = f"/repeater/{repeater}"
    form = refused(desk, page, f"{page}/case", {"title": LONG}, "more than 120")
    assert LONG.strip() in form
    form = refused(desk, page, f"{page}/delete", {"sure": "QQ0TB"}, "repeater's name")
    assert 'value="QQ0TB"' in form
    token = csrf(desk.keeper.get(page).text)
    case = desk.keeper.post(f"{page}/case", data={"csrf": token, "title": "Flapping"}).headers["location"]
    form = refused(desk, case, f"{case}/delete", {"sure": "Delete"}, "delete")
    assert 'value="Delete"' in form
    assert desk.keeper.get(case).status_code == 200


def test_whoever_may_not_or_is_nowhere_gets_no_form(desk, recording):
    token = csrf(desk.keeper.get("/account").text)
    gone = desk.keeper.post("/recording/" + "a" * 26 + "/note", data={"csrf": token, "text": " "})
    assert gone.status_code == 404
    forged = desk.keeper.post(f"/recording/{recording}/note", data={"csrf": "x", "text": "kept?"})
    assert forged.status_code == 403 and "kept?" not in forged.text
