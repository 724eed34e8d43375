"use strict";
// Asks how far the analysis is and shows the verdict when it is there.
(() => {
  const box = document.querySelector("[data-state]");
  if (!box) return;
  const line = box.querySelector(".progress-words");
  const bar = box.querySelector("progress");
  const whose = box.dataset.whose;
  let pause = 1000;

  // What somebody is just writing must not go with the page.
  let written = false;
  addEventListener("input", () => { written = true; });
  const show = () => {
    if (!written) {
      location.reload();
      return;
    }
    const link = document.createElement("a");
    link.href = location.pathname;
    link.textContent = "Show it";
    line.replaceChildren("It is done. Keep what you are writing first. ", link);
    bar.value = 1;
  };

  const tell = (now) => {
    if (now.state === "working") {
      const share = typeof now.share === "number" ? now.share : null;
      if (share === null) bar.removeAttribute("value");
      else bar.value = share;
      line.textContent = share === null
        ? "Listening to it now."
        : `Listening to it now: ${now.estimated ? "about " : ""}${Math.floor(100 * share)} %.`;
    } else {
      bar.removeAttribute("value");
      line.textContent = now.ahead > 1
        ? `${now.ahead} recordings are ahead of ${whose}.`
        : now.ahead === 1 ? `One recording is ahead of ${whose}.` : "It is next.";
    }
  };

  const ask = async () => {
    try {
      const answer = await fetch(box.dataset.state, { headers: { accept: "application/json" } });
      if (answer.ok) {
        const now = await answer.json();
        if (now.state === "done" || now.state === "failed") {
          show();
          return;
        }
        tell(now);
        pause = Math.min(pause * 1.2, 6000);
      } else {
        pause = Math.min(pause * 2, 30000);
      }
    } catch {
      pause = Math.min(pause * 2, 30000);
    }
    setTimeout(ask, pause);
  };
  setTimeout(ask, pause);
})();
