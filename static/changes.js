// Tells that something shown here has changed meanwhile, and renews it by itself where nobody is at work in it.
// Pages work without it.
(() => {
  "use strict";
  const line = document.querySelector("[data-watch]");
  if (!line || !window.EventSource) return;
  const [link, gone] = line.children;
  const renewed = document.querySelector("[data-renewed]");
  const PATIENCE = 8000; // a network may drop a line and take it up again
  let source = null;
  let waits = 0;

  /** Somebody types, chooses or marks a text: nothing may move under the hand. */
  const isAtWork = () => {
    const at = document.activeElement;
    return Boolean(at && at.matches("input, select, textarea, summary")) || String(document.getSelection() || "") !== "";
  };

  const show = (what, isShown) => {
    what.hidden = !isShown;
  };

  async function renew() {
    const answer = await fetch(location.href, { headers: { "Vestibule-Renewal": "1" } });
    if (!answer.ok || answer.redirected) throw new Error("no page");
    const page = new DOMParser().parseFromString(await answer.text(), "text/html");
    const fresh = page.querySelector("[data-renewed]");
    const mark = page.querySelector("[data-watch]");
    if (!fresh || !mark) throw new Error("another page");
    if (isAtWork()) return show(link, true);
    const focus = renewed.contains(document.activeElement) ? document.activeElement.getAttribute("href") : null;
    const opened = new Set([...renewed.querySelectorAll("details[open] > summary")].map((one) => one.textContent));
    renewed.replaceChildren(...fresh.childNodes);
    for (const one of renewed.querySelectorAll("details > summary")) {
      if (opened.has(one.textContent)) one.parentElement.open = true;
    }
    line.dataset.mark = mark.dataset.mark;
    show(link, false);
    if (focus) [...renewed.querySelectorAll("a")].find((one) => one.getAttribute("href") === focus)?.focus();
  }

  function heard(mark) {
    if (mark === line.dataset.mark) return;
    if (!renewed || isAtWork()) {
      show(link, true);
      return;
    }
    renew().catch(() => show(link, true));
  }

  function listen() {
    if (source || document.hidden) return;
    source = new EventSource(line.dataset.watch);
    source.onopen = () => {
      clearTimeout(waits);
      waits = 0;
      show(gone, false);
    };
    source.onmessage = (event) => heard(event.data);
    source.onerror = () => {
      if (!waits) waits = setTimeout(() => show(gone, true), PATIENCE);
      // An answer that is no stream ends it for good: try again when somebody comes back to the page.
      if (source && source.readyState === EventSource.CLOSED) {
        source = null;
        clearTimeout(waits);
        show(gone, true);
      }
    };
  }

  /** A browser has few lines to one house: a page that nobody looks at holds none. */
  function rest() {
    source?.close();
    source = null;
    clearTimeout(waits);
    waits = 0;
  }

  link.href = location.href;
  document.addEventListener("visibilitychange", () => (document.hidden ? rest() : listen()));
  addEventListener("pagehide", rest);
  addEventListener("pageshow", listen);
  listen();
})();
