"use strict";
(() => {
  const audio = document.querySelector("audio");
  if (!audio) return;
  const now = document.querySelector(".now");
  const areas = [...document.querySelectorAll(".tb-seek")].map((rect) => {
    const value = (name) => Number(rect.getAttribute(name));
    const head = document.createElementNS("http://www.w3.org/2000/svg", "line");
    head.setAttribute("class", "tb-head");
    head.setAttribute("visibility", "hidden");
    rect.after(head);
    return {
      rect, head,
      t0: value("data-t0"), t1: value("data-t1"),
      x: value("x"), y: value("y"), w: value("width"), h: value("height"),
    };
  });

  const go = (t) => {
    audio.currentTime = Math.max(0, t);
    const playing = audio.play();
    if (playing) playing.catch(() => {});
  };

  for (const area of areas) {
    area.rect.addEventListener("click", (event) => {
      const svg = area.rect.ownerSVGElement;
      const point = new DOMPoint(event.clientX, event.clientY);
      const at = point.matrixTransform(svg.getScreenCTM().inverse());
      const share = Math.min(1, Math.max(0, (at.x - area.x) / area.w));
      go(area.t0 + share * (area.t1 - area.t0));
    });
  }
  for (const moment of document.querySelectorAll(".tb-moment, button[data-t]")) {
    moment.addEventListener("click", () => go(Number(moment.getAttribute("data-t"))));
  }

  const follow = () => {
    const t = audio.currentTime;
    for (const area of areas) {
      const within = t >= area.t0 && t <= area.t1;
      const x = area.x + ((t - area.t0) / (area.t1 - area.t0)) * area.w;
      area.head.setAttribute("visibility", within ? "visible" : "hidden");
      if (!within) continue;
      area.head.setAttribute("x1", x);
      area.head.setAttribute("x2", x);
      area.head.setAttribute("y1", area.y);
      area.head.setAttribute("y2", area.y + area.h);
    }
  };
  audio.addEventListener("timeupdate", follow);
  audio.addEventListener("seeked", follow);

  const track = audio.textTracks[0];
  if (track) {
    track.mode = "hidden";
    track.addEventListener("cuechange", () => {
      now.textContent = [...track.activeCues].map((cue) => cue.text).join(", ");
    });
  }

  audio.addEventListener("error", () => {
    document.querySelector(".failed").hidden = false;
    document.querySelector(".click").hidden = true;
  });
})();
