// What stands in a box of the form is seen whole, on a screen of 1280 pixels.
import { Person } from "./harness.mjs";

const WIDTH = 1280;
/** Pixels of the arrow of a choice. */
const ARROW = 18;

/** The boxes in which something is cut off, by name, with what stands there; everything is opened. */
const cutOff = (page) =>
  page.evaluate((arrow) => {
    for (const fold of document.querySelectorAll("form.writing details")) fold.open = true;
    const pen = document.createElement("canvas").getContext("2d");
    const isCut = (box) => {
      if (box.tagName === "TEXTAREA") return box.scrollHeight > box.clientHeight + 1;
      if (box.tagName !== "SELECT") return box.scrollWidth > box.clientWidth + 1;
      const { fontStyle, fontWeight, fontSize, fontFamily, paddingLeft, paddingRight } = getComputedStyle(box);
      pen.font = [fontStyle, fontWeight, fontSize, fontFamily].join(" ");
      const room = box.clientWidth - parseFloat(paddingLeft) - parseFloat(paddingRight) - arrow;
      return pen.measureText(box.selectedOptions[0].text.trim()).width > room + 1;
    };
    const filled = [...document.querySelectorAll("form.writing :is(input, select, textarea)")].filter(
      (box) => box.value.trim() && !["checkbox", "hidden"].includes(box.type) && box.checkVisibility(),
    );
    const cut = filled.filter(isCut).map((box) => `${box.name} “${box.selectedOptions?.[0].text.trim() ?? box.value}”`);
    return { cut, count: filled.length };
  }, ARROW);

/** Each draft of the demo, as the dentist finds it, with all its parts opened. */
export async function wholeValues(browser, server) {
  const dentist = await Person.signIn(browser, server, "ilse", { width: WIDTH });
  const { page } = dentist;
  await dentist.go("/");
  const links = await page.$$eval('a[href^="/cases/C"]', (all) => all.map((link) => link.getAttribute("href").match(/^\/cases\/[^/?#]+/)[0]));
  const wrong = [];
  let filled = 0;
  for (const path of new Set(links)) {
    await dentist.go(`${path}/write`);
    if (!(await page.$("form.writing"))) continue;
    await page.waitForFunction(() => !document.querySelector("form.writing .inside[data-later]"));
    const { cut, count } = await cutOff(page);
    filled += count;
    wrong.push(...cut.map((one) => `${path}: ${one}`));
  }
  console.log(`        ${filled} filled boxes`);
  if (filled < 500) throw new Error(`only ${filled} boxes are filled`);
  if (wrong.length > 0) throw new Error(`${wrong.length} values are cut off: ${wrong.slice(0, 40).join("; ")}`);
  return [dentist];
}
