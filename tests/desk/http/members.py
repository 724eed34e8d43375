"""Members who go on sending while a desk dies again and again."""

import hashlib
import random
import threading
import time

import httpx
import sounds
from desk import wait_until


def unbroken(answer):
    """A desk that says that it is broken just now is asked again, like one that says nothing."""
    if answer.status_code >= 500:
        raise httpx.ReadError(f"{answer.status_code}: {answer.text[:200]}")
    return answer


# Members who send at the same time.
AT_ONCE = 3


def send_through(desk, link, name, lives, one_life):
    """Members go on sending through so many lives of the desk. `one_life(n, another_acknowledged)`
    ends the n-th and begins the next; `another_acknowledged(every)` waits for an upload that was
    acknowledged in this life. Gives every acknowledged receipt with its digest."""
    members = [Members(desk, link, f"{name} {seed}") for seed in range(AT_ONCE)]
    for member in members:
        member.start()
    count = lambda: sum(len(member.acknowledged) for member in members)
    for n in range(lives):
        so_far = count()
        one_life(n, lambda every: wait_until(lambda: count() > so_far, every=every))
    for member in members:
        member.ended = True
    for member in members:
        member.join(60)
    return {r: sha for member in members for r, sha in member.acknowledged.items()}


class Members(threading.Thread):
    """Members who send, in one request or in parts, and write down what was acknowledged."""

    def __init__(self, desk, link, seed):
        super().__init__(daemon=True)
        self.desk, self.link, self.seed = desk, link, seed
        self.acknowledged, self.ended = {}, False

    def run(self):
        draw = random.Random(self.seed)
        n = 0
        while not self.ended:
            n += 1
            name = f"{self.seed}-{n}.wav"
            data = sounds.short(f"{self.seed} {n}", draw.choice([0.5, 2, 8]))
            try:
                if draw.random() < 0.5:
                    receipt = self.whole(name, data)
                else:
                    receipt = self.in_parts(name, data)
            except (httpx.TransportError, TimeoutError):
                time.sleep(0.05)
                continue
            if receipt:
                self.acknowledged[receipt] = hashlib.sha256(data).hexdigest()

    def whole(self, name, data):
        answer = unbroken(self.desk.send(self.link, name, data))
        assert answer.status_code == 303, answer.text
        return answer.headers["location"]

    def in_parts(self, name, data):
        """Goes on after every break, as the send-in page's script does."""
        for _ in range(40):
            if self.ended:
                return None
            try:
                return self.parts(name, data)
            except httpx.TransportError:
                time.sleep(0.1)
        # Given up for good: the next sound is another upload.
        self.at = None
        raise TimeoutError

    at = None

    def parts(self, name, data):
        with httpx.Client(base_url=self.desk.url, timeout=20) as member:
            if self.at is None:
                form = {"name": name, "bytes": len(data)}
                begun = unbroken(member.post(self.link + "/uploads", data=form))
                assert begun.status_code == 201, begun.text
                self.at = f"{self.link}/uploads/{begun.json()['upload']}"
            while (offset := self.offset(member)) < len(data):
                part = data[offset : offset + 20_000]
                headers = {"upload-offset": str(offset)}
                member.patch(self.at, content=part, headers=headers)
            done = unbroken(member.post(self.at + "/finish", data={"place": "hill"}))
            if done.status_code == 409:
                return self.parts(name, data)
            assert done.status_code == 200, done.text
            self.at = None
            return done.json()["receipt"]

    def offset(self, member):
        answer = unbroken(member.head(self.at))
        assert answer.is_success, (answer.status_code, self.at)
        return int(answer.headers["upload-offset"])
