// Shows a picture that was chosen before it is sent, and what of it is kept: a rectangle is drawn over it with finger or
// mouse, and stands in the fields below, where it can be typed as well. The picture stays in this browser until the form is
// sent. Pages work without it.
document.querySelectorAll("form .cut").forEach((place) => {
  "use strict";
  const form = place.closest("form");
  const field = (name) => form.elements[`cut_${name}`];
  const edges = ["left", "right", "top", "bottom"];
  if (!edges.every((name) => field(name)) || !window.createImageBitmap) return;
  const most = 480;
  let picture = null;
  let canvas = null;
  let from = null;

  const read = () => Object.fromEntries(edges.map((name) => [name, Math.min(99, Math.max(0, Number.parseInt(field(name).value, 10) || 0))]));

  function draw() {
    if (!picture) return;
    const pen = canvas.getContext("2d");
    const { width, height } = canvas;
    const { left, right, top, bottom } = read();
    const [x, y] = [(left / 100) * width, (top / 100) * height];
    const [w, h] = [Math.max(0, width - x - (right / 100) * width), Math.max(0, height - y - (bottom / 100) * height)];
    pen.drawImage(picture, 0, 0, width, height);
    if (field("covers").checked) {
      if (left + right + top + bottom > 0) {
        pen.fillStyle = "rgb(128 128 128)";
        pen.fillRect(x, y, w, h);
      }
    } else {
      pen.fillStyle = "rgb(255 255 255 / 75%)";
      pen.fillRect(0, 0, width, y);
      pen.fillRect(0, y + h, width, height - y - h);
      pen.fillRect(0, y, x, h);
      pen.fillRect(x + w, y, width - x - w, h);
    }
    pen.strokeStyle = "rgb(0 0 0)";
    pen.setLineDash([6, 4]);
    pen.strokeRect(x + 0.5, y + 0.5, Math.max(0, w - 1), Math.max(0, h - 1));
  }

  const at = (event) => {
    const box = canvas.getBoundingClientRect();
    const part = (value, size) => Math.min(1, Math.max(0, value / size));
    return { x: part(event.clientX - box.left, box.width), y: part(event.clientY - box.top, box.height) };
  };

  function drag(event) {
    if (!from) return;
    const to = at(event);
    const near = (one, other) => Math.floor(Math.min(one, other) * 100);
    const far = (one, other) => Math.floor((1 - Math.max(one, other)) * 100);
    const now = { left: near(from.x, to.x), right: far(from.x, to.x), top: near(from.y, to.y), bottom: far(from.y, to.y) };
    // A touch is no rectangle.
    if (100 - now.left - now.right < 5 || 100 - now.top - now.bottom < 5) return;
    for (const name of edges) field(name).value = String(Math.min(99, now[name]));
    place.querySelector("details").open = true;
    draw();
  }

  function begin() {
    canvas = document.createElement("canvas");
    canvas.setAttribute("role", "img");
    canvas.setAttribute("aria-label", "The picture that was chosen, and what of it is kept by the edges below");
    const words = document.createElement("p");
    words.className = "hint";
    words.textContent = "Mouth only? Draw a rectangle over what stays, or type the edges below.";
    place.prepend(words, canvas);
    canvas.addEventListener("pointerdown", (event) => {
      from = at(event);
      canvas.setPointerCapture(event.pointerId);
    });
    canvas.addEventListener("pointermove", drag);
    canvas.addEventListener("pointerup", (event) => {
      drag(event);
      from = null;
    });
    canvas.addEventListener("pointercancel", () => { from = null; });
  }

  async function show(file) {
    const isAnother = Boolean(picture);
    try {
      picture = await createImageBitmap(file, { imageOrientation: "from-image" });
    } catch {
      // What the browser cannot read, whoever takes it in says something about.
      picture = null;
    }
    if (!picture && !canvas) return;
    if (!canvas) begin();
    canvas.hidden = !picture;
    if (!picture) return;
    const scale = Math.min(1, most / Math.max(picture.width, picture.height));
    canvas.width = Math.max(1, Math.round(picture.width * scale));
    canvas.height = Math.max(1, Math.round(picture.height * scale));
    // The edges were those of another picture.
    if (isAnother) for (const name of edges) field(name).value = "";
    draw();
  }

  const boxes = [...form.querySelectorAll('input[type="file"]')];
  for (const input of boxes) {
    input.addEventListener("change", () => {
      if (!input.files.length) return;
      // One picture goes with the form: the one that was taken or chosen last.
      for (const other of boxes) if (other !== input) other.value = "";
      show(input.files[0]);
    });
  }
  for (const name of [...edges, "covers"]) field(name).addEventListener("input", draw);
});
