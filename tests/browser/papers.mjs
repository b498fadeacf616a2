// Every paper of every sample case as pictures, on A4 and on Letter, for somebody to look through.
import { execFileSync } from "node:child_process";
import { mkdirSync, writeFileSync } from "node:fs";
import { join } from "node:path";
import { Person } from "./harness.mjs";

const DOTS = process.env.VESTIBULE_GALLERY_DOTS ?? "80";
const TEXTS = 2;
/** What of a case leads to a paper. */
const LEADS = /^\/(cases\/[0-9A-Z]+(\/(history|write|bench|pictures|passed|revisions\/\d+))?|handoffs\/[^/]+|items\/[^/]+|bench|passed(\/[^/]+)?)$/;

/** All houses print on this paper from now on. */
async function printOn(admin, paper) {
  await admin.go("/parties");
  for (const link of await hrefs(admin, /^\/parties\/(?!new)[^/]+$/)) {
    await admin.go(link);
    await admin.type("paper", paper);
    await admin.press("Save");
  }
}

async function hrefs(person, which) {
  const all = await person.page.$$eval("a[href]", (links) => links.map((link) => link.getAttribute("href")));
  return [...new Set(all)].filter((href) => which.test(href.split(/[?#]/)[0]));
}

/** The papers that somebody can reach from the first page, by address. */
async function reached(person) {
  const found = new Set();
  const seen = new Set(["/"]);
  for (const path of seen) {
    await person.go(path);
    for (const href of await hrefs(person, /\.pdf$/)) if (!/[?&]paper=/.test(href)) found.add(href);
    for (const href of await hrefs(person, LEADS)) seen.add(href.split(/[?#]/)[0]);
    if (path === "/") for (const list of ["coming", "others", "you"]) for (const more of await hrefs(person, new RegExp(`^/(find)?.*${list}`))) seen.add(more);
  }
  for (const paper of ["/patients/key-sheet.pdf", "/day-list.pdf?for=week"]) found.add(paper);
  return { found, cases: [...seen].filter((path) => /^\/cases\/[0-9A-Z]+$/.test(path)) };
}

/** The labels of one case on every kind of sheet, as their form asks for them. */
async function labels(person, path) {
  await person.go(`${path}/labels`);
  return person.page.evaluate((path) => {
    const form = document.querySelector("form:has([name=grid])");
    const grids = [...form.elements.grid.options].map((option) => option.value).filter((word) => word);
    const asked = (grid, file) => {
      const query = new URLSearchParams(new FormData(form));
      query.delete("scan");
      query.set("grid", grid);
      const own = { width: "62", height: "29", columns: "3", rows: "8", left: "8", top: "12", gap_across: "2", gap_down: "2" };
      for (const [name, text] of Object.entries(own)) if (form.elements[name] && !query.get(name)) query.set(name, text);
      return `${path}/${file}?${query}`;
    };
    return [...grids.map((grid) => asked(grid, "labels.pdf")), asked(grids[0], "labels/test.pdf")];
  }, path);
}

/** Writes one paper, and its pages as pictures; answers how many. */
function draw(bytes, folder, name) {
  const file = join(folder, `${name}.pdf`);
  writeFileSync(file, bytes);
  execFileSync("qpdf", ["--check", file], { stdio: "ignore" });
  execFileSync("pdftoppm", ["-r", DOTS, "-png", file, join(folder, name)]);
  const pages = Number(execFileSync("pdfinfo", [file]).toString().match(/Pages:\s+(\d+)/)[1]);
  return pages;
}

/** Every paper that these people can print. Returns how many pages, and what could not be printed. */
export async function papers(browser, server, folder, logins) {
  const own = join(folder, "papers");
  mkdirSync(own, { recursive: true });
  const admin = await Person.signIn(browser, server, "admin");
  const told = { pages: 0, kinds: new Map(), wrong: [] };
  const people = [];
  for (const login of logins) {
    const person = await Person.signIn(browser, server, login);
    people.push({ login, person, ...(await reached(person)) });
  }
  for (const paper of ["a4", "letter"]) {
    await printOn(admin, paper);
    const printed = new Set();
    let texts = 0;
    // What both houses print is the same paper; of full texts, which are long, a few will do.
    const isNew = (href) => {
      if (/day-list|key-sheet/.test(href)) return true;
      if (printed.has(href) || (/text\.pdf/.test(href) && (texts += 1) > TEXTS)) return false;
      printed.add(href);
      return true;
    };
    for (const { login, person, found, cases } of people) {
      const ofLabels = cases.length ? await labels(person, cases[0]) : [];
      for (const [place, href] of [...found, ...ofLabels].filter(isNew).entries()) {
        const isOfRevision = /slip\.pdf|text\.pdf|draft\.pdf/.test(href);
        const answer = await person.fetch(isOfRevision ? `${href}?paper=${paper}` : href);
        const name = [paper, login, String(place).padStart(3, "0"), href.replace(/[?].*/, "").replaceAll("/", "_").replace(".pdf", "")].join(" ");
        if (answer.status !== 200 || answer.type !== "application/pdf") {
          // What is not one's own is not printed: a lab has no key sheet.
          if (![403, 404].includes(answer.status)) told.wrong.push(`${href} answers ${login} with ${answer.status} ${answer.type}`);
          continue;
        }
        const kind = href.replace(/[?].*/, "").split("/").pop();
        told.kinds.set(kind, (told.kinds.get(kind) ?? 0) + 1);
        told.pages += draw(answer.bytes, own, name);
      }
    }
  }
  for (const { person } of people) await person.context.close();
  return told;
}
