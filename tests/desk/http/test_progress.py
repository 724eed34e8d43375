"""How far an analysis is: said by the analysis, kept with the lease, shown by every page that waits."""

import io
import re
import subprocess
import wave

import pytest
import sounds
from desk import receipt_of, wait_until

# So long that its analysis can be watched on any machine: how far it is gets told once a second, and a
# quick machine hears an hour in three.
MINUTES = 120
CODED_MINUTES = 240


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
        return part.read_bytes() * (CODED_MINUTES * 6)
    # As it is streamed: the part's own length would stand in the header otherwise.
    again = [*ffmpeg, "-stream_loop", str(CODED_MINUTES * 6 - 1), "-i", part, "-c", "copy", "-f", "webm", "-live", "1", "-"]
    return subprocess.run(again, capture_output=True, check=True).stdout


@pytest.mark.parametrize("kind", ["webm", "aac", "mp3"])
def test_where_no_length_is_stated_it_is_estimated_and_said_to_be(desk, kind, tmp_path):
    repeater, link = desk.new_repeater()
    receipt = receipt_of(desk.send(link, f"long.{kind}", without_length(kind, tmp_path)))
    said, shown = [], []

    def ended():
        said.append(desk.browser().get(f"{receipt}/state").json())
        if said[-1]["share"]:
            shown.append(desk.browser().get(receipt).text)
        return said[-1]["state"] not in ("waiting", "working")

    wait_until(ended, 180, 0.2)
    assert said[-1]["state"] == "done"
    told = [now for now in said if now["share"] is not None]
    shares = [now["share"] for now in told]
    # The end is certain.
    assert all(now["estimated"] for now in told if now["share"] < 1)
    # It grows with the work, and does not jump to the end because the file's end was looked at.
    assert len(set(shares)) >= 3 and shares == sorted(shares) and shares[0] < 0.7, shares
    assert any(re.search(r"Listening to it now: about \d+ %\.", page) for page in shown)


def test_an_analysis_says_how_far_it_is(desk):
    repeater, link = desk.new_repeater()
    receipt = receipt_of(desk.send(link, "long.wav", long_recording()))
    [one] = desk.recordings(repeater)
    page, api = f"/recording/{one['id']}", f"/recordings/{one['id']}/progress"
    said = []

    def ended():
        now = desk.browser().get(f"{receipt}/state").json()
        said.append(now)
        return now["state"] not in ("waiting", "working")

    def under_way():
        ended()
        return said[-1]["share"]

    wait_until(under_way, 60)
    # The same on the keeper's page, to its script, to programs, and in the row beside the lease.
    shown = {
        "receipt": desk.browser().get(receipt).text,
        "recording": desk.keeper.get(page).text,
    }
    state = desk.keeper.get(f"{page}/state").json()
    told = desk.api("GET", api).json()
    [(share, lease, leased)] = desk.rows("SELECT share, lease, state FROM jobs")
    assert (int(lease), leased) == (1, "leased") and 0 < float(share) <= 1
    for answer in (state, told):
        assert answer["state"] == "working" and answer["ahead"] is None and 0 < answer["share"] <= 1
        assert answer["estimated"] is False, "the header states its length"
    for name, text in shown.items():
        assert 0 < float(re.search(r'<progress max="1" value="([0-9.]+)"', text)[1]) <= 1, name
        assert re.search(r"Listening to it now: \d+ %\.", text), name
        # Without scripts the browser looks again; with them the script asks.
        assert re.search(r'<noscript><meta http-equiv="refresh" content="\d+"', text), name
        assert "/assets/progress." in text, name
    # Whoever writes something may stop that.
    still = desk.keeper.get(f"{page}?still=yes").text
    assert "http-equiv" not in still and "/assets/progress." not in still and "Look again" in still
    wait_until(ended, 180, 0.3)
    shares = [now["share"] for now in said if now["share"] is not None]
    assert len(set(shares)) >= 2 and shares == sorted(shares), shares
    assert said[-1] == {"state": "done", "ahead": None, "share": None, "estimated": False}
    assert desk.api("GET", api).json() == said[-1]
    done = desk.keeper.get(page).text
    assert "http-equiv" not in done and "<progress" not in done
    # Nobody without the link or an account learns it.
    assert desk.browser().get(f"{page}/state").status_code == 303
    assert desk.browser().get("/receipt/abc/state").status_code == 404
