// Saves the draft while one types, and shows what others wrote meanwhile. Whatever is not saved yet also lies in this
// browser's storage, under who typed it, so that neither a reload nor a lost network nor a closed tab takes it: the tab
// that comes back to the form goes on with it, any other offers it. Without this script the form works with its buttons
// alone.
(() => {
  "use strict";
  const form = document.querySelector("form[data-autosave]");
  if (!form) return;
  const status = document.getElementById("saved");
  const PAUSE_MS = 700; // after the last key: a sentence is not cut into words, and little can be lost
  const RETRY_MS = 3000;
  const NOT_BEGUN = "0"; // how a base begins of a page that was made before there was a draft
  const PATIENCE_MS = 15000; // a server that is silent for so long is gone for whoever waits
  const REFUSED_OTHERWISE = "This could not be saved. Use the button below to see why.";
  const WRITER = form.dataset.writer;
  // What begins so is of this person and this case; the rest tells one page from another (see unsaved.js).
  const UNSAVED = `vestibule.unsaved.${form.dataset.autosave}.${WRITER}.`;
  const OWN = `${UNSAVED}${Date.now().toString(36)}${Math.random().toString(36).slice(2)}`;
  const dirty = new Map();
  // What is too long to be saved: not sent again before it is changed, and noted all the same.
  const tooLong = new Map();
  let timer = 0;
  let underWay = null;
  let isOver = false;
  const begun = (base) => base.split(".")[0];

  /** Notes in the browser's storage what is not saved yet, and over which state of the draft it was typed; where the storage
   *  is full or shut, the page alone holds it. */
  function note() {
    const isOfNone = isOver && begun(form.elements.base.value) === NOT_BEGUN;
    keep(OWN, { base: form.elements.base.value, texts: isOfNone ? [] : [...tooLong, ...dirty] });
  }

  function keep(place, { base, texts, at = Date.now() }) {
    try {
      if (texts.length === 0) localStorage.removeItem(place);
      else localStorage.setItem(place, JSON.stringify({ base, texts, at }));
    } catch { /* the page still holds it */ }
  }

  function noted(place) {
    try {
      const { base, texts, at } = JSON.parse(localStorage.getItem(place));
      return { base: String(base), texts: Array.isArray(texts) ? texts : [], at };
    } catch {
      return { base: form.elements.base.value, texts: [] };
    }
  }

  /** The page of this form that this tab showed before; from now on it is this one. */
  function pageBefore() {
    try {
      const before = sessionStorage.getItem(UNSAVED);
      sessionStorage.setItem(UNSAVED, OWN);
      return before;
    } catch {
      return null;
    }
  }

  const say = (text, isTrouble) => {
    status.textContent = text;
    status.classList.toggle("message", Boolean(isTrouble));
    // Beside the buttons of a telephone there is room for a short sentence only.
    status.classList.toggle("long", text.length > 60);
  };

  const fieldOf = (key) => form.elements.namedItem(key);
  const isDraftField = (element) => element && element.name && element.name.includes(".");
  // What the form is laid out by: the page is made again once it is saved.
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
      say("The server does not answer. Kept here, tried again.", true);
      return "silent";
    });
    note();
    const wait = { silent: RETRY_MS, out: RETRY_MS, refused: 10 * RETRY_MS }[how] ?? PAUSE_MS;
    if (dirty.size > 0 && !isOver) timer = setTimeout(save, wait);
    return how;
  }

  async function send(sent) {
    const answer = await fetch(form.dataset.autosave, {
      method: "POST", body: bodyOf(sent), headers: { accept: "application/json" }, signal: AbortSignal.timeout(PATIENCE_MS),
    });
    if (answer.status === 401) return signIn("You are signed out. What you typed stays here, and is saved as soon as you have signed in: ");
    if (answer.status === 403) return refused(answer.headers.get("vestibule-refused"));
    if (answer.status === 409) {
      say(OVER[answer.headers.get("vestibule-refused")] ?? OVER.draft, true);
      isOver = true;
      return "over";
    }
    if (answer.status >= 500 || answer.status === 429) {
      say("The server is in trouble. Kept here, tried again.", true);
      return "silent";
    }
    if (!answer.ok) {
      say(REFUSED_OTHERWISE, true);
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

  /** What is sent is of whoever opened the page, and is taken of nobody else. */
  function bodyOf(texts) {
    const body = new URLSearchParams({ base: form.elements.base.value, shown_to: WRITER });
    for (const [key, text] of texts) body.set(key, text);
    return body;
  }

  // Why the server refuses: each has a sentence of its own, and who cannot help it by signing in is not asked to.
  const STAYS = "What you typed is sent under nobody else's name: it stays here, and is saved as soon as you have signed in: ";
  const REFUSED = {
    "another-person": `Another person is signed in here now. ${STAYS}`,
    "password": `Whoever is here now came by a code, and a prescription is written with a password. ${STAYS}`,
    "role": `The role of whoever is signed in here now does not write prescriptions. ${STAYS}`,
    "origin": "Something between this browser and the server changes what is sent, so it was refused. What you typed stays here: tell your administrator.",
  };

  // Why nothing is saved any more.
  const OVER = {
    "closed": "The case has been closed meanwhile. What you typed stands on this page only: copy what you need. Once the case is open again, it can be written.",
    "draft": "This draft has been signed or given up meanwhile. What you typed stands on this page only: copy what you need, and open the case again.",
  };

  function refused(why) {
    const words = REFUSED[why];
    if (words?.endsWith(STAYS)) return signIn(words);
    say(words ?? REFUSED_OTHERWISE, true);
    return "refused";
  }

  function signIn(words) {
    say(words, true);
    const link = Object.assign(document.createElement("a"), { href: "/sign-in", target: "_blank", textContent: "sign in in another tab" });
    status.append(link, ".");
    return "out";
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
    // With an answer goes, or comes back, what hangs on it.
    for (const [key, text] of Object.entries(kept.turned)) {
      const field = fieldOf(key);
      if (field && !dirty.has(key) && !kept.conflicts.includes(key)) field.value = text;
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

  // Only what has changed is put in again, so that a screen reader reads out no more than that.
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
    fetch(form.dataset.autosave, { method: "POST", body: bodyOf(dirty), keepalive: true }).catch(() => {});
  });

  // Whoever signs out leaves nothing behind in this browser that could be saved.
  document.querySelector('form[action="/sign-out"]')?.addEventListener("submit", async (event) => {
    if (dirty.size === 0) return;
    event.preventDefault();
    await save();
    event.target.submit();
  });

  /** Shows a text that is not saved yet, as soon as the page has its field. */
  function show(key, text) {
    const field = fieldOf(key);
    if (!field?.tagName || field.value === text) return;
    if (field.type !== "checkbox") field.value = text;
    // The list grows by itself, so that the next row has its place.
    if (/\.\d+\./.test(key)) field.dispatchEvent(new Event("input", { bubbles: true }));
  }
  const isOfThisDraft = ({ base }) => [begun(form.elements.base.value), NOT_BEGUN].includes(begun(base));
  /** The state of the draft that was there before the other one. */
  function earlier(one, other) {
    const age = (base) => (begun(base) === NOT_BEGUN ? -1 : Number(base.split(".")[1]));
    return age(one) <= age(other) ? one : other;
  }

  /** Goes on with texts that are not saved yet. They were typed over the state that their page showed: so others have
   *  written since, and no text of theirs is written over. What this page has no room for yet is saved all the same. What
   *  has been typed here meanwhile stays, and its other text where it was. */
  function goOn(place) {
    const left = noted(place);
    const rest = left.texts.filter(([key]) => dirty.has(key));
    for (const [key, text] of left.texts) {
      if (dirty.has(key)) continue;
      form.elements.base.value = earlier(left.base, form.elements.base.value);
      dirty.set(key, text);
      show(key, text);
    }
    note();
    keep(place, { ...left, texts: rest });
    if (dirty.size > 0) save();
  }
  const before = pageBefore();
  if (before && isOfThisDraft(noted(before))) goOn(before);
  document.addEventListener("folds", () => [...tooLong, ...dirty].forEach(([key, text]) => show(key, text)));

  // What another page of this person has left behind unsaved is offered: its tab was closed, or stands open still.
  const offers = new Map();
  const others = () => Object.keys(localStorage).filter((place) => place.startsWith(UNSAVED) && place !== OWN);

  /** A field's label, with the row that it stands in. */
  function labelOf(key) {
    const field = fieldOf(key);
    const words = [...(field?.labels?.[0]?.childNodes ?? [])].map((node) => node.textContent.trim()).find(Boolean) ?? key;
    const row = field?.closest(".row")?.getAttribute("aria-label");
    return row ? `${row}: ${words}` : words;
  }
  const inWords = (key, text) => [...(fieldOf(key)?.options ?? [])].find((one) => one.value === text)?.text ?? (text || "(empty)");

  /** "Mon 2 Mar 2026 14:05", as the pages say a moment, by this browser's own clock. */
  function clock(at) {
    const moment = new Date(at);
    const day = moment.toLocaleDateString("en-GB", { weekday: "short", day: "numeric", month: "short", year: "numeric" });
    return `${day.replace(",", "")} ${moment.toLocaleTimeString("en-GB", { hour: "2-digit", minute: "2-digit" })}`;
  }

  function offer(place) {
    const left = noted(place);
    // What was sent while its page was left has been saved, and nobody was there to hear of it.
    const texts = left.texts.filter(([key, text]) => fieldOf(key)?.value !== text);
    if (texts.length === 0) return keep(place, { ...left, texts });
    const made = document.getElementById("unsaved").content.firstElementChild.cloneNode(true);
    const isOf = isOfThisDraft(left);
    made.querySelector("time").textContent = left.at ? clock(left.at) : "";
    made.querySelector(".gone").hidden = isOf;
    for (const [key, text] of texts) {
      const [term, words] = ["dt", "dd"].map((tag) => document.createElement(tag));
      term.textContent = labelOf(key);
      words.textContent = inWords(key, text);
      made.querySelector("dl").append(term, words);
    }
    const [put, drop] = made.querySelectorAll("button");
    put.hidden = !isOf;
    put.addEventListener("click", () => { goOn(place); withdraw(place); offerAll(); });
    drop.addEventListener("click", () => { keep(place, { ...left, texts: [] }); withdraw(place); });
    form.before(made);
    offers.set(place, made);
  }

  function withdraw(place) {
    offers.get(place)?.remove();
    offers.delete(place);
  }

  function offerAll() {
    try {
      others().filter((place) => !offers.has(place)).forEach(offer);
    } catch { /* nothing is kept where the storage is shut */ }
  }
  // Whether a text is saved shows where its field is: most come behind the page.
  if (form.querySelector(".inside[data-later]")) document.addEventListener("folds", offerAll, { once: true });
  else offerAll();
  addEventListener("storage", ({ key, newValue }) => { if (newValue === null) withdraw(key); });
  // What a button was answered with is read first.
  const answered = new URLSearchParams(location.search).has("done");
  document.querySelector(answered ? "#summary" : "#summary[data-focus]")?.focus();
})();
