// Takes scans without leaving the page: a hand scanner types a code and Enter, and the next one at once; none is lost
// or joined to another. What is in hand of a parcel is remembered in this browser, so that a telephone's camera can
// read one label after the other. Pages work without it.
(() => {
  "use strict";
  const box = document.querySelector('.scanned input[name="scan"]');
  if (!box) return;
  const form = box.form;
  const say = box.closest(".scanned").querySelector(".say");
  const isScan = (submitter) => Boolean(submitter && submitter.name === "go" && submitter.value === "scan");
  const ticks = () => [...form.querySelectorAll('input[type="checkbox"][data-said]')];
  const inHand = () => ticks().filter((tick) => tick.name.endsWith(".here"));
  // Whoever signs in after somebody has not had these things in hand.
  const who = document.querySelector(".who")?.textContent.replace(/\s+/g, " ").trim() ?? "";
  const kept = `in hand: ${location.pathname} ${who}`;

  const tell = (words, isWrong) => {
    const line = document.createElement("p");
    line.className = isWrong ? "message" : "ticked";
    line.setAttribute("role", isWrong ? "alert" : "status");
    line.textContent = `${isWrong ? "✕" : "✓"} ${words}`;
    say.replaceChildren(line);
  };

  /** The tag of a code, or of an address that ends with one. */
  const tagOf = (text) => {
    const last = text.trim().split(/[?#]/)[0].replace(/\/+$/, "").split("/").pop().toUpperCase();
    return last.replace(/[^0-9A-Z]/g, "").replaceAll("O", "0").replace(/[IL]/g, "1");
  };

  function keep() {
    const all = inHand();
    if (!all.length) return;
    try {
      localStorage.setItem(kept, JSON.stringify(all.filter((tick) => tick.checked).map((tick) => tick.name)));
    } catch { /* A browser that keeps nothing: each page stands alone. */ }
  }

  function recall() {
    try {
      const names = JSON.parse(localStorage.getItem(kept) || "[]");
      for (const tick of inHand()) if (names.includes(tick.name)) tick.checked = true;
    } catch { /* as above */ }
  }

  function left() {
    const all = inHand();
    if (!all.length) return "";
    const count = all.filter((tick) => !tick.checked).length;
    return count ? ` Still to scan: ${count}.` : " All are in hand.";
  }

  /** What is none of the ticks is the program's to say: another case, a mistyped code, several codes in one. */
  async function ask(text) {
    const body = new URLSearchParams(new FormData(form));
    body.delete("scan_before");
    body.set("scan", text);
    body.set("go", "scan");
    const isGet = form.method === "get";
    const address = form.getAttribute("action") || location.pathname;
    const answer = isGet ? await fetch(`${address}?${body}`) : await fetch(address, { method: "POST", body });
    const page = new DOMParser().parseFromString(await answer.text(), "text/html");
    const said = page.querySelector(".scanned .say");
    if (!said) throw new Error("another page");
    for (const tick of ticks()) {
      const there = page.querySelector(`input[type="checkbox"][name="${tick.name}"]`);
      if (there && there.checked) tick.checked = true;
    }
    const [own, their] = [form, page].map((where) => where.querySelector('[name="foreign"]'));
    if (own && their && !own.value) own.value = their.value;
    say.replaceChildren(...said.childNodes);
    keep();
  }

  let turn = Promise.resolve();
  function take(text) {
    const tag = tagOf(text);
    const tick = ticks().find((one) => one.name.startsWith(`${tag}.`));
    if (!tick) {
      turn = turn.then(() => ask(text)).catch(() => tell(`“${text}” could not be looked up: scan it again.`, true));
      return;
    }
    const was = tick.checked;
    tick.checked = true;
    keep();
    tell(`${tick.dataset.said} ${was ? "was ticked off before" : "is ticked off"}.${left()}`, false);
  }

  form.addEventListener("submit", (event) => {
    if (isScan(event.submitter)) {
      event.preventDefault();
      const text = box.value;
      box.value = "";
      box.removeAttribute("aria-invalid");
      box.focus();
      if (text.trim()) take(text);
      return;
    }
    // A form that no server answers stays on its page, and so do its ticks (send.js).
    if (form.method === "post" && !form.dataset.sent) return;
    try {
      localStorage.removeItem(kept);
    } catch { /* as above */ }
  });
  form.addEventListener("change", keep);
  recall();
  keep();
  // The program counts what it was sent; this browser remembers more.
  const counted = say.querySelector(".ticked, [role=status]");
  if (counted && inHand().length) counted.textContent = counted.textContent.replace(/ (Still to scan: \d+|All are in hand)\./, left());
})();
