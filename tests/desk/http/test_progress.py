"""How far an analysis is: said by the analysis, kept with the lease, shown by every page that waits."""

import io
import re
import subprocess
import wave

import pytest
import sounds
from desk import csrf, receipt_of, wait_until
from pace import Pace

# So long that its analysis says several times how far it is; the test holds it in between.
MINUTES = 30


def long_recording():
    out = io.BytesIO()
    with wave.open(io.BytesIO(sounds.short(3, 10))) as part, wave.open(out, "wb") as whole:
        whole.setparams(part.getparams())
        whole.writeframes(part.readframes(part.getnframes()) * (MINUTES * 6))
    return out.getvalue()


def without_length(kind, folder):
    """The same, in a form that states no length: as a browser's recorder leaves it, raw AAC, or MP3
    without the header that counts its frames."""
    codec = {
        "webm": ["-c:a", "libopus", "-b:a", "16k"],
        "aac": ["-c:a", "aac", "-b:a", "24k"],
        # Each part with the same number of bits, yet no frame that says how many there are.
        "mp3": ["-c:a", "libmp3lame", "-ar", "16000", "-b:a", "24k", "-write_xing", "0", "-id3v2_version", "0"],
    }[kind]
    part = folder / f"part.{kind}"
    ffmpeg = ["ffmpeg", "-v", "error"]
    subprocess.run([*ffmpeg, "-i", "-", *codec, part], input=sounds.short(3, 10), check=True)
    if kind in ("aac", "mp3"):
        return part.read_bytes() * (MINUTES * 6)
    # As it is streamed: the part's own length would stand in the header otherwise.
    again = [*ffmpeg, "-stream_loop", str(MINUTES * 6 - 1), "-i", part, "-c", "copy", "-f", "webm", "-live", "1", "-"]
    return subprocess.run(again, capture_output=True, check=True).stdout


def further(desk, receipt, than):
    """The state, once it says that more is done."""
    def seen():
        now = desk.browser().get(f"{receipt}/state").json()
        assert now["state"] in ("waiting", "working"), "held before its end"
        return now if (now["share"] or 0) > than else None

    return seen


@pytest.mark.parametrize("kind", ["webm", "aac", "mp3"])
def test_where_no_length_is_stated_it_is_estimated_and_said_to_be(desk, kind, tmp_path):
    repeater, link = desk.new_repeater()
    content, told = without_length(kind, tmp_path), []
    with Pace(desk.process.pid) as pace:
        receipt = receipt_of(desk.send(link, f"long.{kind}", content))
        for _ in range(3):
            told.append(pace.until(further(desk, receipt, told[-1]["share"] if told else 0)))
        page = desk.browser().get(receipt).text
    # It grows with the work, and does not jump to the end because the file's end was looked at.
    shares = [now["share"] for now in told]
    assert shares[0] < 0.7 and shares[-1] < 1, shares
    assert all(now["state"] == "working" and now["estimated"] for now in told), told
    assert re.search(r"Listening to it now: about \d+ %\.", page)
    [done] = desk.all_analysed(repeater)
    # Each of its parts has what an encoder puts around it.
    assert done["state"] == "done" and abs(done["duration_s"] / (MINUTES * 60) - 1) < 0.03


def test_an_analysis_says_how_far_it_is(desk):
    repeater, link = desk.new_repeater()
    with Pace(desk.process.pid) as pace:
        receipt = receipt_of(desk.send(link, "long.wav", long_recording()))
        [one] = desk.recordings(repeater)
        page, api = f"/recording/{one['id']}", f"/recordings/{one['id']}/progress"
        first = pace.until(further(desk, receipt, 0))
        # The same on the keeper's page, to its script, to programs, and in the row beside the lease.
        shown = {
            "receipt": desk.browser().get(receipt).text,
            "recording": desk.keeper.get(page).text,
        }
        state = desk.keeper.get(f"{page}/state").json()
        told = desk.api("GET", api).json()
        [(share, lease, leased)] = desk.rows("SELECT share, lease, state FROM jobs")
        assert (int(lease), leased) == (1, "leased") and float(share) == first["share"]
        assert first["estimated"] is False, "the header states its length"
        assert first["state"] == "working" and first["ahead"] is None and 0 < first["share"] < 1
        assert state == told == first
        for name, text in shown.items():
            bar = re.search(r'<progress max="1" value="([0-9.]+)"', text)
            assert abs(float(bar[1]) - first["share"]) < 0.01, name
            assert re.search(r"Listening to it now: \d+ %\.", text), name
            # Without scripts the browser looks again; with them the script asks.
            assert re.search(r'<noscript><meta http-equiv="refresh" content="\d+"', text), name
            assert "/assets/progress." in text, name
        # Whoever writes something may stop that.
        still = desk.keeper.get(f"{page}?still=yes").text
        assert "http-equiv" not in still and "/assets/progress." not in still and "Look again" in still
        # Nor does the page that a form comes back on take away what was typed.
        form = {"csrf": csrf(still), "text": " "}
        refused = desk.keeper.post(f"{page}/note", data=form)
        assert refused.status_code == 400 and "http-equiv" not in refused.text
        assert "/assets/progress." not in refused.text and "Look again" in refused.text
        pace.until(further(desk, receipt, first["share"]))
    done = {"state": "done", "ahead": None, "share": None, "estimated": False}
    wait_until(lambda: desk.browser().get(f"{receipt}/state").json() == done)
    assert desk.api("GET", api).json() == done
    page_then = desk.keeper.get(page).text
    assert "http-equiv" not in page_then and "<progress" not in page_then
    # Nobody without the link or an account learns it.
    assert desk.browser().get(f"{page}/state").status_code == 303
    assert desk.browser().get("/receipt/abc/state").status_code == 404
