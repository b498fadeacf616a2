// What was typed into a prescription and is not saved yet lies in this browser, under the account of whoever typed it
// (write.js). Here: what has lain for too long goes, whoever's it is, before a form would offer it, and whoever is signed in
// reads where something waits.
(() => {
  "use strict";
  const KEPT_DAYS = 30; // a browser of several people keeps nothing for good
  const line = document.getElementById("unsaved-at");
  const atOf = (place) => {
    try {
      return Number(JSON.parse(localStorage.getItem(place)).at);
    } catch {
      return 0;
    }
  };
  let places;
  try {
    places = Object.keys(localStorage).filter((place) => place.startsWith("vestibule.unsaved."));
  } catch {
    return; // nothing is kept where the storage is shut
  }
  for (const place of places) {
    const isOver = !(Date.now() - atOf(place) < KEPT_DAYS * 86_400_000);
    if (isOver) localStorage.removeItem(place);
    const [, , path, writer] = place.split(".");
    if (isOver || !line || writer !== line.dataset.writer) continue;
    const form = path.replace(/\/autosave$/, "");
    if (line.querySelector(`a[href="${CSS.escape(form)}"]`)) continue;
    const number = form.split("/")[2].replace(/(...)(...)(...)/, "$1-$2-$3");
    line.append(" ", Object.assign(document.createElement("a"), { href: form, textContent: number }));
    line.hidden = false;
  }
})();
