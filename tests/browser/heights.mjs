// How long the lists are that grow with the work: on a telephone, with the demo's months of work.
import { Person } from "./harness.mjs";

const NARROW = 390;
/** Pixels of a page, and of the one on which texts are erased. */
const MOST = 4000;
const MOST_TO_ERASE = 6000;

/** The page of what is in the house, and the history of every case that the agenda leads to; of the case with the longest
 *  one, what can be erased and its days. */
export async function shortLists(browser, server) {
  const people = [];
  const found = [];
  for (const login of ["vera", "ilse"]) {
    const person = await Person.signIn(browser, server, login, { width: NARROW });
    people.push(person);
    await person.go("/");
    const links = await person.page.$$eval('a[href^="/cases/C"]', (all) => all.map((link) => link.getAttribute("href").split(/[/?#]/)[2]));
    const cases = [...new Set(links)].filter((one) => /^C[0-9A-Z]{8}$/.test(one));
    if (cases.length < 5) throw new Error(`only ${cases.length} cases were found for ${login}`);
    for (const path of ["/in-house", ...cases.map((one) => `/cases/${one}/history`)]) {
      await person.go(path);
      const high = await person.page.evaluate(() => document.documentElement.scrollHeight);
      found.push({ high, path, login });
    }
    await person.isAccessible();
    const own = found.filter((one) => one.login === login && one.path.endsWith("/history"));
    const longest = own.reduce((one, other) => (other.high > one.high ? other : one));
    await person.go(longest.path.replace("history", "erase"));
    const { high, entries } = await person.page.evaluate(() => ({
      high: document.documentElement.scrollHeight, entries: document.querySelectorAll("details.erasable").length,
    }));
    console.log(`        erasing for ${login}: ${entries} entries, ${high} px at ${NARROW}`);
    if (entries === 0 || high > MOST_TO_ERASE) throw new Error(`${entries} entries to be erased are ${high} px high`);
    await person.isAccessible();
    for (const one of cases) {
      await person.go(`/cases/${one}/dates`);
      const drawn = await person.page.$$eval("svg.days", (all) => all.filter((strip) => strip.checkVisibility()).map((strip) => strip.getBoundingClientRect().right));
      if (drawn.length === 0) continue;
      if (drawn.length > 1 || drawn[0] > NARROW) throw new Error(`the strip of ${one} ends at ${drawn}`);
      await person.isAccessible();
      break;
    }
  }
  found.sort((one, other) => other.high - one.high);
  console.log(`        the longest: ${found.slice(0, 3).map(({ high, path, login }) => `${path} for ${login} ${high} px`).join(", ")}`);
  const long = found.filter(({ high }) => high > MOST);
  if (long.length > 0) throw new Error(`more than ${MOST} px at ${NARROW}: ${long.map(({ path, high }) => `${path} ${high}`).join(", ")}`);
  return people;
}
