// The form's lines: jumps open what they lead to, the arrow keys walk the lines, lists grow by themselves, the arches can
// be touched. Without this script every part opens by itself, and an empty row comes with each saving.
(() => {
  "use strict";
  const form = document.querySelector("form[data-autosave]");
  if (!form) return;
  const NARROW = matchMedia("(max-width: 70rem)");
  // Where a jump leads that came before what it leads to.
  let waitingJump = "";
  // Whoever types meanwhile is not taken away from it. What a script puts into a field is not typed.
  form.addEventListener("input", (event) => { if (event.isTrusted) waitingJump = ""; });

  /** Opens everything that a thing lies folded in, and shows what waits for another answer. */
  function unfold(element) {
    element?.closest(".field")?.classList.remove("later-0", "later-1", "later-2");
    element?.closest(".row")?.classList.remove("blank");
    for (let fold = element?.closest("details"); fold; fold = fold.parentElement.closest("details")) {
      // A line of its own does not hide what stands in it.
      if (!(element.tagName === "SUMMARY" && element.parentElement === fold)) fold.open = true;
    }
  }

  function jump(id) {
    const target = id && document.getElementById(id);
    if (!target) waitingJump = id;
    if (!target || !form.contains(target)) return;
    unfold(target);
    const fold = target.matches(".part") ? target.querySelector("summary") : target;
    fold.scrollIntoView({ block: "nearest" });
    if (fold.matches("input, select, textarea, summary")) fold.focus();
  }
  addEventListener("hashchange", () => jump(decodeURIComponent(location.hash.slice(1))));
  // A link leads to the line of a part where its field may not be in the page yet, and names the field: that is what is
  // jumped to as soon as it is there.
  document.addEventListener("click", (event) => {
    const link = event.target.closest?.('a[href^="#"]');
    const field = link?.dataset.field;
    if (!link || (!field && link.hash !== location.hash)) return;
    if (!field) return jump(location.hash.slice(1));
    event.preventDefault();
    if (!document.getElementById(field)) jump(link.hash.slice(1));
    if (location.hash === `#${field}`) jump(field);
    else location.hash = field;
  });
  if (location.hash) jump(decodeURIComponent(location.hash.slice(1)));

  /** Help that comes with the focus stays on the screen: beside a field at its right edge it moves to the left. */
  function keepInside() {
    const field = document.activeElement?.closest?.(".writing .field");
    for (const help of field?.querySelectorAll(":scope > :is(.hint, .say)") ?? []) {
      help.style.left = "";
      if (getComputedStyle(help).position !== "absolute") continue;
      const beyond = help.getBoundingClientRect().right + 8 - document.documentElement.clientWidth;
      if (beyond > 0) help.style.left = `${-beyond}px`;
    }
  }
  form.addEventListener("focusin", keepInside);
  addEventListener("resize", keepInside);

  // Keys that stand for a whole value, in a box that takes it.
  const SHORT = { n: takeNow, "+": takeNextDay, "=": takeSame };

  // One stop of the Tab key for the lines of a chapter, and for what is to be resolved; arrows walk them, Enter opens,
  // Escape folds.
  const LINES = ".fold > summary, .rest > summary";
  const STOPS = `${LINES}, #review-list a, #review-list summary`;
  const isSeen = (element) => element.checkVisibility({ contentVisibilityAuto: true });
  const groupOf = (stop) => stop.closest("#review-list, .chapter");
  const stopsOf = (group) => [...group.querySelectorAll(STOPS)];
  function join(group) {
    stopsOf(group).forEach((stop, place) => { stop.tabIndex = place === 0 ? 0 : -1; });
  }
  form.querySelectorAll(".chapter, #review-list").forEach(join);
  form.addEventListener("focusin", (event) => {
    const stop = event.target.closest(STOPS);
    const group = stop && groupOf(stop);
    if (!group || stop.tabIndex === 0) return;
    stopsOf(group).forEach((other) => { other.tabIndex = -1; });
    stop.tabIndex = 0;
  });
  form.addEventListener("keydown", (event) => {
    const stop = event.target.closest(STOPS);
    const step = { ArrowDown: 1, ArrowUp: -1 }[event.key];
    if (stop && step) {
      const isOfList = groupOf(stop)?.id === "review-list";
      const all = (isOfList ? stopsOf(groupOf(stop)) : [...form.querySelectorAll(LINES)]).filter(isSeen);
      all[all.indexOf(stop) + step]?.focus();
      event.preventDefault();
    }
    const short = !event.ctrlKey && !event.altKey && !event.metaKey && SHORT[event.key?.toLowerCase()];
    if (short) short(event);
    const fold = event.key === "Escape" && event.target.closest(".fold[open]");
    if (fold) {
      fold.open = false;
      fold.querySelector("summary").focus();
    }
  });

  document.getElementById("keys").hidden = false;
  const two = (number) => String(number).padStart(2, "0");
  const dayOf = (day) => `${day.getFullYear()}-${two(day.getMonth() + 1)}-${two(day.getDate())}`;

  /** Puts a text into a box, as if it had been typed. */
  function put(box, text) {
    box.value = text;
    box.dispatchEvent(new Event("input", { bubbles: true }));
  }

  // What the time of a day is called that has one: not that of a day to come.
  const TIMES = [[/_on$/, "_at"], [/\.date$/, ".time"], [/\.sent$/, ".sent_at"]];
  function timeOf(day) {
    const [of, its] = TIMES.find(([end]) => end.test(day)) ?? [];
    return of && form.elements.namedItem(day.replace(of, its));
  }

  /** In a box for a date or a time, N is now; a day takes the time along that stands empty beside it. */
  function takeNow(event) {
    const box = event.target;
    const now = new Date();
    const text = { date: dayOf(now), time: `${two(now.getHours())}:${two(now.getMinutes())}` };
    if (!text[box.type]) return;
    event.preventDefault();
    put(box, text[box.type]);
    const beside = box.type === "date" && timeOf(box.name);
    if (beside && beside.type === "time" && !beside.value && isSeen(beside)) put(beside, text.time);
  }

  /** In a box for a date, + is a day on; in an empty one, the day after that of the box for a date before it. */
  function takeNextDay(event) {
    const box = event.target;
    if (box.type !== "date") return;
    event.preventDefault();
    const dates = [...form.querySelectorAll('input[type="date"]')];
    const from = box.value || dates.slice(0, dates.indexOf(box)).findLast(isSeen)?.value;
    if (!from) return;
    const [year, month, day] = from.split("-").map(Number);
    put(box, dayOf(new Date(year, month - 1, day + 1)));
  }

  // What is measured is measured each time, and no thing is another one.
  const OWN = /^readings\.|(\.tag|_item|_from)$/;
  /** In an empty box, = is what stands in the same box of the row above, or of the upper jaw. */
  function takeSame(event) {
    const box = event.target;
    if (!box.name?.includes(".") || box.value || box.matches("textarea") || OWN.test(box.name)) return;
    const above = box.name.replace(/\.(\d+)\./, (_, row) => `.${row - 1}.`).replace(/\.lower_/, ".upper_");
    const text = above !== box.name && form.elements.namedItem(above)?.value;
    if (!text) return;
    event.preventDefault();
    put(box, text);
  }

  // A text of one line goes on in further lines where it is long, and holds no line end all the same.
  form.addEventListener("beforeinput", (event) => {
    if (event.inputType === "insertLineBreak" && event.target.closest(".one-line")) event.preventDefault();
  });

  const rowsOf = (list) => [...list.querySelectorAll(".row")];
  const MOST_ROWS = 40;

  // The last row of a list is always an empty one.
  function grow(list) {
    const last = rowsOf(list).at(-1);
    if (last && [...last.querySelectorAll("[name]")].some((field) => field.value)) add(list, last);
  }

  /** Puts an empty row behind the last one. */
  function add(list, last) {
    const is = rowsOf(list).length;
    if (is >= MOST_ROWS) return;
    const was = is - 1;
    const fresh = last.cloneNode(true);
    for (const element of fresh.querySelectorAll("*")) {
      for (const name of ["name", "id", "for", "aria-describedby", "list"]) {
        const text = element.getAttribute(name);
        if (text) element.setAttribute(name, text.replaceAll(`.${was}.`, `.${is}.`).replaceAll(`-${was}-`, `-${is}-`));
      }
    }
    fresh.querySelectorAll(".say, .field > .from").forEach((one) => one.remove());
    for (const field of fresh.querySelectorAll(".field")) field.classList.remove("wrong", "given", "silent", "long");
    for (const field of fresh.querySelectorAll("[name]")) {
      field.removeAttribute("aria-invalid");
      if (field.tagName === "SELECT") field.querySelectorAll("option").forEach((one) => one.removeAttribute("selected"));
      else {
        field.removeAttribute("value");
        field.placeholder = " ";
      }
      field.value = "";
    }
    fresh.classList.add("blank");
    fresh.querySelectorAll("details").forEach((fold) => { fold.open = false; });
    const label = last.getAttribute("aria-label").replace(/\d+$/, is + 1);
    fresh.setAttribute("aria-label", label);
    fresh.querySelectorAll("summary .unseen").forEach((words) => { words.textContent = ` of ${label}`; });
    fresh.querySelector(".place").textContent = is + 1;
    fresh.querySelectorAll(".rest > summary").forEach((stop) => { stop.tabIndex = -1; });
    last.after(fresh);
  }

  /** Makes room for a row that has come from elsewhere. */
  function makeRoom(key) {
    const [name, row, field] = key.split(".");
    const list = field && form.querySelector(`.list[data-list="${CSS.escape(name)}"]`);
    while (list && rowsOf(list).length <= Number(row) && rowsOf(list).length < MOST_ROWS) add(list, rowsOf(list).at(-1));
    const fold = list && rowsOf(list)[Number(row)]?.closest(".next");
    if (fold) fold.open = true;
  }
  form.addEventListener("input", (event) => {
    const list = event.target.closest(".list");
    if (list) grow(list);
    draw();
    tell();
  });

  /** Puts into words what stands in boxes behind their rows. */
  function tell() {
    for (const words of form.querySelectorAll("[data-of]")) {
      const field = form.elements.namedItem(words.dataset.of);
      const text = field?.selectedOptions?.[0]?.text ?? field?.value ?? "";
      if (words.textContent !== text) words.textContent = text;
    }
  }

  let chart = null;
  let changes = null;
  function showArches() {
    if (chart) return;
    chart = form.querySelector(".chart");
    changes = chart?.closest(".list");
    if (!chart) return;
    const arches = chart.closest("details");
    arches.hidden = false;
    arches.open &&= !NARROW.matches;
    chart.addEventListener("click", touch);
  }

  /** Marks on the arches what the list names. */
  function draw() {
    if (!chart) return;
    const named = new Set();
    for (const row of rowsOf(changes)) {
      const [what, tooth] = ["what", "tooth"].map((field) => row.querySelector(`[name$=".${field}"]`).value);
      named.add(tooth && (!what || what === "tooth") ? `tooth ${tooth}` : what);
    }
    for (const spot of chart.querySelectorAll(".touch")) {
      const { what, tooth } = spot.dataset;
      spot.classList.toggle("chosen", named.has(tooth ? `tooth ${tooth}` : what));
    }
  }

  function touch(event) {
    const spot = event.target.closest(".touch");
    if (!spot) return;
    grow(changes);
    const row = rowsOf(changes).at(-1);
    unfold(row);
    for (const [field, text] of Object.entries({ what: spot.dataset.what ?? "tooth", tooth: spot.dataset.tooth ?? "" })) {
      const box = row.querySelector(`[name$=".${field}"]`);
      if (box.value === text) continue;
      box.value = text;
      box.dispatchEvent(new Event("input", { bubbles: true }));
    }
    row.querySelector('[name$=".direction"]').focus();
  }
  showArches();
  draw();

  // What folds is most of the form, and comes behind the page: it is there before the first lines are read, and stays
  // there when the network goes. What was saved meanwhile may have changed it: then it is asked for once more.
  const AGAIN_MS = 3000;
  const later = () => [...form.querySelectorAll(".inside[data-later]")];
  /** Which folds this page is without: the answer goes by what stands under its lines, not by what is asked by then. */
  function wanted() {
    const under = [...form.querySelectorAll(".under > .fields [name], .under > .list")];
    const asked = new URLSearchParams({ folds: "yes", under: under.map((one) => one.name ?? one.dataset.list).join(" ") });
    if (new URLSearchParams(location.search).get("look") === "yes") asked.set("look", "yes");
    return asked;
  }
  async function bring() {
    let isOld = false;
    const age = () => { isOld = true; };
    document.addEventListener("kept", age);
    const answer = await fetch(`${location.pathname}?${wanted()}`).catch(() => null);
    const came = document.createElement("template");
    if (answer?.ok && !answer.redirected) came.innerHTML = await answer.text().catch(() => "");
    document.removeEventListener("kept", age);
    const folds = new Map([...came.content.querySelectorAll(".part")].map((part) => [part.id, part.querySelector(".inside")]));
    if (isOld || folds.size === 0) {
      later().forEach((box) => { box.textContent = isOld ? "" : "The server does not answer. This opens as soon as it does."; });
      setTimeout(bring, isOld ? 0 : AGAIN_MS);
      return;
    }
    for (const box of later()) {
      const fresh = folds.get(box.closest(".part").id);
      if (fresh) box.replaceWith(fresh);
      else box.removeAttribute("data-later");
    }
    document.getElementById("drawings").replaceChildren(...(came.content.querySelector("#drawings")?.childNodes ?? []));
    document.dispatchEvent(new CustomEvent("folds"));
    showArches();
    tell();
    draw();
    form.querySelectorAll(".chapter").forEach(join);
    if (waitingJump) jump(waitingJump);
    waitingJump = "";
  }
  if (later().length > 0) bring();

  // What was saved comes back with the lines, with what follows from it, and with the sheet as it would print now.
  document.addEventListener("kept", ({ detail: { kept, dirty } }) => {
    for (const [key, html] of Object.entries(kept.lines)) {
      const line = document.getElementById(`l-${key}`);
      const fresh = document.createElement("template");
      fresh.innerHTML = html;
      if (line && fresh.innerHTML.trim() !== line.innerHTML.trim()) line.replaceChildren(fresh.content);
    }
    Object.keys(kept.given).filter((key) => kept.given[key][1]).forEach(makeRoom);
    for (const holder of form.querySelectorAll(".field")) {
      const field = holder.querySelector("[name]");
      if (!field || dirty.has(field.name) || field === document.activeElement) continue;
      const [text, from] = kept.given[field.name] ?? ["", ""];
      // What was filled in and is stored by now stays as it stands there; what follows from nothing any more goes.
      if (from || holder.classList.contains("given")) give(holder, field, text, from);
    }
    tell();
    form.querySelectorAll(".list").forEach(grow);
    draw();
    const review = document.getElementById("review-list");
    if (!review.contains(document.activeElement)) join(review);
    const front = document.getElementById("front");
    const at = `${front.getAttribute("src").split("?")[0]}?at=${encodeURIComponent(kept.base)}`;
    if (front.closest("details").open) front.src = at;
    else front.dataset.later = at;
  });

  /** Shows a value that nobody typed, with where it comes from; none, where it has gone. */
  function give(holder, field, text, from) {
    if (field.value !== text) field.value = text;
    if (field.value !== text) return;
    holder.classList.toggle("given", Boolean(from));
    const box = holder.querySelector(":scope > .from");
    if (!from) box?.remove();
    else if (box) box.textContent = from;
    else {
      const words = Object.assign(document.createElement("small"), { className: "from", textContent: from });
      const say = holder.querySelector(":scope > .say");
      if (say) say.before(words);
      else holder.append(words);
    }
  }
  // What is filled in stays in sight, whatever becomes of the answer that called for it.
  form.addEventListener("input", ({ target }) => {
    if (!target.value) return;
    target.closest(".field")?.classList.remove("later-0", "later-1", "later-2");
    if (!target.closest(".starts")) target.closest(".row")?.classList.remove("blank");
  });
  // What is typed over is one's own from the first key on.
  form.addEventListener("input", (event) => {
    const holder = event.target.closest(".field.given");
    if (!holder) return;
    holder.classList.remove("given");
    holder.querySelector(":scope > .from")?.remove();
  });

  const sheet = document.querySelector("details.front");
  if (NARROW.matches) {
    sheet.open = false;
    if (location.hash !== "#review") document.getElementById("review").open = false;
  }
  sheet.addEventListener("toggle", () => {
    const front = document.getElementById("front");
    if (sheet.open && front.dataset.later) {
      front.src = front.dataset.later;
      delete front.dataset.later;
    }
  });
})();
