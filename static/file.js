// Works out the name, the format and the SHA-256 of a file that somebody chooses. The file itself goes nowhere.
// Without this script, or where the browser has no such sums, the three are typed.
(() => {
  "use strict";
  const sum = document.querySelector('input[name="file_sha256"]');
  if (!sum || !window.crypto || !crypto.subtle) return;
  const field = (name) => sum.form.elements.namedItem(name);
  const box = document.createElement("div");
  box.className = "field";
  const label = document.createElement("label");
  label.htmlFor = "chosen-file";
  label.textContent = "Choose the file, and the rest is worked out";
  const hint = document.createElement("p");
  hint.className = "hint";
  hint.id = "chosen-file-hint";
  hint.setAttribute("role", "status");
  hint.textContent = "It stays on this computer.";
  const input = document.createElement("input");
  input.type = "file";
  input.id = "chosen-file";
  input.setAttribute("aria-describedby", hint.id);
  box.append(label, hint, input);
  const first = field("file_name").closest(".field");
  first.parentNode.insertBefore(box, first);

  input.addEventListener("change", async () => {
    const file = input.files[0];
    if (!file) return;
    hint.textContent = "Working out the SHA-256 …";
    try {
      const bytes = new Uint8Array(await crypto.subtle.digest("SHA-256", await file.arrayBuffer()));
      sum.value = Array.from(bytes, (byte) => byte.toString(16).padStart(2, "0")).join("");
      field("file_name").value = file.name;
      const ending = file.name.split(".").pop().toLowerCase().replace("jpg", "jpeg");
      const format = field("file_format");
      const isKnown = Array.from(format.options).some((option) => option.value === ending);
      format.value = isKnown ? ending : "other";
      hint.textContent = "Done. An STL file names no unit: choose the one it was exported in.";
    } catch {
      hint.textContent = "The file could not be read: type its name and SHA-256.";
    }
  });
})();
