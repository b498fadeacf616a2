// Saves the draft while one types, and shows what others wrote meanwhile. Whatever is not saved yet also lies in this
// tab's own storage, so that neither a reload nor a lost network takes it. Without this script the form works with its
// buttons alone.
(() => {
  "use strict";
  const form = document.querySelector("form[data-autosave]");
  if (!form) return;
  const status = document.getElementById("saved");
  const PAUSE_MS = 700; // after the last key: a sentence is not cut into words, and little can be lost
  const RETRY_MS = 3000;
  const NOT_BEGUN = "0"; // how a base begins of a page that was made before there was a draft
  const PATIENCE_MS = 15000; // a server that is silent for so long is gone for whoever waits
  const UNSAVED = `vestibule.unsaved.${form.dataset.autosave}.${form.dataset.writer}`;
  const dirty = new Map();
  // What is too long to be saved: not sent again before it is changed, and noted all the same.
  const tooLong = new Map();
  let timer = 0;
  let underWay = null;
  let isOver = false;
  const begun = (base) => base.split(".")[0];

  /** Notes in the tab's storage what is not saved yet, and over which state of the draft it was typed; where the storage is
   *  full or shut, the page alone holds it. */
  function note() {
    try {
      const texts = [...tooLong, ...dirty];
      const isOfNone = isOver && begun(form.elements.base.value) === NOT_BEGUN;
      if (texts.length === 0 || isOfNone) sessionStorage.removeItem(UNSAVED);
      else sessionStorage.setItem(UNSAVED, JSON.stringify({ base: form.elements.base.value, texts }));
    } catch { /* the page still holds it */ }
  }

  function noted() {
    try {
      const { base, texts } = JSON.parse(sessionStorage.getItem(UNSAVED));
      return { base: String(base), texts: Array.isArray(texts) ? texts : [] };
    } catch {
      return { base: form.elements.base.value, texts: [] };
    }
  }

  const say = (text, isTrouble) => {
    status.textContent = text;
    status.classList.toggle("message", Boolean(isTrouble));
  };

  const fieldOf = (key) => form.elements.namedItem(key);
  const isDraftField = (element) => element && element.name && element.name.includes(".");
  // What the form is laid out by: the page is made anew once it is saved.
  const LAYS_OUT = "order.course";

  form.addEventListener("input", (event) => {
    if (!isDraftField(event.target)) return;
    tooLong.delete(event.target.name);
    dirty.set(event.target.name, event.target.value);
    note();
    say("Not saved yet");
    clearTimeout(timer);
    timer = setTimeout(save, PAUSE_MS);
    if (event.target.name === LAYS_OUT) layOut();
  });

  async function layOut() {
    let how = await save();
    while (how === "saved" && dirty.size > 0) how = await save();
    if (how === "saved" && !form.dataset.leaving) location.reload();
  }

  /** Sends what is not saved yet. Answers how it went: saved, refused, silent, out (signed out) or over (the draft). */
  function save() {
    underWay ??= sendAll().finally(() => (underWay = null));
    return underWay;
  }

  async function sendAll() {
    if (isOver) return "over";
    clearTimeout(timer);
    const sent = new Map(dirty);
    const how = await send(sent).catch(() => {
      say("The server does not answer. What you typed stays here; saving is tried again.", true);
      return "silent";
    });
    note();
    const wait = { silent: RETRY_MS, out: RETRY_MS, refused: 10 * RETRY_MS }[how] ?? PAUSE_MS;
    if (dirty.size > 0 && !isOver) timer = setTimeout(save, wait);
    return how;
  }

  async function send(sent) {
    const body = new URLSearchParams({ base: form.elements.base.value });
    for (const [key, text] of sent) body.set(key, text);
    const answer = await fetch(form.dataset.autosave, {
      method: "POST", body, headers: { accept: "application/json" }, signal: AbortSignal.timeout(PATIENCE_MS),
    });
    if (answer.status === 401) {
      say("You are signed out. What you typed stays here, and is saved as soon as you have signed in: ", true);
      const link = Object.assign(document.createElement("a"), { href: "/sign-in", target: "_blank", textContent: "sign in in another tab" });
      status.append(link, ".");
      return "out";
    }
    if (answer.status === 409) {
      say("This draft has been signed or given up meanwhile. What you typed stands on this page only: copy what you need, and open the case anew.", true);
      isOver = true;
      return "over";
    }
    if (answer.status >= 500 || answer.status === 429) {
      say("The server is busy or in trouble. What you typed stays here; saving is tried again.", true);
      return "silent";
    }
    if (!answer.ok) {
      say("This could not be saved. Use the button below to see why.", true);
      return "refused";
    }
    const kept = await answer.json();
    for (const [key, text] of sent) {
      if (dirty.get(key) !== text) continue;
      dirty.delete(key);
      if (kept.unsaved.includes(key)) tooLong.set(key, text);
    }
    take(kept, sent);
    return "saved";
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
    // A page about to be left goes with what stands in it.
    if (list && !list.contains(document.activeElement) && !form.dataset.leaving) list.innerHTML = kept.review;
    document.getElementById("review-counts").textContent = kept.counts;
    for (const [key, html] of Object.entries(kept.numbers)) renew(`n-${key}`, html);
    renew("drawings", kept.drawings);
    document.dispatchEvent(new CustomEvent("kept", { detail: { kept, dirty } }));
    for (const key of sent.keys()) showMessage(key, kept.faults[key], kept.warnings[key]);
    const parts = [`Saved ${kept.at}`];
    if (names.size > 0) parts.push(`${[...names].join(", ")} also wrote here`);
    if (kept.conflicts.length > 0) {
      parts.push("two texts for one field: save to see both");
      document.getElementById("conflict-note").hidden = false;
    }
    const count = kept.unsaved.length;
    if (count > 0) parts[0] = `Saved ${kept.at}, all but ${count === 1 ? "one text that is" : `${count} texts that are`} too long: see the message beside it`;
    say(parts.join(" · "), count > 0);
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
    holder.classList.remove("silent");
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

  // A button leaves the page only once everything is saved: the browser's own page of errors would take along what
  // was typed. What the server refuses it explains on its own page, with all texts in it.
  form.addEventListener("submit", async (event) => {
    if (form.dataset.sent) return;
    event.preventDefault();
    if (form.dataset.leaving) return;
    form.dataset.leaving = "yes";
    const button = event.submitter;
    say("Saving");
    // A form that is asked to submit itself while it still tells of being submitted stays where it is.
    await new Promise((later) => setTimeout(later));
    let how = await save();
    while (how === "saved" && dirty.size > 0) how = await save();
    delete form.dataset.leaving;
    if (how === "silent" || how === "out") return;
    form.dataset.sent = "yes";
    clearTimeout(timer);
    form.requestSubmit(button);
  });
  // Back from the next page, the form is as it was left.
  addEventListener("pageshow", () => delete form.dataset.sent);

  // Leaving the page takes the last words along; they stay noted until the next page knows that they are saved.
  addEventListener("pagehide", () => {
    if (dirty.size === 0 || form.dataset.sent) return;
    const body = new URLSearchParams({ base: form.elements.base.value });
    for (const [key, text] of dirty) body.set(key, text);
    fetch(form.dataset.autosave, { method: "POST", body, keepalive: true }).catch(() => {});
  });

  /** Shows a text that is not saved yet, as soon as the page has its field. */
  function show(key, text) {
    const field = fieldOf(key);
    if (!field?.tagName || field.value === text) return;
    if (field.type !== "checkbox") field.value = text;
    // The list grows by itself, so that the next row has its place.
    if (/\.\d+\./.test(key)) field.dispatchEvent(new Event("input", { bubbles: true }));
  }
  // What this tab has not saved yet was typed over the state that its page showed: so others have written since, and no
  // text of theirs is written over. What this page has no room for yet is saved all the same.
  const left = noted();
  const ofThisDraft = [begun(form.elements.base.value), NOT_BEGUN].includes(begun(left.base));
  for (const [key, text] of ofThisDraft ? left.texts : []) {
    form.elements.base.value = left.base;
    dirty.set(key, text);
    show(key, text);
  }
  if (!ofThisDraft && left.texts.length > 0) {
    const texts = left.texts.map(([, text]) => `“${text}”`).join(", ");
    say(`The draft in which you wrote ${texts} has been signed or given up meanwhile: this was not saved. Copy what you need.`, true);
  }
  document.addEventListener("folds", () => [...tooLong, ...dirty].forEach(([key, text]) => show(key, text)));
  if (dirty.size > 0) save();
  // What a button was answered with is read first.
  const answered = new URLSearchParams(location.search).has("done");
  document.querySelector(answered ? "#summary" : "#summary[data-focus]")?.focus();
})();
