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
  // The arch follows the items that are ticked, until somebody chooses it. What is of no arch says nothing of it.
  for (const form of document.querySelectorAll("form[data-arches]")) {
    const arches = form.elements.namedItem(form.dataset.arches);
    if (!arches?.options) continue;
    const before = arches.value;
    // A form that came back holds what was chosen.
    let isChosen = form.querySelector("[data-arch] input:checked") !== null;
    arches.addEventListener("change", () => { isChosen = true; });
    form.addEventListener("change", ({ target }) => {
      if (isChosen || target.type !== "checkbox" || !target.closest("[data-arch]")) return;
      const ticked = [...form.querySelectorAll("[data-arch] input:checked")].map((tick) => tick.closest("[data-arch]").dataset.arch);
      const of = [...new Set(ticked.filter((arch) => arch !== ""))];
      const wanted = of.length > 1 ? "both" : of[0] ?? before;
      if ([...arches.options].some((one) => one.value === wanted)) arches.value = wanted;
    });
  }
})();
