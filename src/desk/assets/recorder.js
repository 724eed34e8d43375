"use strict";
// Records right on the page. Pieces go into the browser's own store as they come, so that a page
// that is closed or a browser that dies loses no more than a second.
const keptPieces = (() => {
  const NAME = "tailbeat-recording";
  const open = () => new Promise((yes, no) => {
    const asked = indexedDB.open(NAME, 1);
    asked.onupgradeneeded = () => asked.result.createObjectStore("pieces", { autoIncrement: true });
    asked.onsuccess = () => yes(asked.result);
    asked.onerror = () => no(asked.error);
  });
  const done = (request) => new Promise((yes, no) => {
    request.onsuccess = () => yes(request.result);
    request.onerror = () => no(request.error);
  });
  const store = async (mode) => (await open()).transaction("pieces", mode).objectStore("pieces");
  // A browser that keeps nothing (a private window) still records.
  const orNothing = (work) => work.catch(() => null);
  return {
    add: (piece) => orNothing(store("readwrite").then((s) => done(s.add(piece)))),
    clear: () => orNothing(store("readwrite").then((s) => done(s.clear()))),
    all: () => orNothing(store("readonly").then((s) => done(s.getAll()))),
  };
})();

const makeRecorder = (box, page, onChange) => {
  const part = (name) => box.querySelector(name);
  const ready = part(".ready");
  const running = part(".running");
  const taken = part(".taken");
  const trouble = part(".notice");
  const BEST_S = 180;
  const KINDS = ["audio/webm;codecs=opus", "audio/ogg;codecs=opus", "audio/mp4"];
  let media = null;
  let stream = null;
  let sound = null;
  let awake = null;
  let begun = 0;
  let pieces = [];
  let file = null;

  const show = (which) => {
    for (const one of [ready, running, taken]) one.hidden = one !== which;
  };
  const said = (text) => {
    trouble.textContent = text;
    trouble.hidden = !text;
  };
  const clock = (s) => `${Math.floor(s / 60)}:${String(Math.floor(s % 60)).padStart(2, "0")}`;

  const take = (blob, at, seconds) => {
    const ending = blob.type.includes("mp4") ? "m4a" : blob.type.includes("ogg") ? "ogg" : "webm";
    const stamp = new Date(at).toISOString().slice(0, 19).replace(/:/g, "-") + "Z";
    file = new File([blob], `recorded-${stamp}.${ending}`, { type: blob.type, lastModified: at });
    part(".taken-words").textContent = seconds === null
      ? "A recording made here earlier was not sent yet. Listen to it, then send it in."
      : `Recorded ${clock(seconds)}. Listen to it if you like, then send it in.`;
    const link = URL.createObjectURL(file);
    part("audio").src = link;
    part("[data-copy-file]").href = link;
    part("[data-copy-file]").download = file.name;
    show(taken);
    onChange(file);
  };

  const measure = () => {
    const look = new AudioContext();
    const analyser = look.createAnalyser();
    look.createMediaStreamSource(stream).connect(analyser);
    const samples = new Float32Array(analyser.fftSize);
    const meter = part("meter");
    const tell = part(".tell");
    let silentSince = Date.now();
    const tick = setInterval(() => {
      analyser.getFloatTimeDomainData(samples);
      let peak = 0;
      for (const sample of samples) peak = Math.max(peak, Math.abs(sample));
      meter.value = Math.min(1, Math.sqrt(peak));
      const seconds = (Date.now() - begun) / 1000;
      part(".time").textContent = clock(seconds);
      if (peak > 0.01) silentSince = Date.now();
      const words = Date.now() - silentSince > 15000
        ? "Nothing is heard: turn the radio up or hold the telephone closer."
        : peak > 0.98
          ? "Too loud: hold the telephone a little farther away."
          : seconds < BEST_S
            ? "It records. Three minutes of it are best."
            : "That is enough; you may stop.";
      if (tell.textContent !== words) tell.textContent = words;
      if (seconds > page.minutes * 60) stop();
    }, 250);
    return () => {
      clearInterval(tick);
      look.close();
    };
  };

  const start = async () => {
    said("");
    try {
      // What a telephone does to please the ear spoils what is to be measured.
      stream = await navigator.mediaDevices.getUserMedia({
        audio: { echoCancellation: false, noiseSuppression: false, autoGainControl: false },
      });
    } catch (error) {
      said(error.name === "NotAllowedError"
        ? "The browser may not use the microphone. Allow it for this page, or choose a file above."
        : "No microphone answers. Choose a file above instead.");
      return;
    }
    const kind = KINDS.find((one) => MediaRecorder.isTypeSupported(one));
    media = new MediaRecorder(stream, { mimeType: kind, audioBitsPerSecond: 64000 });
    pieces = [];
    await keptPieces.clear();
    begun = Date.now();
    const stopMeasuring = measure();
    media.addEventListener("dataavailable", (event) => {
      if (!event.data.size) return;
      pieces.push(event.data);
      keptPieces.add({ at: begun, blob: event.data });
    });
    media.addEventListener("stop", () => {
      stopMeasuring();
      for (const track of stream.getTracks()) track.stop();
      awake?.release().catch(() => {});
      take(new Blob(pieces, { type: media.mimeType }), begun, (Date.now() - begun) / 1000);
    });
    media.start(1000);
    show(running);
    part("[data-stop]").focus();
    awake = await navigator.wakeLock?.request("screen").catch(() => null);
  };

  const stop = () => {
    if (media?.state === "recording") media.stop();
  };

  const forget = async () => {
    file = null;
    await keptPieces.clear();
    part("audio").removeAttribute("src");
    show(ready);
    onChange(null);
  };

  part("[data-record]").addEventListener("click", start);
  part("[data-stop]").addEventListener("click", stop);
  part("[data-again]").addEventListener("click", () => {
    forget();
    part("[data-record]").focus();
  });

  if (navigator.mediaDevices?.getUserMedia && window.MediaRecorder) {
    box.hidden = false;
    keptPieces.all().then((kept) => {
      if (!kept?.length || file || media) return;
      const blobs = kept.map((one) => one.blob);
      take(new Blob(blobs, { type: blobs[0].type }), kept[0].at, null);
    });
  }
  return {
    forget,
    isRecording: () => media?.state === "recording",
  };
};
