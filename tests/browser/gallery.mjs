// Writes a picture of every kind of page and of its states in every width and theme, and of every paper, with a page
// that shows them all. `tests/gallery` starts it.
import { readdirSync, mkdirSync, writeFileSync } from "node:fs";
import { join } from "node:path";
import { Person, Server, openBrowser } from "./harness.mjs";
import { THEMES, WIDTHS, pages, shown } from "./pages.mjs";
import { papers } from "./papers.mjs";
import { states } from "./states.mjs";

const [folder, part = "all"] = process.argv.slice(2);
if (!folder) throw new Error("name the folder for the pictures");
if (!["all", "pages", "states", "papers"].includes(part)) throw new Error(`${part} is none of: pages, states, papers`);
const has = (what) => part === "all" || part === what;
/** One house after the other: whose page of a kind is shown. An assistant and a technician show what is only theirs. */
const SIDES = [["ilse", "jonas"], ["ruth", "owen"], ["vera", "bruno"], ["carl", "dana"], ["admin"]];
/** What each role has in words of its own. */
const OWN = ["/", "/account"];

mkdirSync(folder, { recursive: true });
const server = await Server.demo();
const browser = await openBrowser();
const wrong = [];
const taken = [];

/** The page as it stands, in all widths and themes; it is loaded once. */
async function shoot(person, name) {
  const file = name.replaceAll("/", "_").replaceAll("#", "N");
  for (const theme of THEMES) {
    for (const width of WIDTHS) {
      await shown(person, width, theme);
      const wide = await person.page.evaluate(() => document.documentElement.scrollWidth - innerWidth);
      if (wide > 0) wrong.push(`${name} scrolls ${wide} px sideways at ${width} px`);
      await person.picture(join(folder, `${file} ${width} ${theme}.png`), { optimizeForSpeed: true });
    }
  }
  await shown(person, 1280, "light");
  taken.push(file);
}

for (const logins of has("pages") ? SIDES : []) {
  const known = new Map();
  for (const login of logins) {
    const person = await Person.signIn(browser, server, login);
    for (const kind of OWN) known.delete(kind);
    await pages(person, (_, kind) => shoot(person, `${login} ${kind}`), { known });
    await person.context.close();
  }
}
if (has("states")) wrong.push(...(await states(browser, server, shoot)));
const printed = has("papers") ? await papers(browser, server, folder, ["ilse", "vera", "ruth", "carl"]) : null;
if (printed) wrong.push(...printed.wrong);
await browser.close();
await server.stop();

const escaped = (text) => text.replaceAll("&", "&amp;").replaceAll("<", "&lt;").replaceAll('"', "&quot;");
const link = (file, words, width) => `<a href="${encodeURI(file)}">${words}<br><img loading="lazy" alt="" width="${width}" src="${encodeURI(file)}"></a>`;
const ofPages = taken.map((file) => {
  const views = THEMES.flatMap((theme) => WIDTHS.map((width) => link(`${file} ${width} ${theme}.png`, `${width} ${theme}`, width / 4)));
  return `<section><h2>${escaped(file)}</h2><p>${views.join("\n")}</p></section>`;
});
const ofPapers = printed ? readdirSync(join(folder, "papers")).filter((file) => file.endsWith(".png")).map((file) => link(`papers/${file}`, escaped(file), 220)) : [];
writeFileSync(
  join(folder, "index.html"),
  `<!doctype html><html lang="en"><meta charset="utf-8"><title>Gallery</title>
<style>body{font:14px sans-serif;background:#99a}p{display:flex;flex-wrap:wrap;gap:8px;align-items:start}a{color:#000;max-width:330px;overflow-wrap:anywhere}section p{max-height:640px;overflow:auto}</style>
<h1>Gallery</h1>${ofPages.join("\n")}<h2>Papers</h2><p>${ofPapers.join("\n")}</p></html>
`,
);
if (printed) console.log(`${printed.pages} pages of papers: ${[...printed.kinds].map(([kind, count]) => `${count} ${kind}`).join(", ")}`);
wrong.forEach((words) => console.log(words));
console.log(`${taken.length} pages in ${WIDTHS.length * THEMES.length} views each, in ${folder}/index.html; ${wrong.length} with something to mend`);
process.exit(wrong.length === 0 ? 0 : 1);
