// How heavy the pages are, as they are read: every page that a link of the demo leads to, for everybody who has an account.
import { LEAST, fillIn, giveReasons, openCase, register, signAs } from "./actions.mjs";
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

/** Notes of somebody who explains everything: how many at least, and each. */
const NOTES = 12;
const NOTE = "as tried in, seen by both of us";
/** Days on which everybody works, long after those of the demo. */
export const OTHER_DAYS = { "dates.wanted": "2027-03-08", "dates.insertion": "2027-03-10", "dates.first_check": "2027-03-11" };

/** The pages of a draft that the demo does not have: with its cautions unanswered, of another day alone, and with as many notes as
 *  it has boxes for; and of what is signed of it. In an empty row of a list a note would make the rest of the row asked for.
 *  Returns their bytes by address. */
async function writtenDrafts(dentist, path, server) {
  const sizes = new Map();
  const weigh = async (page, name) => {
    const { status, bytes } = await dentist.fetch(`${path}${page}`);
    if (status !== 200) throw new Error(`${page}, ${name}, answers ${status}`);
    sizes.set(`${path}${page} (${name})`, bytes.length);
    const words = bytes.toString().match(/data-words="([^"]+)"/);
    if (words) sizes.set(`${path}${page} in words (${name})`, (await dentist.fetch(decoded(words[1]))).bytes.length);
  };
  const newest = async () => {
    await dentist.go(path);
    return dentist.page.$$eval('a[href*="/revisions/"]', (all) => Math.max(...all.map((one) => Number(one.getAttribute("href").match(/revisions\/(\d+)/)[1]))));
  };
  await dentist.go(`${path}/write`);
  await dentist.page.waitForFunction(() => !document.querySelector("form.writing .inside[data-later]"));
  await fillIn(dentist, OTHER_DAYS);
  await dentist.press("Save");
  await weigh("/sign", "another day");
  await giveReasons(dentist, path);
  await weigh("/sign", "another day, with reasons");
  await dentist.go(`${path}/write`);
  await dentist.page.waitForFunction(() => !document.querySelector("form.writing .inside[data-later]"));
  const noted = await dentist.page.$$eval(
    'form.writing :is(textarea, input[name$="note"]):not([name^="reason."])',
    (boxes, note) => {
      const empty = boxes.filter((box) => !box.value && !/\.\d+\./.test(box.name));
      for (const box of empty) box.value = note;
      return empty.length;
    },
    NOTE,
  );
  if (noted < NOTES) throw new Error(`only ${noted} notes were written`);
  await dentist.press("Save");
  await weigh("/sign", "with notes, not ready");
  await giveReasons(dentist, path);
  await weigh("/sign", "with notes");
  await signAs(dentist, path, server);
  await weigh(`/revisions/${await newest()}`, "with notes");
  return sizes;
}

/** A draft of somebody who leaves out most of what is asked and explains everything, with a full box: the largest page of the
 *  form. What it has no room for comes behind it, with every word that was typed. Returns the bytes by address. */
async function overloadedDraft(dentist, assistant) {
  const path = await openCase(assistant);
  for (const kind of ["impression", "cast", "duplicate", "old_denture"]) {
    for (const arch of ["upper", "lower"]) await register(assistant, path, kind, arch);
  }
  await register(assistant, path, "bite_record");
  await dentist.go(`${path}/write`);
  await Promise.all([dentist.page.waitForNavigation({ waitUntil: "load" }), dentist.page.click('.kinds button[value="course-immediate"]')]);
  const whole = () => dentist.page.waitForFunction(() => !document.querySelector("form.writing .inside[data-later]"));
  const sizes = new Map();
  // First what stands by itself, then what stands in rows of lists, of which each is a row more.
  for (const which of [/^[^.]+\.[^.]+$/, /^[^.]+\.\d+\.[^.]+$/]) {
    await dentist.go(`${path}/write`);
    await whole();
    await dentist.page.$$eval(
      'form.writing :is(textarea, input:not([type], [inputmode=decimal]))',
      (boxes, [pattern, note]) => {
        for (const box of boxes) if (!box.value && new RegExp(pattern).test(box.name) && !box.name.startsWith("reason.")) box.value = note;
      },
      [which.source, NOTE],
    );
    await dentist.press("Save");
  }
  for (const page of ["/write", "/write?look=yes", "/write?more=pattern", "/write?more=enclosures", "/write?more=enclosed"]) {
    sizes.set(`${path}${page} (overloaded)`, (await dentist.fetch(`${path}${page}`)).bytes.length);
  }
  await dentist.go(`${path}/write`);
  await whole();
  const stand = await dentist.page.$$eval("form.writing :is(textarea, input)", (boxes, note) => boxes.filter((box) => box.value === note).length, NOTE);
  if (stand < 5 * NOTES) throw new Error(`only ${stand} of the notes stand in the form`);
  return sizes;
}

/** The first case of the demo with a signed prescription that can be written anew, and one of somebody's own with the least. */
async function casesToWrite(dentist, assistant, server) {
  await dentist.go("/");
  const paths = await dentist.page.$$eval('a[href^="/cases/C"]', (all) => all.map((link) => link.getAttribute("href").match(/^\/cases\/[^/?#]+/)[0]));
  let signed;
  for (const path of new Set(paths)) {
    const [revision, sign] = [await dentist.fetch(`${path}/revisions/1`), await dentist.fetch(`${path}/sign`)];
    if (revision.status === 200 && sign.bytes.toString().includes("There is no draft to sign")) signed ??= path;
  }
  if (!signed) throw new Error("no case of the demo can be written anew");
  const own = await openCase(assistant);
  await dentist.go(`${own}/write`);
  await fillIn(dentist, LEAST);
  await dentist.press("Save");
  await signAs(dentist, own, server);
  return [signed, own];
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
  const [dentist, assistant] = ["ilse", "jonas"].map((login) => people[Object.keys(server.accounts).indexOf(login)]);
  for (const path of await casesToWrite(dentist, assistant, server)) {
    const drafts = await writtenDrafts(dentist, path, server);
    count += drafts.size;
    for (const [page, size] of drafts) largest.set(page, { size, path: page, login: "ilse" });
  }
  for (const [page, size] of await overloadedDraft(dentist, assistant)) {
    count += 1;
    largest.set(page, { size, path: page, login: "ilse" });
  }
  const all = [...largest.values()].sort((one, other) => other.size - one.size);
  const told = all.slice(0, 5).map(({ size, path, login }) => `${path} for ${login} ${(size / 1024).toFixed(1)} KB`);
  console.log(`        ${count} pages of ${largest.size} kinds; the largest: ${told.join(", ")}`);
  if (largest.size < 30) throw new Error(`only ${largest.size} kinds of page were found`);
  const heavy = all.filter(({ size }) => size > MOST);
  if (heavy.length > 0) throw new Error(`more than 100 KB: ${heavy.map(({ path, size }) => `${path} ${size}`).join(", ")}`);
  return people;
}
