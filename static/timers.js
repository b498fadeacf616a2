// Counts timers down from what the server said when the page was made, and says when a time is up. Without it the page
// tells how they stood when it was loaded.
"use strict";
(() => {
  const rows = [...document.querySelectorAll("[data-left]")];
  if (!rows.length) return;
  const made = performance.now();
  const title = document.title;
  const words = (left) => {
    if (left >= 60) return `${Math.ceil(left / 60)} min left`;
    if (left > 0) return `${left} s left`;
    const over = Math.floor(-left / 60);
    return over < 1 ? "Time is up" : `Time is up, ${over} min ago`;
  };
  const tick = () => {
    const passed = Math.floor((performance.now() - made) / 1000);
    let up = 0;
    for (const row of rows) {
      const left = Number(row.dataset.left) - passed;
      const shown = row.querySelector(".left");
      const text = words(left);
      if (shown.textContent !== text) shown.textContent = text;
      // The line on top of the page tells of a timer that stands below as well.
      const also = "also" in row.dataset;
      if (left <= 0 && !also) up += 1;
      if (left <= 0 && !row.classList.contains("rings")) {
        row.classList.add("rings");
        // Said aloud once, where a screen reader listens.
        if (!also) shown.setAttribute("role", "alert");
      }
    }
    document.title = up ? `(${up}) Time is up · ${title}` : title;
  };
  tick();
  setInterval(tick, 1000);
})();
