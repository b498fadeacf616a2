// A touch on a line of the sheet leads to asking about it, and one beside the lines to that page of it alone. Where several
// lines lie under a finger, those are listed below the page. The pages after the front come behind the page, and so do the
// words of the sheet where they are opened. Without this script they are plain pictures, each a link to itself, and the words
// of a signed sheet have the links that its lines have.
(() => {
  "use strict";
  const paper = document.querySelector(".paper");
  // Half of the least that a target measures (WCAG 2.2, 2.5.8), and the most lines that are a short choice.
  const NEAR = 12, MOST = 6;
  const middle = ({ left, top, width, height }) => [left + width / 2, top + height / 2];
  const off = (box, [x, y]) => Math.max(box.left - x, x - box.right, box.top - y, y - box.bottom, 0);
  const addressOf = (about) => `${paper.dataset.ask}&${new URLSearchParams({ line: about })}#ask`;

  /** The lines of a page that lie near a point, from the top: what each asks about, and its words. */
  function linesAt(picture, point) {
    const boxed = (one) => ({ about: one.dataset.about, text: one.textContent, box: one.getBoundingClientRect() });
    const all = [...picture.querySelectorAll("[data-about]")].map(boxed);
    // A part of the prescription lies below its fields, and a line below those that it says.
    const fields = all.filter((one) => one.about.includes("."));
    const lineOf = (one) => fields.find((line) => off(line.box, middle(one.box)) === 0);
    const lines = new Map();
    const keep = (line, about, far) => {
      if (!(lines.get(line)?.far < far)) lines.set(line, { line, about, far });
    };
    const part = all.findLast((one) => off(one.box, point) === 0);
    if (part && !fields.includes(part)) keep(part, part.about, 0);
    for (const one of fields.filter((field) => off(field.box, point) <= NEAR)) keep(lineOf(one), one.about, off(one.box, point));
    // Without the numbers of the rows, which are printed behind them.
    const texts = [...picture.querySelectorAll("text")].map(boxed).filter((one) => !/^(\d|–)$/.test(one.text));
    const wordsOf = (line) => {
      const own = texts.filter((one) => off(line.box, middle(one.box)) === 0 && (fields.includes(line) || !lineOf(one)));
      return own.map((one) => one.text).join(" ").replace(/\s+/g, " ").replace(/ (?=[,;:.])/g, "").trim();
    };
    const found = [...lines.values()].sort((one, other) => one.far - other.far).slice(0, MOST);
    found.sort((one, other) => one.line.box.top - other.line.box.top || one.line.box.left - other.line.box.left);
    return found.map(({ line, about }) => {
      // A number of a picture is told by its line.
      const same = fields.filter((one) => one.about === line.about).map(wordsOf);
      const words = [wordsOf(line), ...same].find((one) => one.length > 2) ?? "This line";
      return { about, words: words.length > 90 ? `${words.slice(0, 89)}…` : words };
    });
  }

  /** Lists lines below their page, over nothing of it. */
  function list(page, lines) {
    paper.querySelector(".nearby")?.remove();
    const link = (href, words) => Object.assign(document.createElement("a"), { href, textContent: words });
    const near = Object.assign(document.createElement("nav"), { className: "nearby", tabIndex: -1 });
    near.append(Object.assign(document.createElement("p"), { textContent: "Which line do you mean?" }));
    near.append(...lines.map(({ about, words }) => link(addressOf(about), words)));
    near.append(link(page.querySelector("a").href, "None of these: this page, larger"));
    near.setAttribute("aria-label", "Lines near your finger");
    page.append(near);
    near.focus();
  }

  let isFine = false;
  paper?.addEventListener("pointerdown", (event) => {
    isFine = event.pointerType === "mouse";
  });
  paper?.addEventListener("click", (event) => {
    // What is listed below a page leads where it says.
    if (event.target.closest(".nearby")) return;
    // By the Enter key a link leads where it says.
    if (event.detail === 0) return;
    // Who has marked words of the sheet stays with them.
    if (String(document.getSelection() || "")) return event.preventDefault();
    if (!paper.dataset.ask) return;
    const point = [event.clientX, event.clientY];
    const place = document.elementsFromPoint(...point).find((one) => one.dataset?.about);
    const picture = event.target.closest("svg");
    const lines = isFine || !picture ? [] : linesAt(picture, point);
    const about = lines[0]?.about ?? place?.dataset.about;
    if (!about) return;
    event.preventDefault();
    if (lines.length > 1) list(picture.closest("figure"), lines);
    else location.href = addressOf(about);
  });

  /** What an address of this installation answers, as a fragment; none where it answers anything else. */
  async function fetched(address) {
    const answer = await fetch(address).catch(() => null);
    if (!answer?.ok || answer.redirected) return null;
    const came = document.createElement("template");
    came.innerHTML = await answer.text().catch(() => "");
    return came.content;
  }

  async function bring(box) {
    const { later, name } = box.dataset;
    const picture = (await fetched(later))?.querySelector("svg");
    if (picture) return box.replaceWith(picture);
    const line = Object.assign(document.createElement("p"), { className: "message", textContent: `${name}: it did not come. Load this page again.` });
    line.setAttribute("role", "alert");
    box.replaceWith(line);
  }
  paper?.querySelectorAll("[data-later]").forEach(bring);

  for (const fold of document.querySelectorAll("details[data-words]")) {
    fold.addEventListener("toggle", async () => {
      const words = (await fetched(fold.dataset.words))?.querySelector("#in-words");
      // Otherwise the link stays, which says why.
      if (words) fold.querySelector("p").replaceWith(words);
    }, { once: true });
  }
})();
