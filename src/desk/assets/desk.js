"use strict";
// Small helps on every page; each page works without them.
(() => {
  // Moments in the reader's own time.
  const clock = new Intl.DateTimeFormat(undefined, { dateStyle: "medium", timeStyle: "short" });
  for (const moment of document.querySelectorAll("time[datetime]")) {
    const at = new Date(moment.dateTime);
    if (Number.isNaN(at.getTime())) continue;
    moment.title = moment.textContent;
    moment.textContent = clock.format(at);
  }

  // Secrets are copied by one press.
  for (const holder of document.querySelectorAll("[data-copy]")) {
    if (!navigator.clipboard) break;
    const button = document.createElement("button");
    button.type = "button";
    button.className = "slim";
    button.textContent = "Copy";
    const text = holder.textContent.trim();
    button.addEventListener("click", () => {
      navigator.clipboard.writeText(text).then(
        () => { button.textContent = "Copied"; },
        () => { button.textContent = "Copying is not allowed here"; },
      );
    });
    holder.after(button);
  }

  // Another row like the last one, emptied.
  for (const rows of document.querySelectorAll("[data-rows]")) {
    const button = document.createElement("button");
    button.type = "button";
    button.className = "slim";
    button.textContent = rows.dataset.rows;
    button.addEventListener("click", () => {
      const last = rows.lastElementChild;
      if (!last) return;
      const more = last.cloneNode(true);
      for (const field of more.querySelectorAll("input")) field.value = "";
      rows.append(more);
      more.querySelector("input, select")?.focus();
    });
    (rows.closest("table") ?? rows).after(button);
  }

  // A form is not sent twice by an impatient thumb.
  for (const form of document.querySelectorAll("form[method=post]")) {
    form.addEventListener("submit", () => {
      setTimeout(() => {
        for (const button of form.querySelectorAll("button[type=submit], button:not([type])")) {
          button.disabled = true;
        }
      }, 0);
    });
  }
  addEventListener("pageshow", (event) => {
    if (!event.persisted) return;
    for (const button of document.querySelectorAll("button:disabled")) button.disabled = false;
  });

  document.querySelector("[data-print]")?.addEventListener("click", () => print());
})();
