"use strict";
// Swaps an answer when the next is there, never a form; finds lines while letters are typed; keeps what was typed
// while the counter cannot be reached. Everything works without it.
(() => {
  const waiting = () => [...document.querySelectorAll("section.answer[data-waiting]")];
  let tries = 0, touched = -Infinity;
  for (const kind of ["pointerdown", "pointerup", "keydown", "scroll"]) {
    addEventListener(kind, () => { touched = performance.now(); }, { passive: true });
  }
  // a drawing comes when what is folded round it is opened
  async function drawn(fold) {
    const way = fold?.open && fold.querySelector("a[data-drawn]");
    if (!way) return;
    try {
      const reply = await fetch(way.href, { credentials: "same-origin" });
      const next = reply.ok && new DOMParser().parseFromString(await reply.text(), "text/html").getElementById(way.dataset.drawn);
      if (next) document.getElementById(way.dataset.drawn)?.replaceWith(document.adoptNode(next));
    } catch { /* the counter can't be reached just now: the way to it stays */ }
  }
  for (const fold of document.querySelectorAll("details")) fold.addEventListener("toggle", () => drawn(fold));
  async function look() {
    if (performance.now() - touched < 1000) { setTimeout(look, 300); return; } // nothing moves while a hand is at the page
    if (document.hidden) { setTimeout(look, 2000); return; }
    try {
      const reply = await fetch(location.href, { headers: { "X-Answers": "only" }, credentials: "same-origin" });
      if (reply.ok) {
        const next = new DOMParser().parseFromString(await reply.text(), "text/html");
        for (const old of waiting()) {
          const fresh = next.getElementById(old.id);
          if (!fresh || fresh.hasAttribute("data-waiting")) continue;
          if (old.contains(document.activeElement) || performance.now() - touched < 1000) continue; // never under the finger
          old.replaceWith(document.adoptNode(fresh));
          drawn(fresh.closest("details"));
        }
      }
    } catch { /* the counter can't be reached just now */ }
    if (waiting().length && ++tries < 400) setTimeout(look, tries < 20 ? 700 : 3000);
  }
  if (waiting().length) setTimeout(look, 700);

  const find = document.querySelector("input[data-find]");
  if (find) {
    const plain = (text) => text.normalize("NFKD").replace(/\p{M}/gu, "").toLowerCase();
    const lines = [...document.querySelectorAll("[data-line]")];
    const none = document.querySelector("[data-none]");
    find.addEventListener("input", () => {
      const wanted = plain(find.value.trim()).split(/\s+/);
      let shown = 0;
      for (const line of lines) {
        const has = plain(line.dataset.line);
        line.hidden = !wanted.every((word) => has.includes(word));
        shown += line.hidden ? 0 : 1;
      }
      for (const part of document.querySelectorAll("[data-lines]")) {
        part.hidden = ![...part.querySelectorAll("[data-line]")].some((line) => !line.hidden);
      }
      if (none) none.hidden = shown > 0;
    });
  }

  const errors = document.getElementById("errors") ?? document.getElementById("asked");
  if (errors) errors.focus();

  // hours at once, as quantities are tapped: when a question is left, and never more than one in a second and a half
  for (const form of document.querySelectorAll("form[data-at-once]")) {
    let due = 0, last = -Infinity;
    const ask = async () => {
      last = performance.now();
      const said = new URLSearchParams([...new FormData(form)].filter(([name, text]) => text && name !== "token" && name !== "key"));
      try {
        const reply = await fetch(`${form.dataset.atOnce}?${said}`, { credentials: "same-origin" });
        const next = reply.ok && new DOMParser().parseFromString(await reply.text(), "text/html").getElementById("hours-now");
        if (next) document.getElementById("hours-now").replaceChildren(...next.childNodes);
      } catch { /* the counter can't be reached just now */ }
    };
    form.addEventListener("change", () => {
      clearTimeout(due);
      due = setTimeout(ask, Math.max(0, 1500 - (performance.now() - last)));
    });
  }

  // minus and plus beside every number
  for (const set of document.querySelectorAll("[data-number]")) {
    const box = set.querySelector("input");
    const row = set.querySelector(".row");
    for (const [sign, by, first] of [["−", -1, true], ["+", 1, false]]) {
      const button = document.createElement("button");
      button.type = "button";
      button.textContent = sign;
      button.setAttribute("aria-label", `${set.querySelector("legend").textContent} ${sign}`);
      button.addEventListener("click", () => {
        const now = Number.parseFloat(box.value.replace(",", ".")) || 0;
        box.value = String(Math.max(0, now + by));
        box.dispatchEvent(new Event("change", { bubbles: true }));
      });
      if (first) row.prepend(button); else row.append(button);
    }
  }

  // a form is sent once, and what was typed stays where the shed has no network
  for (const form of document.querySelectorAll("form[method=post]")) {
    form.addEventListener("submit", async (event) => {
      if (form.dataset.sent) { event.preventDefault(); return; }
      if (form.enctype === "multipart/form-data") return;
      form.dataset.sent = "yes";
      const pressed = event.submitter;
      event.preventDefault();
      const go = async () => {
        try {
          await fetch("/here", { cache: "no-store" });
          document.querySelector(".not-sent")?.remove();
          if (pressed?.name) {
            const more = document.createElement("input");
            more.type = "hidden"; more.name = pressed.name; more.value = pressed.value;
            form.append(more);
          }
          HTMLFormElement.prototype.submit.call(form);
        } catch {
          if (!document.querySelector(".not-sent")) {
            const note = document.createElement("p");
            note.className = "not-sent"; note.setAttribute("role", "status");
            note.textContent = document.body.dataset.notSent;
            document.getElementById("page").append(note);
          }
          setTimeout(go, 3000);
        }
      };
      go();
    });
  }
  addEventListener("pageshow", () => { for (const form of document.forms) delete form.dataset.sent; });
})();
