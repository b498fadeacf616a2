import { Server, openBrowser, Person } from "./harness.mjs";
const server = await Server.demo();
const browser = await openBrowser();
for (const [who, w] of [["ilse",1280],["ilse",390],["bruno",390],["bruno",1280]]) {
  const p = await Person.signIn(browser, server, who, {width: w});
  const { page } = p;
  await page.setViewport({ width: w, height: w < 500 ? 844 : 900 });
  await p.go("/");
  await page.screenshot({ path: `/tmp/qq-home-${who}-${w}.png`, fullPage: true });
  const links = await page.$$eval(".agenda li a", (all) => all.map(a => [a.getAttribute("href"), a.textContent]));
  const q = links.find(([, t]) => /question/i.test(t));
  console.log(who, w, q?.[1]?.replace(/\s+/g," "));
  const path = q[0];
  await p.go(path);
  await page.screenshot({ path: `/tmp/qq-case-${who}-${w}.png`, fullPage: true });
  await p.go(path + "/questions");
  await page.screenshot({ path: `/tmp/qq-q-${who}-${w}.png`, fullPage: true });
  console.log(await page.evaluate(() => document.documentElement.scrollHeight));
}
await browser.close(); await server.stop();
