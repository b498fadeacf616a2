// How heavy the pages are, as they are read: every page that a link of the demo leads to, for everybody who has an account.
import { NO_PAGE, kindOf } from "./pages.mjs";
import { Person } from "./harness.mjs";

/** Bytes of one page. */
const MOST = 100 * 1024;
/** Pages of one kind for one person: months and days lead on for ever. */
const OF_A_KIND = 60;

const decoded = (text) => text.replaceAll("&amp;", "&").replaceAll("&#38;", "&");

/** All pages that this person comes to, each with its bytes. */
async function walked(person) {
  const sizes = new Map();
  const kinds = new Map();
  const seen = new Set(["/"]);
  const waiting = ["/"];
  while (waiting.length) {
    const path = waiting.shift();
    const kind = kindOf(path);
    kinds.set(kind, (kinds.get(kind) ?? 0) + 1);
    if (kinds.get(kind) > OF_A_KIND) continue;
    const { status, type, bytes } = await person.fetch(path);
    if (!type?.startsWith("text/html")) continue;
    if (path.endsWith("/sign") && [403, 409].includes(status)) continue; // not this one's to sign, or nothing to be signed
    if (status >= 400) throw new Error(`${path} answers ${status}`);
    sizes.set(path, bytes.length);
    // Where a button leads, and no link.
    if (/\/write$/.test(path)) waiting.push(`${path}?look=yes`, `${path}?more=pattern`, `${path}?more=order`, path.replace(/write$/, "sign"));
    for (const [, link] of bytes.toString().matchAll(/<a\s[^>]*href="([^"]+)"/g)) {
      const to = new URL(decoded(link), person.server.address + path);
      const inside = to.pathname + to.search;
      if (to.origin !== person.server.address || NO_PAGE.test(to.pathname) || seen.has(inside)) continue;
      seen.add(inside);
      waiting.push(inside);
    }
  }
  return sizes;
}

export async function everyPage(browser, server) {
  const largest = new Map();
  const people = [];
  let count = 0;
  for (const login of Object.keys(server.accounts)) {
    const person = await Person.signIn(browser, server, login);
    people.push(person);
    const sizes = await walked(person);
    count += sizes.size;
    for (const [path, size] of sizes) {
      const kind = kindOf(path);
      if (size > (largest.get(kind)?.size ?? 0)) largest.set(kind, { size, path, login });
    }
  }
  const all = [...largest.values()].sort((one, other) => other.size - one.size);
  const told = all.slice(0, 5).map(({ size, path, login }) => `${path} for ${login} ${(size / 1024).toFixed(1)} KB`);
  console.log(`        ${count} pages of ${largest.size} kinds; the largest: ${told.join(", ")}`);
  if (largest.size < 30) throw new Error(`only ${largest.size} kinds of page were found`);
  const heavy = all.filter(({ size }) => size > MOST);
  if (heavy.length > 0) throw new Error(`more than 100 KB: ${heavy.map(({ path, size }) => `${path} ${size}`).join(", ")}`);
  return people;
}
