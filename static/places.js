// A touch on a line of the sheet leads to asking about it, and one beside the lines to that page of it alone; the pages after
// the front come behind the page, and so do the words of the sheet where they are opened. Without this script they are plain
// pictures, each a link to itself, and the words of a signed sheet have the links that its lines have.
(() => {
  "use strict";
  const paper = document.querySelector(".paper");
  paper?.addEventListener("click", (event) => {
    // By the Enter key a link leads where it says.
    if (event.detail === 0) return;
    // Who has marked words of the sheet stays with them.
    if (String(document.getSelection() || "")) return event.preventDefault();
    if (!paper.dataset.ask) return;
    const place = document.elementsFromPoint(event.clientX, event.clientY).find((one) => one.dataset?.about);
    if (!place) return;
    event.preventDefault();
    location.href = `${paper.dataset.ask}&${new URLSearchParams({ line: place.dataset.about })}#ask`;
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
