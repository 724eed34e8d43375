"""A case from the complaint to the proof, its export and import, labelled corrections, deletion."""

import hashlib
import io
import json
import re
import subprocess
import zipfile

import sounds
from desk import PROGRAM, csrf, receipt_of

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
    assert wrong.status_code == 400 and "Flapping" in wrong.text
    # Nobody types it twice.
    assert 'name="load_off" type="text" value="loud"' in wrong.text, wrong.text
    typed = {"backoff_db": list("123456789"), "trials": ["3"] * 9, "came_back": ["3"] * 8 + ["4"]}
    wrong = desk.keeper.post(f"{case}/backoff", data={"csrf": token, "day": "2031-05-06"} | typed)
    assert wrong.status_code == 400 and wrong.text.count('value="3" inputmode="numeric"') == 17
    assert 'value="2031-05-06"' in wrong.text and 'value="9" inputmode="decimal"' in wrong.text
    chain = {"name": ["one", "one"], "side": ["transmit"] * 2, "kind": ["other"] * 2, "minutes": ["41", ""]}
    wrong = desk.keeper.post(f"{case}/chain", data={"csrf": token} | chain)
    assert wrong.status_code == 400 and 'value="41"' in wrong.text
    wrong = desk.keeper.post(f"{case}/work", data={"csrf": token, "work": "w" * 150})
    assert "more than 100 characters" in wrong.text and "w" * 150 in wrong.text
    nothing = desk.keeper.post("/import", files={"csrf": (None, token), "bundle": ("", b"")})
    assert nothing.status_code == 400 and "Choose a file first" in nothing.text
    assert desk.keeper.post(f"{case}/state", data={"csrf": token, "state": "x"}).status_code == 400


def test_a_case_leaves_as_a_zip_and_comes_back(desk, desk_of):
    _, case, found, post = case_with_everything(desk)
    post(f"/recording/{found[DESENSE]['id']}/note", text="the member is a good listener")
    post(f"/recording/{found[QUIET]['id']}/correct", label="ordinary_traffic", why="I was there")
    page = desk.keeper.get(f"{case}/page.html").text
    assert "Flapping" in page and page.count("<svg") >= 4, "two recordings, for wide and narrow screens"
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
    first = both[1]["history"][0]
    assert re.fullmatch(r"\(on \d+ \w+ \d+, \d\d:\d\d UTC\)", first["text"]), first
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


def test_programs_get_the_same_files_and_bring_them_back(desk):
    repeater, case, found, post = case_with_everything(desk)
    post(f"/recording/{found[QUIET]['id']}/correct", label="hand_keying", why="I keyed it")
    key = case.rsplit("/", 1)[1]
    changed = desk.api("PUT", f"/cases/{key}", json={"title": "Flaps in the rain", "work": "jumper renewed"})
    assert (changed.json()["title"], changed.json()["work"]) == ("Flaps in the rain", "jumper renewed")
    assert desk.api("PUT", f"/cases/{key}", json={"title": "  "}).status_code == 400
    page = desk.api("GET", f"/cases/{key}/page")
    assert page.headers["content-type"].startswith("text/html") and "Flaps in the rain" in page.text
    bundle = desk.api("GET", f"/cases/{key}/bundle")
    names = zipfile.ZipFile(io.BytesIO(bundle.content)).namelist()
    assert bundle.headers["content-type"] == "application/zip" and "SHA256SUMS" in names
    assert names == zipfile.ZipFile(io.BytesIO(desk.keeper.get(f"{case}/bundle.zip").content)).namelist()
    labels = zipfile.ZipFile(io.BytesIO(desk.api("GET", f"/repeaters/{repeater}/corrections").content))
    assert any(name.endswith(".truth.json") for name in labels.namelist())
    back = desk.api("POST", "/cases", content=bundle.content)
    assert back.status_code == 201, back.text
    again = desk.api("GET", f"/cases/{back.json()['id']}").json()
    assert again["case"]["title"] == "Flaps in the rain" and len(again["recordings"]) == 2
    refused = desk.api("POST", "/cases", content=b"no zip")
    assert refused.status_code == 400 and "this is no zip" in refused.json()["error"], refused.text
    assert desk.incoming() == []
    # The same deeds stand in the log.
    done = [line["kind"] for line in desk.api("GET", "/audit").json()]
    assert {"exported a page", "exported a case", "exported corrections", "imported a case"} <= set(done)
    # Analysed again, it comes to the same.
    desk.all_analysed(repeater)
    one = found[DESENSE]["id"]
    before = desk.api("GET", f"/recordings/{one}/check").json()
    assert desk.api("POST", f"/recordings/{one}/analysis").status_code == 202
    desk.all_analysed(repeater)
    assert desk.api("GET", f"/recordings/{one}/check").json() == before
    # A repeater goes with everything, and what another has as well stays.
    assert again["case"]["repeater"] == repeater, "one of the same name is taken for the same"
    other, link = desk.new_repeater(name="QQ0TC, west hill")
    receipt_of(desk.send(link, "kept.wav", (sounds.CORPUS / QUIET).read_bytes()))
    desk.all_analysed(other)
    assert desk.api("DELETE", f"/repeaters/{repeater}").status_code == 204
    assert desk.api("GET", f"/cases/{key}").status_code == 404
    [left] = desk.originals()
    assert left.read_bytes() == (sounds.CORPUS / QUIET).read_bytes()
    assert desk.api("DELETE", f"/repeaters/{other}").status_code == 204
    assert desk.originals() == [] and desk.rows("SELECT COUNT(*) FROM recordings") == [("0",)]


def test_the_log_names_what_is_still_there(desk):
    repeater, case, found, post = case_with_everything(desk)
    one = found[QUIET]["id"]
    post(f"/recording/{one}/correct", label="hand_keying", why="I keyed it")
    lines = lambda: [
        re.sub(r"\s+", " ", re.sub(r"<[^>]*>", "", line)).strip()
        for line in re.findall(r'<div class="what">(.*?)</div>', desk.keeper.get("/audit").text)
    ]
    said = lines()
    assert f"corrected a verdict{QUIET}: hand keying" in said, said
    assert "moved a caseFlapping: confirmed" in said
    assert f'href="/recording/{one}"' in desk.keeper.get("/audit").text
    # A file's name goes with the recording.
    assert desk.api("DELETE", f"/recordings/{one}").status_code == 204
    assert QUIET not in desk.keeper.get("/audit").text
    assert any(line.startswith(f"corrected a verdict{one}") for line in lines())


def whole_repeater(desk, case):
    return desk.api("GET", f"/cases/{case.rsplit('/', 1)[1]}").json()["case"]["repeater"]


def rewritten(content, changes):
    out = io.BytesIO()
    with zipfile.ZipFile(io.BytesIO(content)) as source, zipfile.ZipFile(out, "w") as target:
        for name in source.namelist():
            target.writestr(name, changes.get(name, source.read(name)))
    return out.getvalue()


def test_corrections_leave_as_labelled_data(desk, tmp_path):
    repeater, case, found, post = case_with_everything(desk)
    one, other = found[QUIET]["id"], found[DESENSE]["id"]
    post(f"/recording/{one}/correct", label="hand_keying", why="I keyed it", hang_s="2,5", mode="squelched")
    kept = desk.api("GET", f"/recordings/{one}").json()
    assert (kept["corrected"], kept["corrected_hang_s"], kept["corrected_mode"]) == ("hand_keying", 2.5, "squelched")
    page = desk.keeper.get(f"/recording/{one}").text
    assert "Hang time 2.50" in page and 'value="squelched" selected' in page
    # Neither hang time nor listening mode: the one is not known, the other is what was heard. What
    # could not be analysed has no length, and what settles nothing is no label.
    desk.api("PUT", f"/recordings/{other}/correction", json={"label": "link_loop"})
    link = "/to/" + desk.api("GET", f"/repeaters/{repeater}").json()["send_in"].rsplit("/", 1)[1]
    for name, data, label in [("none.wav", b"RIFF", "hand_keying"), ("open.wav", sounds.short(7), "inconclusive")]:
        receipt_of(desk.send(link, name, data))
        [new] = [r for r in desk.all_analysed(repeater) if r["file_name"] == name]
        desk.api("PUT", f"/recordings/{new['id']}/correction", json={"label": label})
    answer = desk.keeper.get(f"/repeater/{repeater}/corrections.zip")
    bundle = zipfile.ZipFile(io.BytesIO(answer.content))
    truths = {}
    for name in [n for n in bundle.namelist() if n.endswith(".truth.json")]:
        truth = json.loads(bundle.read(name))
        truths[truth["cause"]] = (name.removesuffix(".truth.json"), truth)
    assert set(truths) == {"hand_keying", "link_loop"}, bundle.namelist()
    name, truth = truths["hand_keying"]
    form = json.loads((sounds.CORPUS / "kerchunks-mulaw-8k.truth.json").read_text())
    optional = {"input_s", "keyed_s", "audio_open_s"}
    assert set(form) - optional <= set(truth), "as the corpus has it"
    assert (truth["hang_time_s"], truth["mode"], truth["hysteresis_db"]) == (2.5, "squelched", 2.0)
    assert abs(truth["duration_s"] - form["duration_s"]) < 0.15 and "I keyed it" in truth["description"]
    assert bundle.read(name + ".wav") == (sounds.CORPUS / QUIET).read_bytes()
    _, truth = truths["link_loop"]
    heard = desk.api("GET", f"/recordings/{other}/check").json()
    assert (truth["hang_time_s"], truth["mode"]) == (None, heard["listening"]["mode"])
    # The corpus' own reader takes them, and hears the recordings against them.
    folder = tmp_path / "labelled"
    bundle.extractall(folder)
    words = [PROGRAM, "prove", "--labelled", str(folder)]
    read = subprocess.run(words, capture_output=True, text=True, timeout=300)
    assert read.returncode == 0, read.stderr
    assert "2 recordings: " in read.stdout and "link_loop called self_desense" in read.stdout
    # A case's bundle carries what was stated as well.
    taken = desk.keeper.get(f"{case}/bundle.zip").content
    parts = json.loads(zipfile.ZipFile(io.BytesIO(taken)).read("case.json"))["recordings"]
    stated = {(p["corrected"], p["corrected_hang_s"], p["corrected_mode"]) for p in parts}
    assert stated == {("hand_keying", 2.5, "squelched"), ("link_loop", None, None)}
    files = {"csrf": (None, csrf(desk.keeper.get("/import").text)), "bundle": ("case.zip", taken)}
    assert desk.keeper.post("/import", files=files).status_code == 303
    sql = "SELECT corrected_hang_s, corrected_mode FROM recordings WHERE corrected = 'hand_keying' AND corrected_mode IS NOT NULL"
    assert [(float(s), mode) for s, mode in desk.rows(sql)] == [(2.5, "squelched")] * 2
    # What makes no sense is refused, and taking back takes all of it.
    token = csrf(desk.keeper.get("/account").text)
    for wrong in [{"label": "x"}, {"label": "hand_keying", "hang_s": "soon"}, {"label": "hand_keying", "mode": "x"}]:
        form = {"csrf": token} | wrong
        assert desk.keeper.post(f"/recording/{one}/correct", data=form).status_code == 400, wrong
    for wrong in [{"hang_s": 0}, {"hang_s": "2"}, {"mode": "loud"}]:
        said = {"label": "hand_keying"} | wrong
        assert desk.api("PUT", f"/recordings/{one}/correction", json=said).status_code == 400, wrong
    post(f"/recording/{one}/correct", label="", hang_s="2.5", mode="squelched")
    gone = desk.api("GET", f"/recordings/{one}").json()
    assert gone["corrected"] is gone["corrected_hang_s"] is gone["corrected_mode"] is None


def test_a_correction_is_taken_back_only_by_saying_so(desk):
    repeater, link = desk.new_repeater()
    receipt_of(desk.send(link, "x.wav", sounds.short(3)))
    [one] = desk.all_analysed(repeater)
    path = f"/recordings/{one['id']}"
    said = desk.api("PUT", f"{path}/correction", json={"label": "hand_keying", "why": "my thumb"})
    assert (said.status_code, said.json()["corrected"]) == (200, "hand_keying")
    for nothing in [{}, {"why": "a slip of the program that sends this"}]:
        refused = desk.api("PUT", f"{path}/correction", json=nothing)
        assert refused.status_code == 400 and "label" in refused.json()["error"], refused.text
    form = {"csrf": csrf(desk.keeper.get("/account").text), "why": "no cause was sent"}
    assert desk.keeper.post(f"/recording/{one['id']}/correct", data=form).status_code == 400
    kept = desk.api("GET", path).json()
    assert (kept["corrected"], kept["correction_note"]) == ("hand_keying", "my thumb")
    back = desk.api("PUT", f"{path}/correction", json={"label": None})
    assert (back.status_code, back.json()["corrected"]) == (200, None)
    described = desk.browser().get("/api/v1/openapi.json").json()["components"]["schemas"]
    assert "label" in described["CorrectionIn"]["required"]
    assert "null" in str(described["CorrectionIn"]["properties"]["label"])


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
