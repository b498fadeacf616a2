// This browser as a witness: it keeps the last checkpoint of the record that it saw (size, root and signature,
// nothing about anybody), holds each newer one against it by itself, and cosigns what it has compared.
// Pages work without it.
(() => {
  "use strict";
  const given = document.currentScript.dataset;
  const KEPT = "vestibule.checkpoint";
  const hashing = globalThis.crypto?.subtle; // only over https, or on this computer itself
  const ours = given.key.split("+")[0];

  // --- bytes and texts ---------------------------------------------------------------------------
  const utf8 = (text) => new TextEncoder().encode(text);
  const bytes = (base64) => Uint8Array.from(atob(base64), (letter) => letter.charCodeAt(0));
  const base64 = (list) => btoa(String.fromCharCode(...list));
  const joined = (...lists) => Uint8Array.from(lists.flatMap((list) => [...list]));
  const hex = (list) => [...list].map((byte) => byte.toString(16).padStart(2, "0")).join("");
  const sha256 = async (list) => new Uint8Array(await hashing.digest("SHA-256", list));

  /** A signed note (C2SP tlog-checkpoint): three lines, an empty one, signatures. Null where it is none. */
  function read(note) {
    const parts = /^(([^\n]+)\n(0|[1-9]\d*)\n([A-Za-z0-9+/]{43}=)\n)\n((?:— [^\n]+\n)+)$/.exec(note);
    return parts && { note, text: parts[1], origin: parts[2], size: Number(parts[3]), root: parts[4], lines: parts[5].split("\n") };
  }

  /** The 32 bytes of a key written as name+id+base64. */
  const keyOf = (vkey) => bytes(vkey.split("+").slice(2).join("+")).slice(1);

  /** Whether this key has signed the note; undefined where the browser knows no Ed25519. */
  async function isSigned(seen, vkey) {
    let key;
    try {
      key = await hashing.importKey("raw", keyOf(vkey), "Ed25519", false, ["verify"]);
    } catch {
      return undefined;
    }
    const [name, id] = vkey.split("+");
    for (const line of seen.lines) {
      const [, by, signature] = line.split(" ");
      if (by !== name) continue;
      const all = bytes(signature);
      if (hex(all.slice(0, 4)) === id && (await hashing.verify("Ed25519", key, all.slice(4), utf8(seen.text)))) return true;
    }
    return false;
  }

  // --- the tree: RFC 9162, section 2.1.4.2 ---------------------------------------------------------
  const half = (number) => Math.floor(number / 2);
  const node = async (left, right) => base64(await sha256(joined([1], bytes(left), bytes(right))));

  async function contains(older, newer, proof) {
    if (older.size === newer.size) return proof.length === 0 && older.root === newer.root;
    let odd = older.size;
    while (odd % 2 === 0 && odd > 0) odd = half(odd);
    const path = odd === 1 ? [older.root, ...proof] : proof;
    if (path.length === 0) return false;
    let place = older.size - 1;
    let last = newer.size - 1;
    while (place % 2 === 1) [place, last] = [half(place), half(last)];
    let [then, now] = [path[0], path[0]];
    for (const beside of path.slice(1)) {
      if (last === 0) return false;
      if (place % 2 === 1 || place === last) {
        then = await node(beside, then);
        now = await node(beside, now);
        while (place % 2 === 0 && place !== 0) [place, last] = [half(place), half(last)];
      } else {
        now = await node(now, beside);
      }
      [place, last] = [half(place), half(last)];
    }
    return last === 0 && then === older.root && now === newer.root;
  }

  // --- what is kept ------------------------------------------------------------------------------
  function kept() {
    try {
      const { note, key } = JSON.parse(localStorage.getItem(KEPT));
      return { ...read(note), key };
    } catch {
      return null;
    }
  }
  const keep = (seen) => localStorage.setItem(KEPT, JSON.stringify({ note: seen.note, key: given.key }));

  async function text(path, init) {
    // Whoever is signed out is led elsewhere, and a page is no answer: then nothing was compared.
    const answer = await fetch(path, { cache: "no-store", redirect: "error", ...init });
    if (!answer.ok || answer.headers.get("content-type")?.startsWith("text/html")) throw new Error(path);
    return answer.text();
  }

  // --- what is said ------------------------------------------------------------------------------
  const say = (id, words) => Object.assign(document.getElementById(id) ?? {}, { textContent: words });

  function box(kind, head, sentences, button, press) {
    const box = document.createElement("div");
    box.className = kind;
    box.id = "witness-says";
    box.setAttribute("role", "alert");
    const strong = document.createElement("strong");
    strong.textContent = head;
    const first = document.createElement("p");
    first.append(strong, ` ${sentences.join(" ")}`);
    box.append(first);
    if (button) {
      const element = Object.assign(document.createElement("button"), { type: "button", className: "quiet", textContent: button });
      element.addEventListener("click", press);
      box.append(element);
    }
    document.getElementById("main").prepend(box);
  }
  const goOn = () => (localStorage.removeItem(KEPT), location.reload());

  /** An alarm is shown here whatever the program says of it, and told to the program so that all see it. */
  async function alarm(before, why) {
    const words = [`It kept ${before.size} entries with a root that begins ${hex(bytes(before.root).slice(0, 8)).toUpperCase()}, and ${why}.`];
    let button = null;
    try {
      const answer = JSON.parse(await text("/record/alarm", { method: "POST", body: new URLSearchParams({ kept: before.note }) }));
      words.push(answer.contained ? "The program says that all is well: compare a paper before you believe it." : answer.cleared ?? (answer.told ? "Everybody here sees it now." : "This record's key has not signed it, so nobody else is told: tell your administrator."));
      if (answer.cleared) button = "I have read this: keep the record of now";
      if (answer.contained) button = "I have compared a paper: keep the record of now";
    } catch {
      words.push("It could not be told to the program: tell your administrator.");
    }
    box("alarm", "Alarm: this browser has kept a checkpoint that the record does not contain.", words, button, goOn);
  }

  // --- a key of its own ---------------------------------------------------------------------------
  const done = (request) => new Promise((fine, fail) => Object.assign(request, { onsuccess: () => fine(request.result), onerror: () => fail(request.error) }));

  /** The witness's key of this party in this browser: made once, and its secret cannot be taken out. */
  async function ownKey(name) {
    const opening = indexedDB.open("vestibule", 1);
    opening.onupgradeneeded = () => opening.result.createObjectStore("witness");
    const store = await done(opening);
    let pair = await done(store.transaction("witness").objectStore("witness").get(name));
    if (!pair) {
      pair = await hashing.generateKey("Ed25519", false, ["sign", "verify"]);
      await done(store.transaction("witness", "readwrite").objectStore("witness").put(pair, name));
    }
    const raw = joined([4], new Uint8Array(await hashing.exportKey("raw", pair.publicKey)));
    const id = (await sha256(joined(utf8(`${name}\n`), raw))).slice(0, 4);
    return { secret: pair.privateKey, id, vkey: `${name}+${hex(id)}+${base64(raw)}` };
  }

  /** Signs what was compared (C2SP cosignature/v1), once for each checkpoint and party. */
  async function cosign(seen) {
    const mark = `${given.name} ${seen.text}`;
    if (!given.name || localStorage.getItem(`${KEPT}.cosigned`) === mark) return;
    const key = await ownKey(given.name);
    const time = BigInt(Math.floor(Date.now() / 1000));
    const signature = await hashing.sign("Ed25519", key.secret, utf8(`cosignature/v1\ntime ${time}\n${seen.text}`));
    const stamp = new DataView(new ArrayBuffer(8));
    stamp.setBigUint64(0, time);
    const line = `— ${given.name} ${base64(joined(key.id, new Uint8Array(stamp.buffer), new Uint8Array(signature)))}`;
    await text("/record/cosign", { method: "POST", body: new URLSearchParams({ checkpoint: seen.note, key: key.vkey, line }) });
    localStorage.setItem(`${KEPT}.cosigned`, mark);
  }

  // --- each page ----------------------------------------------------------------------------------
  async function watch() {
    const before = kept();
    let now = read(given.checkpoint);
    if (before?.note && before.origin !== ours) {
      box("summary", "This browser has kept another record at this address.", [`It was ${before.origin}, with ${before.size} entries; this one is ${ours}. After a new installation that is right. Otherwise tell your administrator, and compare a paper.`], "It is a new installation: keep this one", goOn);
      return;
    }
    if (before?.note && before.note !== now?.note) {
      // What stands in this page may be older than what another page has kept meanwhile: ask for what is there now.
      now = read(await text("/record/checkpoint"));
      if (before.key !== given.key) return alarm(before, "the record now has another key");
      if (!now || now.size < before.size) return alarm(before, `the record now has ${now ? now.size : "no"} entries`);
      if (now.size === before.size && now.root !== before.root) return alarm(before, "the same number of entries now has another root");
      if (now.size > before.size && hashing) {
        const [head, note] = (await text(`/record/growth?from=${before.size}`)).split(/\n\n([\s\S]*)/);
        now = read(note);
        const [old, ...proof] = head.split("\n");
        const grown = now && old === `old ${before.size}` && (await contains(before, now, proof));
        if (!grown) return alarm(before, "the record of now did not grow from it");
      }
    }
    if (!now || now.origin !== ours) return;
    const signed = hashing && (await isSigned(now, given.key));
    if (signed === false) return alarm(before ?? now, "the newest checkpoint is not signed by the record’s key");
    if (now.note !== before?.note) keep(now);
    say("this-browser", signed ? `This browser has compared and checked the signature: ${now.size} entries.`
      : hashing ? `This browser has compared: ${now.size} entries. It cannot check signatures.`
      : "This browser only compares sizes and equal roots: the address is neither https nor this computer’s own.");
    if (signed) await cosign(now);
  }

  // One page at a time: two tabs would make two keys.
  const turn = navigator.locks ? navigator.locks.request(KEPT, watch) : watch();
  turn.catch(() => say("this-browser", "This browser could not compare now; it tries again on the next page."));
})();
