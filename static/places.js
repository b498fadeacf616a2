// A touch on a line of the sheet leads to asking about it; the pages after the front come behind the page, and so do the words
// of the sheet where they are opened. Without this script they are plain pictures and a link, and the words of a signed
// sheet have the same links.
(() => {
  "use strict";
  const paper = document.querySelector(".paper");
  if (paper?.dataset.ask) {
    paper.addEventListener("click", (event) => {
      if (String(document.getSelection() || "")) return;
      const place = document.elementsFromPoint(event.clientX, event.clientY).find((one) => one.dataset?.about);
      if (place) location.href = `${paper.dataset.ask}&${new URLSearchParams({ line: place.dataset.about })}#ask`;
    });
  }

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
