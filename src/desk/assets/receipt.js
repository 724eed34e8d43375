"use strict";
// Asks how far the analysis is and shows the verdict when it is there.
(() => {
  const box = document.querySelector("[data-state]");
  if (!box) return;
  const line = box.querySelector(".progress-words");
  const bar = box.querySelector("progress");
  let pause = 1000;
  const ask = async () => {
    try {
      const answer = await fetch(box.dataset.state, { headers: { accept: "application/json" } });
      if (answer.ok) {
        const now = await answer.json();
        if (now.state === "done" || now.state === "failed") {
          location.reload();
          return;
        }
        if (now.state === "working") {
          line.textContent = "Listening to it now.";
          if (typeof now.share === "number") bar.value = now.share;
        } else if (now.ahead > 0) {
          line.textContent = now.ahead === 1
            ? "One recording is ahead of yours."
            : `${now.ahead} recordings are ahead of yours.`;
        }
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
