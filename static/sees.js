// Of what goes along with each kind of work only the line of the chosen kind stands, and no tick for a part that goes along
// anyway. Without this script all kinds stand there, and a tick too many adds nothing.
(() => {
  "use strict";
  for (const sees of document.querySelectorAll("[data-sees]")) {
    const kind = sees.closest("form")?.elements.namedItem(sees.dataset.sees);
    if (!kind) continue;
    const show = () => {
      let goes = [];
      for (const line of sees.querySelectorAll("[data-kind]")) {
        const isChosen = line.dataset.kind === kind.value;
        line.hidden = kind.value !== "" && !isChosen;
        if (isChosen && line.dataset.goes) goes = line.dataset.goes.split(" ");
      }
      for (const tick of sees.querySelectorAll("input[type=checkbox]")) {
        tick.disabled = goes.includes(tick.name.split(".")[0]);
        tick.closest(".field").hidden = tick.disabled;
      }
      const parts = sees.querySelector("fieldset");
      if (parts) parts.hidden = !parts.querySelector(".field:not([hidden])");
    };
    kind.addEventListener("change", show);
    addEventListener("pageshow", show);
    show();
  }
})();
