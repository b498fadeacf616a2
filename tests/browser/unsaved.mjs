// What is typed and not saved: it outlives its tab, goes under nobody else's name, and is shown to nobody else.
import { LEAST, fillIn, openCase, receive, register, release, signAs } from "./actions.mjs";
import { Person } from "./harness.mjs";

const expect = (fine, words) => {
  if (!fine) throw new Error(words);
};

/** A further tab in the same person's browser. */
async function tab(person) {
  const other = Object.assign(new Person(), { server: person.server, context: person.context, faults: person.faults });
  other.page = await person.context.newPage();
  await other.page.setViewport({ width: 1280, height: 900 });
  other.page.on("pageerror", (error) => other.faults.push(`script: ${error.message}`));
  return other;
}

const said = (person, words) =>
  person.page.waitForFunction((words) => document.getElementById("saved").textContent.includes(words), { timeout: 20000 }, words);
const folded = (person) => person.page.waitForFunction(() => !document.querySelector("form.writing .inside[data-later]"));
const valueOf = async (person, key) => (await person.field(key)).evaluate((field) => field.value);
const offers = (person) => person.page.$$eval("main > section.sheet", (all) => all.map((one) => one.innerText).filter((text) => text.startsWith("Typed in this browser")));
/** What lies in the browser's storage, of whoever it is. */
const kept = (person) =>
  person.page.evaluate(() => Object.keys(localStorage).filter((place) => place.startsWith("vestibule.unsaved.")).map((place) => localStorage.getItem(place)).join("\n"));

/** Waits until nothing of that kind lies there. */
const isEmpty = (person) =>
  person.page.waitForFunction(() => !Object.keys(localStorage).some((place) => place.startsWith("vestibule.unsaved.")), { timeout: 10000 });

async function signInAs(person, login) {
  await person.go("/sign-in");
  await person.type("login", login);
  await person.type("password", person.server.accounts[login].password);
  await person.press("Sign in");
}

async function signOut(person) {
  await person.go("/");
  const [form] = await person.page.$$('form[action="/sign-out"]');
  await Promise.all([person.page.waitForNavigation({ waitUntil: "load" }), form.evaluate((one) => one.requestSubmit())]);
}

/** Types without a network, and closes the tab before there is one again. */
async function typesAndCloses(person, path, texts) {
  const lost = await tab(person);
  await lost.go(`${path}/write`);
  await folded(lost);
  await lost.page.setOfflineMode(true);
  for (const [key, text] of Object.entries(texts)) await lost.type(key, text);
  await said(lost, "does not answer");
  await lost.page.close({ runBeforeUnload: false });
}

export async function closedTab(browser, server) {
  const assistant = await Person.signIn(browser, server, "jonas");
  const path = await openCase(assistant);
  await typesAndCloses(assistant, path, { "remarks.remarks": "The lip is held well.", "posterior.note": "not too broad" });

  // The first page says where something waits; the form offers it, and puts nothing in by itself.
  await assistant.go("/");
  await assistant.page.waitForSelector(`#unsaved-at:not([hidden]) a[href="${path}/write"]`);
  await assistant.isAccessible();
  await assistant.go(`${path}/write`);
  await folded(assistant);
  expect((await offers(assistant)).length === 1, "it is offered");
  await assistant.sees("The lip is held well.");
  await assistant.sees("not too broad");
  await assistant.isAccessible();
  expect((await valueOf(assistant, "remarks.remarks")) === "", "and is not in the form by itself");
  await (await assistant.find("Put it back")).click();
  await isEmpty(assistant);
  expect((await offers(assistant)).length === 0, "what is put back is offered no longer");
  await assistant.go(`${path}/write`);
  await folded(assistant);
  expect((await valueOf(assistant, "remarks.remarks")) === "The lip is held well.", "the text is in the draft");
  expect((await valueOf(assistant, "posterior.note")) === "not too broad", "and so is that of a part that was folded");

  // Thrown away, it is gone.
  await typesAndCloses(assistant, path, { "remarks.remarks": "The lip is held too far." });
  await assistant.go(`${path}/write`);
  await assistant.page.waitForFunction(() => document.body.innerText.includes("Throw it away"));
  await (await assistant.find("Throw it away")).click();
  expect((await kept(assistant)) === "" && (await offers(assistant)).length === 0, "what is thrown away is gone");
  await assistant.page.reload({ waitUntil: "load" });
  await folded(assistant);
  expect((await valueOf(assistant, "remarks.remarks")) === "The lip is held well.", "and the draft is as it was");
  expect((await offers(assistant)).length === 0, "nothing is offered");
  return [assistant];
}

export async function twoPeople(browser, server) {
  const first = await Person.signIn(browser, server, "jonas");
  const path = await openCase(first);
  await first.go(`${path}/write`);
  await folded(first);
  const words = "Only for the one who wrote it.";

  // One leaves in another tab, and somebody else of the house comes; the form of the one who left stands open.
  const second = await tab(first);
  await signOut(second);
  await signInAs(second, "ilse");
  await first.page.bringToFront(); // a tab behind another draws nothing, and is waited for in vain
  await first.type("remarks.remarks", words);
  await said(first, "Another person is signed in here now");
  await (await first.find("Save")).click();
  await said(first, "Another person is signed in here now");
  expect(first.page.url().endsWith("/write") && (await valueOf(first, "remarks.remarks")) === words, "the page stays, with the text in it");

  // The other one is neither shown it nor has it sent under her name.
  await second.page.bringToFront();
  await second.go("/");
  expect(await second.page.$eval("#unsaved-at", (line) => line.hidden), "her first page knows nothing of it");
  await second.go(`${path}/write`);
  await folded(second);
  await second.sawNot(words);
  expect((await offers(second)).length === 0, "nothing is offered to her");
  expect((await valueOf(second, "remarks.remarks")) === "", "the draft does not hold it");
  // Even where she goes on in his tab.
  await first.page.bringToFront();
  await first.page.reload({ waitUntil: "load" });
  await folded(first);
  expect((await valueOf(first, "remarks.remarks")) === "" && (await offers(first)).length === 0, "his tab shows it to nobody else");
  await second.page.bringToFront();
  await second.type("vertical.rest_mm", "68");
  await said(second, "Saved");
  expect((await kept(second)).includes(words), "it still lies in the browser, under his name");

  // He comes back, to another tab than his own.
  await signOut(second);
  await signInAs(second, "jonas");
  await second.page.waitForSelector(`#unsaved-at:not([hidden]) a[href="${path}/write"]`);
  await second.go(`${path}/write`);
  await second.page.waitForFunction(() => document.body.innerText.includes("Put it back"));
  await (await second.find("Put it back")).click();
  await isEmpty(second);
  await second.go(`${path}/write`);
  await folded(second);
  expect((await valueOf(second, "remarks.remarks")) === words && (await valueOf(second, "vertical.rest_mm")) === "68", "both texts are in the draft");

  // Whoever signs out at once after a key leaves nothing behind that could be saved.
  await second.type("remarks.call_before", "a tooth does not fit");
  const [form] = await second.page.$$('form[action="/sign-out"]');
  await Promise.all([second.page.waitForNavigation({ waitUntil: "load" }), form.evaluate((one) => one.requestSubmit())]);
  expect((await kept(second)) === "", "nothing lies in the browser after signing out");
  await signInAs(second, "ilse");
  await second.go(`${path}/write`);
  await folded(second);
  expect((await valueOf(second, "remarks.call_before")) === "a tooth does not fit", "it was saved");
  return [first, second];
}

const AGAIN = "What you typed stands here again. It is not sent yet.";
const reload = (person) => person.page.reload({ waitUntil: "load" });
/** What the tab keeps of forms that are not sent, of whoever it is. */
const typed = (person) =>
  person.page.evaluate(() => Object.keys(sessionStorage).filter((place) => place.startsWith("vestibule.typed.")).map((place) => sessionStorage.getItem(place)).join("\n"));

export async function loadedAgain(browser, server) {
  const assistant = await Person.signIn(browser, server, "jonas");
  const path = await openCase(assistant);
  const bite = await register(assistant, path, "bite_record");
  await assistant.go(`${path}/release`);
  await assistant.tick(`${bite}.take`);
  await fillIn(assistant, { carrier: "bicycle", purpose_code: "other", purpose: "records" });
  await reload(assistant);
  await assistant.sees(AGAIN);
  for (const [key, text] of [["carrier", "bicycle"], ["purpose_code", "other"], ["purpose", "records"]]) {
    const value = await valueOf(assistant, key);
    expect(value === text, `${key} is “${value}” after a reload`);
  }
  expect(await (await assistant.field(`${bite}.take`)).evaluate((box) => box.checked), "what was ticked is ticked");
  await assistant.isAccessible();

  // Whoever comes to the page anew begins it afresh; and nobody else is shown it, in the same tab.
  await assistant.go(`${path}/release`);
  await assistant.sawNot(AGAIN);
  expect((await valueOf(assistant, "carrier")) === "", "a page that is opened anew is empty");
  await assistant.type("carrier", "bicycle of Jonas");
  const cookies = await assistant.page.cookies();
  await assistant.page.deleteCookie(...cookies);
  await signInAs(assistant, "ilse");
  await assistant.go(`${path}/release`);
  await reload(assistant);
  await assistant.sawNot("bicycle of Jonas");
  expect((await valueOf(assistant, "carrier")) === "", "another person is shown nothing");

  // Of two forms of a page the one that is not sent stays; what is sent is gone, and a password is never kept.
  await assistant.go("/patients/new");
  await assistant.type("patient.handling", "a narrow mouth");
  await reload(assistant);
  expect((await valueOf(assistant, "patient.handling")) === "a narrow mouth", "a patient's text stands again");
  await assistant.type("patient.age_band", "70_79");
  await assistant.press("Draw a code");
  await assistant.sees("Saved.");
  expect((await typed(assistant)).includes("a narrow mouth") === false, "what was sent is kept no longer");
  await assistant.go("/account");
  const passwords = await assistant.page.$$eval('main input[type="password"]', (boxes) => {
    for (const box of boxes) {
      box.value = "a password of hers";
      box.dispatchEvent(new Event("input", { bubbles: true }));
    }
    return boxes.length;
  });
  expect(passwords > 0, "the page has boxes for passwords");
  expect((await typed(assistant)).includes("a password of hers") === false, "no password is kept");
  await reload(assistant);
  await assistant.sawNot(AGAIN);
  return [assistant];
}

/** At the bench it outlives a revision that is signed meanwhile, and somebody else who enters the same step. */
export async function typedAtTheBench(browser, server) {
  const assistant = await Person.signIn(browser, server, "jonas");
  const dentist = await Person.signIn(browser, server, "ilse");
  const technician = await Person.signIn(browser, server, "bruno", { width: 820 });
  const path = await openCase(assistant);
  await assistant.go(`${path}/write`);
  await fillIn(assistant, LEAST);
  await assistant.press("Save");
  await signAs(dentist, path, server);
  // Nothing is done at the bench before something of the case has come.
  const bite = await register(assistant, path, "bite_record");
  await release(assistant, path, [bite]);
  await technician.go(path);
  await technician.press("Check in the parcel");
  await receive(technician, new URL(technician.page.url()).pathname, { [bite]: "sound" });
  await technician.go(path);
  await technician.press("Acknowledge: we work to revision 1");
  const step = `${path}/bench?step=mounted`;
  await technician.go(step);
  const texts = { "m.ovd.measured": "64.5", "used.0.lot": "LOT-7", bench_note: "the pin stands at zero" };
  await fillIn(technician, texts);

  await dentist.go(`${path}/write`);
  await folded(dentist);
  await dentist.type("vertical.rest_mm", "67");
  await dentist.press("Save");
  await signAs(dentist, path, server);
  await technician.page.bringToFront();
  await technician.page.waitForFunction(() => !document.querySelector(".news a").hidden, { timeout: 15000 });
  // In sight wherever the page stands.
  for (const to of [0, 100_000]) {
    await technician.page.evaluate((y) => window.scrollTo(0, y), to);
    await technician.until("what has changed is told in sight", () => {
      const line = document.querySelector(".news a").getBoundingClientRect();
      return line.top >= 0 && line.bottom <= innerHeight;
    });
  }
  await technician.isAccessible();
  await technician.press("Something here has changed");
  await technician.sees("revision 2 is signed");
  // A page of another step says where it waits.
  await technician.go(`${path}/bench?step=set_up`);
  await technician.sees("What you typed is not sent yet. It waits at its step:");
  await technician.isAccessible();
  await technician.go(path);
  await technician.press("Acknowledge: we work to revision 2");
  const stands = async (when) => {
    await technician.go(`${path}/bench?step=set_up`);
    await technician.press("Mount the casts");
    await technician.sees(AGAIN);
    await technician.sawNot("It waits at its step:");
    for (const [key, text] of Object.entries(texts)) {
      const value = await valueOf(technician, key);
      expect(value === text, `${key} is “${value}” ${when}`);
    }
  };
  await stands("after the new revision was acknowledged");
  await technician.isAccessible();

  const manager = await Person.signIn(browser, server, "vera");
  await manager.go(step);
  const isEntered = () => new URL(manager.page.url()).searchParams.get("done") === "worked";
  for (let tries = 0; tries < 3 && !isEntered(); tries += 1) {
    for (const key of ["bench_anyway", "bench_left_out"]) {
      if (await manager.page.$(`[name="${key}"]:not(:checked)`)) await manager.tick(key);
    }
    await manager.press("Done: mounted");
  }
  expect(isEntered(), "somebody else has entered the step");
  await technician.page.bringToFront();
  await stands("after somebody else has entered the step");
  return [assistant, dentist, technician, manager];
}
