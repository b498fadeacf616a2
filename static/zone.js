// Fills in the time zone of this browser where none is typed yet. Pages work without it.
(() => {
  "use strict";
  const zone = document.querySelector('input[name="zone"]');
  if (zone && !zone.value) zone.value = Intl.DateTimeFormat().resolvedOptions().timeZone || "";
})();
