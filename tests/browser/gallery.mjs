// Writes a picture of every kind of page in every width and theme and of every paper, for somebody to look through, and
// says what axe finds on each page:
//   VESTIBULE_TEST_BINARY=target/debug/vestibule node tests/browser/gallery.mjs FOLDER [pages|papers] [LOGIN...]
import { mkdirSync } from "node:fs";
import { join } from "node:path";
import { Person, Server, openBrowser } from "./harness.mjs";
import { papers } from "./papers.mjs";
import { THEMES, WIDTHS, pages, shown } from "./pages.mjs";

const [folder, ...words] = process.argv.slice(2);
const only = ["pages", "papers"].includes(words[0]) ? words.shift() : "";
const logins = words;
if (!folder) throw new Error("name the folder for the pictures");
mkdirSync(folder, { recursive: true });
const server = await Server.demo();
const browser = await openBrowser();
let broken = 0;
let pictures = 0;
for (const login of only === "papers" ? [] : logins.length ? logins : Object.keys(server.accounts)) {
  const person = await Person.signIn(browser, server, login);
  await pages(person, async (path, kind) => {
    for (const theme of THEMES) {
      for (const width of WIDTHS) {
        await shown(person, width, theme);
        const name = [login, kind.replaceAll("/", "_").replaceAll("#", "N"), width, theme].join(" ");
        await person.picture(join(folder, `${name}.png`));
        pictures += 1;
        await person.isAccessible().catch((error) => {
          broken += 1;
          console.log(`${name}: ${error.message}`);
        });
      }
    }
  });
}
// One of each house, and one of each side.
const printed = only === "pages" ? null : await papers(browser, server, folder, logins.length ? logins : ["ilse", "vera", "ruth", "carl"]);
await browser.close();
await server.stop();
if (printed) {
  const kinds = [...printed.kinds].map(([kind, count]) => `${count} ${kind}`).join(", ");
  console.log(`${printed.pages} pages of papers in ${folder}/papers: ${kinds}`);
  printed.wrong.forEach((words) => console.log(words));
  broken += printed.wrong.length;
}
console.log(`${pictures} pictures in ${folder}, ${broken} with something to mend`);
process.exit(broken === 0 ? 0 : 1);
