// Saves the draft while one types, and shows what others wrote meanwhile. Without this script the form
// works with its buttons alone.
(() => {
  "use strict";
  const form = document.querySelector("form[data-keep]");
  if (!form) return;
  const status = document.getElementById("saved");
  const PAUSE_MS = 700; // after the last key: a sentence is not cut into words, and little can be lost
  const RETRY_MS = 3000;
  const dirty = new Map();
  let timer = 0;
  let underWay = false;

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
    if (underWay || dirty.size === 0) return;
    underWay = true;
    const sent = new Map(dirty);
    const body = new URLSearchParams({ base: form.elements.base.value });
    for (const [key, text] of sent) body.set(key, text);
    let wait = 0;
    try {
      const answer = await fetch(form.dataset.keep, { method: "POST", body, headers: { accept: "application/json" } });
      if (answer.status === 401) {
        say("You are signed out. Sign in in another tab: what you typed stays here and is saved then.", true);
        wait = RETRY_MS;
      } else if (!answer.ok) {
        say("This could not be saved. Use the button below to see why.", true);
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
    if (dirty.size > 0) {
      clearTimeout(timer);
      timer = setTimeout(save, Math.max(wait, PAUSE_MS));
    }
  }

  function take(kept, sent) {
    form.elements.base.value = kept.version;
    const names = new Set();
    for (const other of kept.others) {
      names.add(other.name);
      const field = fieldOf(other.field);
      if (field && !dirty.has(other.field) && field !== document.activeElement && !sent.has(other.field)) {
        field.value = other.text;
      }
    }
    for (const key of sent.keys()) showMessage(key, kept.faults[key], kept.warnings[key]);
    const parts = [`Saved ${kept.at}`];
    if (names.size > 0) parts.push(`${[...names].join(", ")} also wrote here`);
    if (kept.aside > 0) {
      parts.push("two texts for one field: save to see both");
      document.getElementById("aside-note").hidden = false;
    }
    say(parts.join(" · "));
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
    fetch(form.dataset.keep, { method: "POST", body, keepalive: true }).catch(() => {});
  });
  form.addEventListener("submit", () => {
    form.dataset.sent = "yes";
    clearTimeout(timer);
  });
})();
