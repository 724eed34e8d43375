"use strict";
// Sends a file in pieces and goes on where it was after a broken connection, a closed page or a
// telephone that fell asleep: the server says how much it has.
const makeUpload = ({ uploads, chunk, csrf, file, onProgress, onWait }) => {
  const memory = `tailbeat-upload ${uploads} ${file.name} ${file.size} ${file.lastModified}`;
  const LONGEST_WAIT_S = 30;
  let stopped = false;
  let request = null;
  let busy = false;
  let wake = null;

  class Refused extends Error {}

  const headers = (more) => (csrf ? { "x-csrf": csrf, ...more } : more);
  const words = (text, status) => {
    try {
      const said = JSON.parse(text).error;
      if (said) return said.message ?? said;
    } catch { /* no JSON: the status has to do */ }
    return `The desk answered ${status}. Try again in a few minutes.`;
  };
  // Answers that no repetition changes.
  const isFinal = (status) => [400, 403, 404, 410, 411, 413, 415, 422].includes(status);

  const ask = (method, address, body, more = {}, progress = null) => new Promise((yes, no) => {
    const xhr = new XMLHttpRequest();
    request = xhr;
    xhr.open(method, address);
    for (const [name, value] of Object.entries(headers(more))) xhr.setRequestHeader(name, value);
    if (progress) xhr.upload.addEventListener("progress", (event) => progress(event.loaded));
    xhr.addEventListener("load", () => {
      busy = xhr.status >= 500;
      yes(xhr);
    });
    for (const name of ["error", "timeout"]) {
      xhr.addEventListener(name, () => {
        busy = false;
        no(new Error("connection"));
      });
    }
    xhr.addEventListener("abort", () => no(new Error("stopped")));
    xhr.timeout = 60000;
    xhr.send(body);
  });

  const pause = (seconds) => new Promise((yes) => {
    const timer = setTimeout(yes, seconds * 1000);
    wake = () => {
      clearTimeout(timer);
      yes();
    };
  });

  // Again and again, until it is answered or can never be.
  const stubbornly = async (work) => {
    for (let tries = 0; ; tries += 1) {
      try {
        const answer = await work();
        if (answer !== null) return answer;
      } catch (error) {
        if (stopped || error instanceof Refused) throw error;
      }
      if (stopped) throw new Error("stopped");
      const seconds = Math.min(2 ** tries, LONGEST_WAIT_S);
      onWait(seconds, busy);
      await pause(seconds);
      if (stopped) throw new Error("stopped");
      onWait(0);
    }
  };

  const begin = () => stubbornly(async () => {
    const form = new URLSearchParams({ name: file.name, bytes: String(file.size) });
    const answer = await ask("POST", uploads, form);
    if (answer.status === 201 || answer.status === 200) {
      const { upload } = JSON.parse(answer.responseText);
      localStorage.setItem(memory, upload);
      return upload;
    }
    if (isFinal(answer.status)) throw new Refused(words(answer.responseText, answer.status));
    return null;
  });

  // How much the server has, or `false` if it does not know this upload any more.
  const offsetOf = (upload) => stubbornly(async () => {
    const answer = await ask("HEAD", `${uploads}/${upload}`, null);
    if (answer.status === 404 || answer.status === 410) return false;
    const offset = Number(answer.getResponseHeader("upload-offset") ?? NaN);
    return answer.status < 300 && Number.isFinite(offset) ? offset : null;
  });

  const piece = async (upload, offset) => {
    const end = Math.min(offset + chunk, file.size);
    const answer = await ask(
      "PATCH",
      `${uploads}/${upload}`,
      file.slice(offset, end),
      { "upload-offset": String(offset), "content-type": "application/partial-upload" },
      (loaded) => onProgress((offset + loaded) / file.size),
    );
    if (answer.status < 300 || answer.status === 409) {
      const now = Number(answer.getResponseHeader("upload-offset") ?? NaN);
      return Number.isFinite(now) ? now : null;
    }
    if (isFinal(answer.status)) throw new Refused(words(answer.responseText, answer.status));
    return null;
  };

  const finish = (upload, remarks) => stubbornly(async () => {
    const answer = await ask("POST", `${uploads}/${upload}/finish`, new URLSearchParams(remarks));
    if (answer.status < 300) {
      localStorage.removeItem(memory);
      return JSON.parse(answer.responseText).receipt;
    }
    if (isFinal(answer.status)) throw new Refused(words(answer.responseText, answer.status));
    return null;
  });

  const send = async (remarks) => {
    try {
      let upload = localStorage.getItem(memory);
      let offset = upload ? await offsetOf(upload) : false;
      if (offset === false) {
        upload = await begin();
        offset = 0;
      }
      onProgress(offset / file.size);
      while (offset < file.size) {
        const at = offset;
        let asked = false;
        offset = await stubbornly(async () => {
          // After a break the server may have more than this page was told.
          const from = asked ? await offsetOf(upload) : at;
          asked = true;
          if (from === false) throw new Refused("The desk has lost the beginning. Send it once more.");
          onProgress(from / file.size);
          return from < file.size ? piece(upload, from) : from;
        });
        onProgress(offset / file.size);
      }
      return await finish(upload, remarks);
    } catch (error) {
      if (error instanceof Refused) localStorage.removeItem(memory);
      throw error;
    }
  };

  return {
    send,
    now: () => wake?.(),
    stop: () => {
      stopped = true;
      request?.abort();
      wake?.();
    },
  };
};
