// A touch on a line of the sheet leads to asking about it, and the pages after the front come behind the page. Without this
// script they are plain pictures, and the words below the sheet have the same links.
(() => {
  "use strict";
  const paper = document.querySelector(".paper[data-ask]");
  paper?.addEventListener("click", (event) => {
    if (String(document.getSelection() || "")) return;
    const place = document.elementsFromPoint(event.clientX, event.clientY).find((one) => one.dataset?.section);
    if (!place) return;
    const about = new URLSearchParams({ section: place.dataset.section, line: place.dataset.about });
    location.href = `${paper.dataset.ask}&${about}#ask`;
  });

  async function bring(box) {
    const { later, name } = box.dataset;
    const answer = await fetch(later).catch(() => null);
    const came = document.createElement("template");
    if (answer?.ok && !answer.redirected) came.innerHTML = await answer.text().catch(() => "");
    const picture = came.content.querySelector("svg") ?? Object.assign(new Image(210, 297), { src: later, alt: name });
    box.replaceWith(picture);
  }
  paper?.querySelectorAll("[data-later]").forEach(bring);
})();
