import { Server, openBrowser, Person } from "./harness.mjs";
import { writeFileSync } from "node:fs";
const server = await Server.demo();
const browser = await openBrowser();
const p = await Person.signIn(browser, server, "ilse", {width: 390});
const { page } = p;
const shot = async (path, name, w) => { await page.setViewport({ width: w, height: w < 500 ? 844 : 900 }); await p.go(path); await page.screenshot({ path: `/tmp/u-${name}-${w}.png`, fullPage: true }); };
await shot("/usual", "list", 390);
const set = await page.$$eval('main a[href^="/usual/"]', (all) => all.map(a => a.getAttribute("href")));
console.log(set);
await shot(set[0], "set", 390); await shot(set[0], "set", 1280);
// a new draft
await p.go("/patients/new"); await p.type("patient.age_band", "70_79"); await p.press("Draw a code"); await p.press("Open a case");
await p.type("arches", "both");
const lab = await page.$$eval('select[name="lab"] option', (o) => o.find((x) => x.textContent.includes("Brickyard")).value);
await p.type("lab", lab); await p.press("Open the case");
const path = new URL(page.url()).pathname;
await page.screenshot({ path: `/tmp/u-opened-390.png`, fullPage: true });
await shot(path + "/items/set", "register", 390); await shot(path + "/items/set", "register", 1280);
await p.press("Register");
await p.go(path + "/write");
const [b] = await page.$$(`.kinds button[value="course-copy"]`);
await Promise.all([page.waitForNavigation({ waitUntil: "load" }), b.click()]);
await page.setViewport({ width: 1280, height: 900 }); await page.screenshot({ path: `/tmp/u-write-1280.png`, fullPage: true });
await page.setViewport({ width: 390, height: 844 }); await p.go(path + "/write"); await page.screenshot({ path: `/tmp/u-write-390.png`, fullPage: true });
// custody sheet of the richest case
await p.go("/");
const first = await page.$$eval('.agenda li a', (all) => all.map(a => a.getAttribute("href")));
for (const [i, c] of first.slice(0, 4).entries()) { const f = await p.fetch(c + "/history.pdf"); writeFileSync(`/tmp/u-hist-${i}.pdf`, f.bytes); }
await browser.close(); await server.stop();
