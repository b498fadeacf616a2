// What a save is answered with stands in the bar, in sight wherever one is in the form, and in full.
import { Person } from "./harness.mjs";
import { openCase } from "./actions.mjs";

/** Answers of a server to a save: status, the word of a refusal, and how the sentence begins. */
const ANSWERS = [
  [0, "", "The server does not answer."],
  [401, "", "You are signed out."],
  [403, "another-person", "Another person is signed in here now."],
  [403, "password", "Whoever is here now came by a code"],
  [403, "role", "The role of whoever is signed in here now does not write prescriptions."],
  [403, "origin", "Something between this browser and the server changes what is sent"],
  [403, "", "This could not be saved."],
  [422, "", "This could not be saved."],
  [500, "", "The server is in trouble."],
  [409, "draft", "This draft has been signed or given up meanwhile."],
  [409, "closed", "The case has been closed meanwhile."],
];

/** In the middle of the form, on a telephone and on a screen, each answer is read without scrolling. */
export async function answersInTheBar(browser, server) {
  const dentist = await Person.signIn(browser, server, "ilse");
  const { page } = dentist;
  const path = await openCase(dentist);
  let answer = null;
  await page.setRequestInterception(true);
  page.on("request", (request) => {
    if (!answer || request.method() !== "POST" || !request.url().endsWith("/autosave")) return request.continue();
    const [status, why] = answer;
    if (status === 0) return request.abort();
    return request.respond({ status, headers: why ? { "vestibule-refused": why } : {}, body: "" });
  });
  const wrong = [];
  for (const width of [1280, 390, 320]) {
    await page.setViewport({ width, height: 844 });
    for (const one of ANSWERS) {
      answer = null;
      await dentist.go(`${path}/write`);
      await page.waitForFunction(() => !document.querySelector("form.writing .inside[data-later]"));
      answer = one;
      await page.$eval('[name="shade.tab"]', (box) => {
        box.scrollIntoView({ block: "center" });
        box.focus();
      });
      await page.keyboard.type("x");
      await page.waitForFunction(() => document.getElementById("saved").classList.contains("message"));
      const seen = await page.$eval("#saved", (line) => {
        const { left, top, bottom, right } = line.getBoundingClientRect();
        const isCut = line.scrollHeight > line.clientHeight + 1 || line.scrollWidth > line.clientWidth + 1;
        const lies = line.contains(document.elementFromPoint(left + 4, top + 4));
        return { words: line.textContent, isCut, isThere: lies && top >= 0 && bottom <= innerHeight && right <= innerWidth };
      });
      const [status, why, begins] = one;
      if (!seen.words.startsWith(begins)) wrong.push(`${status} ${why} is told as “${seen.words}”`);
      if (seen.isCut || !seen.isThere) wrong.push(`${width} px: “${seen.words}” is ${seen.isCut ? "cut" : "not in sight"}`);
      await page.evaluate(() => localStorage.clear());
    }
  }
  if (wrong.length > 0) throw new Error(wrong.join("\n"));
  return [dentist];
}
