// A touch on a line of the sheet leads to asking about its section. Without this script the words below the sheet have
// the same links.
(() => {
  "use strict";
  const paper = document.querySelector(".paper[data-ask]");
  paper?.addEventListener("click", (event) => {
    if (String(document.getSelection() || "")) return;
    const place = document.elementsFromPoint(event.clientX, event.clientY).find((one) => one.dataset?.section);
    if (place) location.href = `${paper.dataset.ask}?section=${place.dataset.section}#ask`;
  });
})();
