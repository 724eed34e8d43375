"use strict";
// The send-in page: which sound is sent, and how far it is.
(() => {
  const form = document.querySelector("form.send");
  if (!form) return;
  const chooser = form.querySelector("#recording");
  const sending = form.querySelector(".sending");
  const bar = sending.querySelector("progress");
  const line = sending.querySelector(".sending-words");
  const now = sending.querySelector("[data-now]");
  const cancel = sending.querySelector("[data-cancel]");
  const wrong = form.querySelector(".send-wrong");
  const button = form.querySelector("button.main");
  const page = { minutes: Number(form.dataset.minutes), most: Number(form.dataset.most) };
  let recorded = null;
  let upload = null;

  const say = (text) => {
    wrong.textContent = text;
    wrong.hidden = !text;
    if (text) wrong.scrollIntoView({ block: "nearest" });
  };

  const recorder = makeRecorder(form.querySelector(".recorder"), page, (file) => {
    recorded = file;
    chooser.required = !file;
    if (file) chooser.value = "";
    say("");
  });
  chooser.addEventListener("change", () => {
    if (!chooser.files.length) return;
    say("");
    if (recorded) recorder.forget();
  });

  const percent = (share) => `${Math.floor(100 * share)} %`;
  let share = 0;
  const progress = (value) => {
    share = value;
    bar.value = value;
    line.textContent = value < 1 ? `Sending: ${percent(value)}` : "Sent. Waiting for the receipt.";
  };
  let countdown = null;
  const wait = (seconds, busy) => {
    clearInterval(countdown);
    now.hidden = !seconds;
    if (!seconds) return progress(share);
    const why = busy ? "The desk cannot take it just now." : "No connection.";
    let left = seconds;
    const tell = () => {
      line.textContent = `${why} What has arrived is kept; trying again in ${left} s.`;
      left = Math.max(0, left - 1);
    };
    tell();
    countdown = setInterval(tell, 1000);
  };

  const busy = (is) => {
    sending.hidden = !is;
    button.hidden = is;
    if (is) addEventListener("beforeunload", hold);
    else removeEventListener("beforeunload", hold);
  };
  const hold = (event) => event.preventDefault();

  form.addEventListener("submit", async (event) => {
    event.preventDefault();
    event.stopImmediatePropagation();
    if (upload) return;
    if (recorder.isRecording()) return say("Stop the recording first, then send it in.");
    const file = recorded ?? chooser.files[0];
    if (!file) return say("Choose a recording or make one first.");
    if (!file.size) return say(`${file.name} is empty. Choose another file.`);
    if (file.size > page.most) {
      return say(`${file.name} is larger than ${form.dataset.mostWords}. Send a shorter piece.`);
    }
    say("");
    const remarks = {};
    for (const name of ["place", "set", "squelch", "noticed", "sender"]) {
      remarks[name] = form.elements[name].value;
    }
    upload = makeUpload({
      uploads: form.dataset.uploads,
      chunk: Number(form.dataset.chunk),
      csrf: form.elements.csrf?.value,
      file,
      onProgress: progress,
      onWait: wait,
    });
    busy(true);
    progress(0);
    sending.scrollIntoView({ block: "center" });
    try {
      const receipt = await upload.send(remarks);
      if (recorded) await keptPieces.clear();
      busy(false);
      location.assign(receipt);
    } catch (error) {
      busy(false);
      say(error.message === "stopped"
        ? "Stopped. What was sent so far is kept for a day; press again to go on."
        : error.message);
    }
    upload = null;
  });

  now.addEventListener("click", () => upload?.now());
  cancel.addEventListener("click", () => upload?.stop());
  addEventListener("online", () => upload?.now());
})();
