// A touch on a line of the sheet leads to asking about it. Without this script the words below the sheet have
// the same links.
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
})();
