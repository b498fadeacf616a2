// A form leaves its page only for a server that answers: the browser's own page of errors would take along what was typed.
// Until it is sent, what is typed into it also lies in this tab, under the account of whoever typed it: it stands there again
// after the page was loaded again, or another of its forms was sent; where the box came with something else since, it stands
// beside it. Of a form that says so (data-keeps: the address of its page), it stands there again however the page is reached:
// from a camera, a question, or another case that was scanned; a page that shows another form says where it waits. Passwords
// and files never do. Each form carries the key of its post, so that what is sent again is taken once. And a page that comes
// back with something wrong begins where that is. The form of a prescription does both by itself (write.js). Pages work
// without it.
(() => {
  "use strict";
  const ASKED = "/static/mark.svg"; // small, and the same for everybody
  const PATIENCE_MS = 8000; // a server that is silent for so long is gone for whoever waits
  const RETRY_MS = 3000;
  const GONE = "The server does not answer. What you typed stays here, and nothing was entered.";
  const BACK = "The server answers again. What you typed stands here: send it now.";
  const AGAIN = "What you typed stands here again. It is not sent yet.";
  const WAITING = "What you typed is not sent yet. It waits at its step:";
  const CHANGED = "What stands here has changed since you typed. You had typed:";
  const READER = document.currentScript?.dataset.reader;
  const KEEPS = document.querySelector("form[data-keeps]")?.dataset.keeps;
  const TYPED = `vestibule.typed.${READER}.${KEEPS ?? location.pathname}`;
  // Carried along hidden, and of each page its own: they do not tell one form from another.
  const FLEETING = [
    "post_key", "version", "base", "scan_before", "scan_asked", "scan_into", "scan_left", "read_revision", "force_shown", "bench_revision", "bench_shown",
  ];
  const SCANS = ["q", "scan"];
  const NOT_KEPT = ["hidden", "password", "file", "submit", "button"];
  // Each form that was sent from this page.
  const gone = new Set();
  // Each form that was scanned into: it is not entered by that, and the page is left all the same.
  const scanned = new Set();
  // What stands beside boxes that were changed since it was typed, by form: kept until the form is sent.
  const aside = new Map();
  // What was typed into forms that this page does not show now, by what tells them apart.
  const waiting = new Map();
  // Where each form that keeps what is typed stands, and what it is called.
  const places = new Map();
  // Each form that waits for an answer, with the line beside its button.
  const said = new Map();

  const answers = () =>
    fetch(ASKED, { method: "HEAD", cache: "no-store", signal: AbortSignal.timeout(PATIENCE_MS) })
      .then((answer) => answer.status < 500, () => false);

  /** Says it beside the button that was pressed; one that stands outside its form, beside the form's own. */
  function say(form, button, words) {
    let line = said.get(form);
    if (!line) {
      line = document.createElement("p");
      line.className = "message";
      line.setAttribute("role", "alert");
      const own = button && form.contains(button) ? button : form.querySelector("button:not([hidden], .unseen)");
      const place = own?.closest(".actions") ?? own ?? form.lastElementChild;
      place.after(line);
      said.set(form, line);
    }
    line.textContent = words;
    line.scrollIntoView({ block: "nearest" });
  }

  function forget(form) {
    said.get(form)?.remove();
    said.delete(form);
  }

  /** Asks until the server answers again: it is sent by whoever typed it, and by nobody else. */
  async function wait(form) {
    while (said.has(form)) {
      await new Promise((later) => setTimeout(later, RETRY_MS));
      if (said.has(form) && (await answers())) {
        if (said.has(form)) said.get(form).textContent = BACK;
        return;
      }
    }
  }

  /** The forms of this page that are sent by a button, each with what tells it from the others. */
  function forms() {
    const named = new Map();
    for (const form of document.querySelectorAll("main form")) {
      if (form.getAttribute("method")?.toLowerCase() !== "post" || form.dataset.autosave) continue;
      const hidden = [...form.querySelectorAll('input[type="hidden"]')].filter(({ name }) => !FLEETING.includes(name));
      const words = [form.getAttribute("action") ?? "", ...hidden.map(({ name, value }) => `${name}=${value}`)].join(" ");
      let name = words;
      for (let next = 2; named.has(name); next += 1) name = `${words} ${next}`;
      named.set(name, form);
    }
    return named;
  }

  /** The boxes of a form in which something is typed, chosen or ticked, each with its name and its place among those of it. */
  function boxes(form) {
    const counts = new Map();
    const all = [...form.elements].filter((box) => box.name && box.tagName !== "BUTTON" && !NOT_KEPT.includes(box.type) && !SCANS.includes(box.name));
    return all.map((box) => {
      const place = counts.get(box.name) ?? 0;
      counts.set(box.name, place + 1);
      return [`${box.name} ${place}`, box];
    });
  }

  const isTick = (box) => box.type === "checkbox" || box.type === "radio";
  const stands = (box) => (isTick(box) ? box.checked : box.value);
  function first(box) {
    if (isTick(box)) return box.defaultChecked;
    if (!box.options) return box.defaultValue;
    return ([...box.options].findLast((one) => one.defaultSelected) ?? box.options[0])?.value ?? "";
  }

  /** What the page came with where this box stands: of a choice by dots, which of them was chosen. */
  function came(box) {
    if (box.type !== "radio") return first(box);
    return [...box.form.elements].find((one) => one.type === "radio" && one.name === box.name && one.defaultChecked)?.value ?? "";
  }

  /** What was typed, as it is read: of a choice, what it is called. */
  function inWords(box, text) {
    if (isTick(box)) return box.labels?.[0]?.textContent.trim() || box.value;
    return [...(box.options ?? [])].find(({ value }) => value === text)?.textContent.trim() || text || "(empty)";
  }

  /** Shows what was typed beside the box that it was typed into, to be copied. */
  function sayBeside(box, text) {
    const line = Object.assign(document.createElement("label"), { className: "typed-before", textContent: CHANGED });
    line.append(Object.assign(document.createElement("textarea"), { readOnly: true, rows: 2, defaultValue: inWords(box, text) }));
    (box.closest(".field, fieldset, label") ?? box).after(line);
  }

  function unfold(box) {
    for (let fold = box.closest("details"); fold; fold = fold.parentElement.closest("details")) fold.open = true;
  }

  const doesKeep = (form) => "keeps" in form.dataset;
  /** Whether the form came back with what was sent: nobody knows then what it had come with at first. */
  const isAnswer = (form) => "sentBefore" in form.dataset;

  /** Whether a scan stands in it that does not enter it: its page comes back with what is typed, or is left. */
  function isScannedInto(form) {
    const { value, dataset } = form.elements.q ?? {};
    const word = value?.trim().toUpperCase();
    return Boolean(word && dataset.sends && !dataset.sends.split(" ").includes(word));
  }

  /** Notes what stands in the forms otherwise than the page came with; where the storage is shut, the page alone has it. */
  function keep() {
    if (!READER) return;
    const typed = Object.fromEntries(waiting);
    const keeps = [...waiting.keys()];
    for (const [name, form] of forms()) {
      const changed = new Map(aside.get(form));
      for (const [key, box] of boxes(form)) {
        const isTyped = stands(box) !== first(box) || (isAnswer(form) && stands(box));
        if (isTyped) changed.set(key, [stands(box), came(box), isAnswer(form)]);
      }
      if (changed.size === 0 || gone.has(form)) continue;
      typed[name] = [...changed];
      if (!doesKeep(form)) continue;
      keeps.push(name);
      places.set(name, [form.dataset.at, form.dataset.called]);
    }
    const where = Object.fromEntries([...places].filter(([name]) => keeps.includes(name)));
    try {
      if (Object.keys(typed).length === 0) sessionStorage.removeItem(TYPED);
      else sessionStorage.setItem(TYPED, JSON.stringify({ wasSent: gone.size + scanned.size > 0, typed, keeps, where }));
    } catch { /* the page still holds it */ }
  }

  /** Whether the page came with something else in this box than was typed over. */
  function isOther(box, before, wasAnswer) {
    if (!wasAnswer || isAnswer(box.form)) return before !== came(box);
    // What the address of the page chooses, a picture that was just taken, is newer than what was typed.
    return !isTick(box) && first(box) !== "" && [...new URLSearchParams(location.search).values()].includes(first(box));
  }

  /** Says where what was typed waits that this page does not show. */
  function sayWaiting() {
    for (const name of waiting.keys()) {
      const [at, called] = places.get(name) ?? [];
      if (!called) continue;
      const line = Object.assign(document.createElement("p"), { className: "hint", role: "status", textContent: `${WAITING} ` });
      // A page that answers a timer stands at another address than its step.
      line.append(Object.assign(document.createElement("a"), { href: `${KEEPS ?? location.pathname}${at}`, textContent: called }));
      document.querySelector("main").prepend(line);
    }
  }

  /** Puts back what was typed before this page was loaded again. Whoever comes to it by another way begins afresh what is not kept. */
  function putBack() {
    const [how] = performance.getEntriesByType("navigation");
    let left;
    try {
      left = JSON.parse(sessionStorage.getItem(TYPED));
      sessionStorage.removeItem(TYPED);
    } catch { /* nothing is kept where the storage is shut */ }
    if (!left) return;
    const here = forms();
    for (const name of left.keeps ?? []) if (!here.has(name)) waiting.set(name, left.typed[name]);
    for (const [name, place] of Object.entries(left.where ?? {})) places.set(name, place);
    sayWaiting();
    const isLoadedAgain = ["reload", "back_forward"].includes(how?.type);
    for (const [name, form] of here) {
      // What came back with what was sent holds it by itself.
      if (!(isLoadedAgain || (!isAnswer(form) && (left.wasSent || doesKeep(form))))) continue;
      const texts = new Map(left.typed[name]);
      let isPutBack = false;
      for (const [key, box] of boxes(form)) {
        const [text, before, wasAnswer] = texts.get(key) ?? [];
        if (text === undefined || stands(box) !== first(box) || stands(box) === text) continue;
        unfold(box);
        // Put over it, it would be sent as if whoever typed it had read what somebody else wrote there since.
        if (isOther(box, before, wasAnswer)) {
          if (box.type === "radio" && !text) continue;
          aside.set(form, (aside.get(form) ?? new Map()).set(key, [text, before]));
          sayBeside(box, text);
          continue;
        }
        box[isTick(box) ? "checked" : "value"] = text;
        isPutBack = true;
      }
      if (isPutBack) form.prepend(Object.assign(document.createElement("p"), { className: "hint", role: "status", textContent: AGAIN }));
    }
    keep();
  }

  if (READER) {
    putBack();
    for (const kind of ["input", "change"]) {
      document.addEventListener(kind, ({ target }) => {
        gone.delete(target.form);
        scanned.delete(target.form);
        keep();
      });
    }
    addEventListener("pagehide", keep);
  }

  document.addEventListener("submit", async (event) => {
    const { target: form, submitter: button } = event;
    if (event.defaultPrevented || form.getAttribute("method")?.toLowerCase() !== "post" || form.dataset.autosave) return;
    // It was sent from here, or by the browser once before: whoever presses twice sends once.
    if (form.dataset.sent) {
      (isScannedInto(form) ? scanned : gone).add(form);
      return keep();
    }
    event.preventDefault();
    if (form.dataset.asks) return;
    form.dataset.asks = "yes";
    const isThere = await answers();
    delete form.dataset.asks;
    if (!isThere) {
      say(form, button, GONE);
      wait(form);
      return;
    }
    forget(form);
    form.dataset.sent = "yes";
    form.requestSubmit(button);
    // A file that is saved leaves the page where it is.
    setTimeout(() => delete form.dataset.sent);
  });
  // Back from the next page, the form is as it was left.
  addEventListener("pageshow", () => {
    gone.clear();
    scanned.clear();
  });
  addEventListener("pageshow", () => document.querySelectorAll("form[data-sent]").forEach((form) => delete form.dataset.sent));

  // What is said on top is read first; otherwise the first field with a message. The focus goes there where nothing on the
  // page has asked for it: a scanner types into its own box.
  addEventListener("load", () => {
    const wrong = document.querySelector("main form:not([data-autosave]) .field.wrong");
    if (!wrong || document.querySelector('main [role="alert"].message, main .summary[role="alert"]')) return;
    for (let fold = wrong.closest("details"); fold; fold = fold.parentElement.closest("details")) fold.open = true;
    requestAnimationFrame(() => {
      wrong.scrollIntoView({ block: "center" });
      if (document.querySelector("[autofocus]") || document.activeElement !== document.body) return;
      wrong.querySelector("input, select, textarea")?.focus({ preventScroll: true });
    });
  });
})();
