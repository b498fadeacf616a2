// From an empty draft to a signed revision with the keyboard alone: written, read, and signed with the password.
import { Person } from "./harness.mjs";
import { fillIn, giveReasons, openCase } from "./actions.mjs";
import { WHOLE, seconds, walk } from "./minute.mjs";

/** Keys and choices, the password's among them, and seconds of the model. */
const AIMS = { keys: 110, seconds: 120 };
/** Two screens. */
const SCREEN = { width: 1280, height: 800 };
const MOST_HIGH = 2 * SCREEN.height;
const MOST_STOPS = 60;

/** What is typed by somebody after whom nothing has to be asked: moulds and tabs of the lists that are loaded. */
const CAREFUL = {
  ...WHOLE,
  "anterior.upper_mould": "Otter 7", "anterior.lower_mould": "Otter 3", "posterior.upper_mould": "Otter P2",
  "shade.tab": "birch 4", "base_shade.code": "heather 2", "impression.keeps_hours": "240",
};
/** A reason in somebody's own words. */
const REASON = "one block alone, as tried in";
const FREE = { "jaw.grooves": "two in each upper block, cheek side", "remarks.call_before": "the record does not seat without pressure" };
/** Which end of the block moved, the chair has not said. */
const OVER = { "changes.0.direction": "longer_edge" };

const enter = (page) => Promise.all([page.waitForNavigation({ waitUntil: "load" }), page.keyboard.press("Enter")]);

const isBeforeSigning = (page) => new URL(page.url()).pathname.endsWith("/sign");

/** Presses keys until the focus is where `test` says; how often. */
async function pressUntil(page, key, what, test) {
  for (let pressed = 0; pressed < MOST_STOPS; pressed += 1) {
    if (await page.evaluate(test)) return pressed;
    await page.keyboard.press(key);
  }
  throw new Error(`${key} does not come to ${what}`);
}

/** Gives each caution that stands against signing a reason, from the page that asks for it on: keys and stops. */
async function giveReasonsByKeys(page) {
  const open = () => document.querySelectorAll("#review-list .finding.caution:not(.resolved)").length;
  const cautions = await page.evaluate(open);
  const cost = { keys: 0, filled: cautions, passed: 0, cautions };
  if (cautions === 0) throw new Error(`what stands against signing is no caution: ${await page.$eval("#review-list", (list) => list.innerText)}`);
  cost.passed += await pressUntil(page, "Tab", "the link to the review", () => document.activeElement?.hash === "#review");
  await page.keyboard.press("Enter");
  cost.passed += await pressUntil(page, "Tab", "what is to be resolved", () => Boolean(document.activeElement?.closest("#review-list")));
  for (let given = 0; given < cautions; given += 1) {
    const isNext = () => {
      const caution = document.activeElement?.closest("summary")?.closest(".finding.caution:not(.resolved)");
      return Boolean(caution) && !caution.querySelector("[name^='reason.']").value;
    };
    cost.keys += await pressUntil(page, "ArrowDown", "the next caution", isNext);
    await page.keyboard.press("Enter");
    await page.keyboard.press("Tab");
    await page.keyboard.type(REASON);
    if (given + 1 < cautions) await page.keyboard.down("Shift").then(() => page.keyboard.press("Tab")).then(() => page.keyboard.up("Shift"));
    cost.keys += 3;
  }
  cost.passed += await pressUntil(page, "Tab", "“Read and sign”", () => document.activeElement?.value === "sign");
  await enter(page);
  cost.keys += 2;
  return cost;
}

/** What is read before it is signed, without the sheet itself: how many words, and how high the page is. */
const toRead = (page) =>
  page.evaluate(() => ({
    high: document.documentElement.scrollHeight,
    words: [...document.querySelectorAll("section.signing > :not(.read), .signing .read > :not(.paper)")].map((one) => one.innerText).join(" ").split(/\s+/).length,
  }));

/** The first revision from the first key to the password, counted; and the height of the page of an ordinary second one. */
export async function writtenAndSigned(browser, server, prepare) {
  const dentist = await Person.signIn(browser, server, "ilse");
  const { page } = dentist;
  const { password } = server.accounts.ilse;
  const path = await openCase(dentist, "Brickyard", { "patient.exclusions": "none_known" });
  await prepare(dentist, path);
  await page.setViewport(SCREEN);
  await dentist.go(`${path}/write`);
  await Promise.all([page.waitForNavigation({ waitUntil: "load" }), page.click('.kinds button[value="course-copy"]')]);
  const walked = await walk(page, CAREFUL, { free: FREE, over: OVER });
  if (!walked.ended) throw new Error("the Tab key does not come to “Read and sign”");
  await enter(page);
  const reasons = isBeforeSigning(page) ? { keys: 0, filled: 0, passed: 0, cautions: 0 } : await giveReasonsByKeys(page);
  if (!isBeforeSigning(page)) throw new Error(`more is to be answered on ${page.url()}: ${(await dentist.text()).slice(0, 3000)}`);
  const read = await toRead(page);
  const passed = await pressUntil(page, "Tab", "the password", () => document.activeElement?.type === "password");
  await page.keyboard.type(password);
  await enter(page);
  await dentist.sees("Signed. The lab sees this revision now.");
  // The kind of work, the two buttons, and the password.
  const all = {
    keys: walked.keys + reasons.keys + 3 + password.length, filled: walked.filled + reasons.filled + 1, passed: walked.passed + reasons.passed + passed,
  };
  const time = Math.round(seconds(all) * 10) / 10;
  console.log(
    `        ${all.keys} keys and choices, ${password.length} of them the password, ${all.filled} fields filled, ${all.passed} stops passed, ` +
      `${walked.texts} texts in own words, ${reasons.cautions} cautions let stand, ${time} s; ${read.words} words beside the sheet, ${read.high} px`,
  );
  if (all.keys > AIMS.keys || time > AIMS.seconds) throw new Error(`${all.keys} keys, ${time} s`);
  // Another day and another shade, with what that raises let stand: read on two screens.
  await dentist.go(`${path}/write`);
  await page.waitForFunction(() => !document.querySelector("form.writing .inside[data-later]"));
  await fillIn(dentist, { "dates.wanted": "2027-03-08", "dates.insertion": "2027-03-09", "shade.tab": "birch 5", "impression.keeps_hours": "24" });
  await dentist.press("Save");
  const given = await giveReasons(dentist, path);
  await dentist.go(`${path}/sign`);
  await page.waitForFunction(() => !document.querySelector(".paper [data-later]"));
  const second = await toRead(page);
  console.log(`        a second revision with ${given} cautions: ${second.words} words beside the sheet, ${second.high} px`);
  if (given < 1) throw new Error("the second revision raises no caution");
  if (second.high > MOST_HIGH) throw new Error(`the page before the signature is ${second.high} px high at 1280`);
  await dentist.isAccessible();
  return [dentist];
}
