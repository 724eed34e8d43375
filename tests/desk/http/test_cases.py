"""A case from the complaint to the proof, its export and import, labelled corrections, deletion."""

import hashlib
import io
import json
import re
import sqlite3
import zipfile

import sounds
from desk import csrf, receipt_of

DESENSE = "cycling-open-squelch-note.ogg"
QUIET = "kerchunks-mulaw-8k.wav"


def case_with_everything(desk):
    """Gives the repeater, the case, and its two recordings."""
    repeater, link = desk.new_repeater(hysteresis_db=2.0)
    for name in (DESENSE, QUIET):
        data = (sounds.CORPUS / name).read_bytes()
        receipt_of(desk.send(link, name, data, noticed="it flaps", place="the hill"))
    found = {r["file_name"]: r for r in desk.all_analysed(repeater)}
    token = csrf(desk.keeper.get("/account").text)

    def post(path, **form):
        answer = desk.keeper.post(path, data={"csrf": token} | form)
        assert answer.status_code == 303, (path, answer.status_code, answer.text[-3000:])
        return answer.headers["location"]

    case = post(f"/recording/{found[DESENSE]['id']}/case", case="new", title="Flapping", phase="before")
    post(f"/recording/{found[QUIET]['id']}/case", case=case.rsplit("/", 1)[1], phase="after")
    post(f"{case}/state", state="confirmed", said="heard it myself")
    for phase, back in [("before", ["3", "3", "0"]), ("after", ["0", "0", "0"])]:
        post(
            f"{case}/backoff", day="2031-05-04", phase=phase, hysteresis_db="2",
            backoff_db=["2", "4", "6"], trials=["3", "3", "3"], came_back=back,
        )
    post(
        f"{case}/tee", day="2031-05-04", phase="before", criterion="sinad_12_db", unit="dbm",
        load_off="-88.6 -88.4", antenna_off="-85.5 -85.3", load_on="-88.1 -87.9",
        antenna_on="-79.4 -79.8", tee_loss_db="30.5",
    )
    names = ["transmitter", "jumper", "duplexer", "feed line", "antenna"]
    kinds = ["transmitter", "jumper", "duplexer", "feed_line", "antenna"]
    post(
        f"{case}/chain", side=["transmit"] * 5, name=names, kind=kinds, weight=[""] * 5,
        test=["yes"] * 4 + ["no"], minutes=[""] * 5, money=[""] * 5, rigger=["no"] * 5,
    )
    plan = desk.api("GET", f"/cases{case.removeprefix('/case')}/plan").json()
    post(f"{case}/load", after="duplexer", desense="gone", looks="1", day="2031-05-05")
    moved = desk.api("GET", f"/cases{case.removeprefix('/case')}/plan").json()
    assert plan != moved, "a result moves the plan"
    post(f"{case}/load/0", after="duplexer", desense="stays", looks="2")
    post(f"{case}/work", work="feed line renewed")
    post(f"{case}/state", state="proven", said="")
    return repeater, case, found, post


def test_a_case_goes_from_the_complaint_to_the_proof(desk):
    repeater, case, found, post = case_with_everything(desk)
    page = desk.keeper.get(case).text
    for words in ["Flapping", "heard it myself", "feed line renewed", DESENSE, "duplexer"]:
        assert words in page, words
    whole = desk.api("GET", f"/cases{case.removeprefix('/case')}").json()
    assert whole["case"]["state"] == "proven"
    assert {t["kind"] for t in whole["tests"]} == {"backoff", "tee"}
    assert whole["comparison"]["schema"] == "tailbeat.compare/1"
    assert [h["new_state"] for h in whole["history"]] == ["opened", "confirmed", "proven"]
    sheet = desk.keeper.get(f"{case}/dossier.html")
    assert sheet.status_code == 200 and "feed line renewed" in sheet.text
    # The desk shows what was measured, month by month.
    trend = desk.api("GET", f"/repeaters/{repeater}/trend").json()
    may = next(month for month in trend if month["month"] == "2031-05")
    assert 3 < may["desense_db"] < 9
    # What makes no sense is said beside its form, and the rest of the page stays.
    token = csrf(page)
    wrong = desk.keeper.post(f"{case}/tee", data={"csrf": token, "load_off": "loud"})
    assert wrong.status_code == 400 and "loud" in wrong.text and "Flapping" in wrong.text
    assert desk.keeper.post(f"{case}/state", data={"csrf": token, "state": "x"}).status_code == 400


def test_a_case_leaves_as_a_zip_and_comes_back(desk, desk_of):
    _, case, found, post = case_with_everything(desk)
    post(f"/recording/{found[DESENSE]['id']}/note", text="the member is a good listener")
    post(f"/recording/{found[QUIET]['id']}/correct", label="ordinary_traffic", why="I was there")
    page = desk.keeper.get(f"{case}/page.html").text
    assert "Flapping" in page and "data:image/svg+xml" in page
    assert not re.findall(r'(?:src|href)="(?!data:|#)', page), "the page needs nothing else"
    answer = desk.keeper.get(f"{case}/bundle.zip")
    bundle = zipfile.ZipFile(io.BytesIO(answer.content))
    sums = dict(line.split("  ")[::-1] for line in bundle.read("SHA256SUMS").decode().splitlines())
    assert set(sums) == set(bundle.namelist()) - {"SHA256SUMS"}
    for name, sha256 in sums.items():
        assert hashlib.sha256(bundle.read(name)).hexdigest() == sha256
    originals = {n: bundle.read(n) for n in bundle.namelist() if n.startswith("originals/")}
    kept = {(sounds.CORPUS / name).read_bytes() for name in (DESENSE, QUIET)}
    assert set(originals.values()) == kept
    whole = json.loads(bundle.read("case.json"))
    assert "/to/" not in json.dumps(whole), "no send-in link leaves the desk"

    def put_in(browser, content):
        token = csrf(browser.get("/import").text)
        files = {"csrf": (None, token), "bundle": ("case.zip", content)}
        return browser.post("/import", files=files)

    back = put_in(desk.keeper, answer.content)
    assert back.status_code == 303, back.text
    again = back.headers["location"]
    desk.all_analysed(whole_repeater(desk, again))
    both = [desk.api("GET", f"/cases/{c.rsplit('/', 1)[1]}").json() for c in (case, again)]
    for of in both:
        of["tests"] = [(t["kind"], t["phase"], t["sheet"], t["result"]) for t in of["tests"]]
    assert both[0]["tests"] == both[1]["tests"]
    assert both[0]["case"]["site_toml"] == both[1]["case"]["site_toml"]
    assert both[0]["comparison"] == both[1]["comparison"]
    assert len(desk.originals()) == 2, "the same content is still kept once"
    # Nothing in a bundle is believed that can be made anew or checked.
    forged = rewritten(answer.content, {next(iter(originals)): b"another sound"})
    assert put_in(desk.keeper, forged).status_code == 400
    before = len(desk.rows("SELECT id FROM cases"))
    for wrong in [b"no zip", rewritten(answer.content, {"case.json": b"{}"})]:
        refused = put_in(desk.keeper, wrong)
        assert refused.status_code == 400, refused.text
    bomb = dict(whole, recordings=[dict(whole["recordings"][0], original="zeros")])
    huge = io.BytesIO()
    with zipfile.ZipFile(huge, "w", zipfile.ZIP_DEFLATED) as file:
        file.writestr("case.json", json.dumps(bomb))
        file.writestr("zeros", bytes(300_000_000))
    assert put_in(desk.keeper, huge.getvalue()).status_code == 413
    assert len(desk.rows("SELECT id FROM cases")) == before
    assert desk.incoming() == [] and len(desk.originals()) == 2
    # Without the form's token the file is not even taken in.
    files = {"bundle": ("case.zip", answer.content)}
    assert desk.keeper.post("/import", files=files).status_code == 403


def whole_repeater(desk, case):
    return desk.api("GET", f"/cases/{case.rsplit('/', 1)[1]}").json()["case"]["repeater"]


def rewritten(content, changes):
    out = io.BytesIO()
    with zipfile.ZipFile(io.BytesIO(content)) as source, zipfile.ZipFile(out, "w") as target:
        for name in source.namelist():
            target.writestr(name, changes.get(name, source.read(name)))
    return out.getvalue()


def test_corrections_leave_as_labelled_data(desk):
    repeater, _, found, post = case_with_everything(desk)
    one = found[QUIET]["id"]
    post(f"/recording/{one}/correct", label="hand_keying", why="I keyed it")
    assert desk.api("GET", f"/recordings/{one}").json()["corrected"] == "hand_keying"
    answer = desk.keeper.get(f"/repeater/{repeater}/corrections.zip")
    bundle = zipfile.ZipFile(io.BytesIO(answer.content))
    [truth_name] = [n for n in bundle.namelist() if n.endswith(".truth.json")]
    truth = json.loads(bundle.read(truth_name))
    form = json.loads((sounds.CORPUS / "kerchunks-mulaw-8k.truth.json").read_text())
    assert truth["cause"] == "hand_keying" == form["cause"]
    optional = {"input_s", "keyed_s", "audio_open_s"}
    assert set(form) - optional <= set(truth), "as the corpus has it"
    assert bundle.read(truth_name.replace(".truth.json", ".wav")) == (sounds.CORPUS / QUIET).read_bytes()
    assert desk.keeper.post(
        f"/recording/{one}/correct", data={"csrf": csrf(desk.keeper.get("/account").text), "label": "x"}
    ).status_code == 400
    post(f"/recording/{one}/correct", label="")
    assert desk.api("GET", f"/recordings/{one}").json()["corrected"] is None


def test_what_is_deleted_is_gone(desk):
    repeater, link = desk.new_repeater()
    word = "unmistakable-word-of-a-member"
    data = sounds.short(42)
    receipts = [receipt_of(desk.send(link, "x.wav", data, noticed=word)) for _ in range(2)]
    first, second = desk.all_analysed(repeater)
    [original] = desk.originals()
    assert desk.api("DELETE", f"/recordings/{first['id']}").status_code == 204
    # The other one has the same content and keeps it.
    assert original.exists()
    kept = desk.api("GET", f"/recordings/{second['id']}/original")
    assert kept.content == data
    assert desk.api("DELETE", f"/recordings/{second['id']}").status_code == 204
    assert not original.exists() and desk.originals() == []
    for receipt in receipts:
        assert desk.browser().get(receipt).status_code == 404
    for table in ["recordings", "results", "jobs", "originals", "removals", "notes"]:
        assert desk.rows(f"SELECT COUNT(*) FROM {table}") == [("0",)], table
    deleted = [a for a in desk.api("GET", "/audit").json() if a["kind"] == "deleted a recording"]
    assert len(deleted) == 2 and deleted[0]["who"] == "Ada"
    if not desk.database:
        # Nor does the file of the database hold the words any more.
        for file in desk.folder.glob("desk.sqlite*"):
            assert word.encode() not in file.read_bytes(), file
    # A new one of the same content comes in as if there had never been one.
    receipt_of(desk.send(link, "x.wav", data))
    assert len(desk.originals()) == 1


def test_a_repeater_goes_with_everything(desk):
    repeater, case, _, _ = case_with_everything(desk)
    token = csrf(desk.keeper.get("/account").text)
    form = {"csrf": token, "sure": "yes"}
    assert desk.keeper.post(f"/repeater/{repeater}/delete", data=form).status_code == 400
    form["sure"] = "QQ0TB, east hill"
    assert desk.keeper.post(f"/repeater/{repeater}/delete", data=form).status_code == 303
    for table in ["repeaters", "recordings", "cases", "measurements", "case_recordings", "notes"]:
        assert desk.rows(f"SELECT COUNT(*) FROM {table}") == [("0",)], table
    assert desk.originals() == []


def test_deeds_are_written_down(desk):
    _, case, found, post = case_with_everything(desk)
    desk.keeper.get(f"{case}/bundle.zip")
    post(f"/recording/{found[DESENSE]['id']}/correct", label="inconclusive", why="")
    desk.sign_in("Ada", "wrong password")
    kinds = {line["kind"] for line in desk.api("GET", "/audit").json()}
    for kind in ["joined", "signed in", "sign-in refused", "exported a case", "opened a case",
                 "moved a case", "corrected a verdict", "made a token", "added a repeater"]:
        assert kind in kinds, kind
    page = desk.keeper.get("/audit?what=corrected+a+verdict").text
    assert "inconclusive" in page
