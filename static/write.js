// Saves the draft while one types, and shows what others wrote meanwhile. Without this script the form
// works with its buttons alone.
(() => {
  "use strict";
  const form = document.querySelector("form[data-autosave]");
  if (!form) return;
  const status = document.getElementById("saved");
  const PAUSE_MS = 700; // after the last key: a sentence is not cut into words, and little can be lost
  const RETRY_MS = 3000;
  const dirty = new Map();
  let timer = 0;
  let underWay = false;
  let isOver = false;

  const say = (text, isTrouble) => {
    status.textContent = text;
    status.classList.toggle("message", Boolean(isTrouble));
  };

  const fieldOf = (key) => form.elements.namedItem(key);
  const isDraftField = (element) => element && element.name && element.name.includes(".");

  form.addEventListener("input", (event) => {
    if (!isDraftField(event.target)) return;
    dirty.set(event.target.name, event.target.value);
    say("Not saved yet");
    clearTimeout(timer);
    timer = setTimeout(save, PAUSE_MS);
  });

  async function save() {
    if (underWay || isOver || dirty.size === 0) return;
    underWay = true;
    const sent = new Map(dirty);
    const body = new URLSearchParams({ base: form.elements.base.value });
    for (const [key, text] of sent) body.set(key, text);
    let wait = 0;
    try {
      const answer = await fetch(form.dataset.autosave, { method: "POST", body, headers: { accept: "application/json" } });
      if (answer.status === 401) {
        say("You are signed out. Sign in in another tab: what you typed stays here and is saved then.", true);
        wait = RETRY_MS;
      } else if (answer.status === 409) {
        say("This draft has been signed or given up meanwhile. What you typed stands on this page only: copy what you need, and open the case anew.", true);
        isOver = true;
      } else if (!answer.ok) {
        say("This could not be saved. Use the button below to see why.", true);
        wait = 10 * RETRY_MS;
      } else {
        const kept = await answer.json();
        for (const [key, text] of sent) if (dirty.get(key) === text) dirty.delete(key);
        take(kept, sent);
      }
    } catch {
      say("The server does not answer. What you typed stays here; saving is tried again.", true);
      wait = RETRY_MS;
    }
    underWay = false;
    if (dirty.size > 0 && !isOver) {
      clearTimeout(timer);
      timer = setTimeout(save, Math.max(wait, PAUSE_MS));
    }
  }

  function take(kept, sent) {
    const names = new Set();
    // The base may move on only when this page shows everything that stands there: otherwise a later save
    // of the whole form would put an old text back over a newer one.
    let showsAll = kept.conflicts.length === 0;
    for (const other of kept.others) {
      if (other.name) names.add(other.name);
      const field = fieldOf(other.field);
      if (!field || !field.tagName) showsAll = false;
      else if (dirty.has(other.field) || sent.has(other.field) || kept.conflicts.includes(other.field)) showsAll = false;
      else field.value = other.text;
    }
    if (showsAll) form.elements.base.value = kept.base;
    const list = document.getElementById("review-list");
    if (list && !list.contains(document.activeElement)) list.innerHTML = kept.review;
    document.getElementById("review-counts").textContent = kept.counts;
    for (const [key, html] of Object.entries(kept.numbers)) renew(`n-${key}`, html);
    renew("drawings", kept.drawings);
    for (const key of sent.keys()) showMessage(key, kept.faults[key], kept.warnings[key]);
    const parts = [`Saved ${kept.at}`];
    if (names.size > 0) parts.push(`${[...names].join(", ")} also wrote here`);
    if (kept.conflicts.length > 0) {
      parts.push("two texts for one field: save to see both");
      document.getElementById("conflict-note").hidden = false;
    }
    say(parts.join(" · "));
  }

  // Only what has changed is put in anew, so that a screen reader reads out no more than that.
  function renew(id, html) {
    const box = document.getElementById(id);
    const fresh = document.createElement("template");
    fresh.innerHTML = html;
    if (!box || fresh.innerHTML.trim() === box.innerHTML.trim()) return;
    box.replaceChildren(fresh.content);
  }

  function showMessage(key, message, warning) {
    const field = fieldOf(key);
    if (!field || !field.id) return;
    const holder = field.closest(".field");
    const id = `${field.id}-say`;
    let box = document.getElementById(id);
    if (!message && !warning) {
      if (box) box.remove();
      holder.classList.remove("wrong");
      field.removeAttribute("aria-invalid");
      describe(field, id, false);
      return;
    }
    if (!box) {
      box = document.createElement("div");
      box.id = id;
      box.className = "say";
      holder.append(box);
    }
    box.replaceChildren();
    for (const [text, kind, sign] of [[message, "message", "✕ "], [warning, "warning", "! "]]) {
      if (!text) continue;
      const line = document.createElement("p");
      line.className = kind;
      line.textContent = sign + text;
      box.append(line);
    }
    holder.classList.toggle("wrong", Boolean(message));
    if (message) field.setAttribute("aria-invalid", "true");
    else field.removeAttribute("aria-invalid");
    describe(field, id, true);
  }

  function describe(field, id, on) {
    const ids = new Set((field.getAttribute("aria-describedby") || "").split(" ").filter(Boolean));
    if (on) ids.add(id);
    else ids.delete(id);
    if (ids.size) field.setAttribute("aria-describedby", [...ids].join(" "));
    else field.removeAttribute("aria-describedby");
  }

  // Leaving the page takes the last words along.
  addEventListener("pagehide", () => {
    if (dirty.size === 0 || form.dataset.sent) return;
    const body = new URLSearchParams({ base: form.elements.base.value });
    for (const [key, text] of dirty) body.set(key, text);
    fetch(form.dataset.autosave, { method: "POST", body, keepalive: true }).catch(() => {});
  });
  form.addEventListener("submit", () => {
    form.dataset.sent = "yes";
    clearTimeout(timer);
  });
})();
