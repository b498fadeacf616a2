// A form leaves its page only for a server that answers: the browser's own page of errors would take along what was typed.
// Each form carries the key of its post, so that what is sent again is taken once. And a page that comes back with something
// wrong begins where that is. The form of a prescription does both by itself (write.js). Pages work without it.
(() => {
  "use strict";
  const ASKED = "/static/mark.svg"; // small, and the same for everybody
  const PATIENCE_MS = 8000; // a server that is silent for so long is gone for whoever waits
  const RETRY_MS = 3000;
  const GONE = "The server does not answer. What you typed stays here, and nothing was entered.";
  const BACK = "The server answers again. What you typed stands here: send it now.";
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

  document.addEventListener("submit", async (event) => {
    const { target: form, submitter: button } = event;
    if (event.defaultPrevented || form.getAttribute("method")?.toLowerCase() !== "post" || form.dataset.autosave) return;
    // It was sent from here, or by the browser once before: whoever presses twice sends once.
    if (form.dataset.sent) return;
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
