// The states that no link leads to: refused forms, messages, work that stands still, what has ended, nothing there yet.
import {
  LEAST, acknowledgeAll, allowDevice, answerTheBench, askFromBench, fillIn, giveReasons, openCase, pack, receive, register, setCode, toTimersOf,
} from "./actions.mjs";
import { Person } from "./harness.mjs";
import { newcomer } from "./newcomer.mjs";

const CASE = /^\/cases\/[0-9A-Z]{9}$/;

/** The open cases of somebody, by what is said of them on the first page: one of each. */
async function standings(person) {
  const found = new Map();
  for (const list of ["you", "coming", "others"]) {
    await person.go(`/?list=${list}`);
    const cards = await person.page.$$eval(`section[aria-labelledby="list-${list}"] li`, (all) =>
      all.map((one) => [one.querySelector("a")?.getAttribute("href"), one.innerText]),
    );
    for (const [path, text] of cards) {
      const words = text.split("\n").filter((line) => !/\d/.test(line)).join(" ");
      if (CASE.test(path ?? "") && !found.has(words)) found.set(words, path);
    }
  }
  return [...found.values()];
}

/**
 * Sends the first form of these pages that there is, with nothing chosen, no number that can be read and these words in its texts, past what
 * the browser itself would hold back, until one comes back with messages.
 */
async function refused(person, pages, form, values = {}, words = "") {
  for (const page of pages) {
    if ((await person.go(page)).status() !== 200 || !(await person.page.$(form))) continue;
    const [answer] = await Promise.all([
      person.page.waitForNavigation({ waitUntil: "load", timeout: 15000 }),
      person.page.$eval(form, (element, given, text) => {
        for (const one of element.querySelectorAll("select")) one.selectedIndex = -1;
        for (const one of element.querySelectorAll('[inputmode="decimal"]')) one.value = "sixty-eight";
        for (const one of element.querySelectorAll("textarea")) one.value = text;
        for (const one of element.querySelectorAll('input[type="date"]')) one.value = "";
        for (const [name, value] of Object.entries(given)) {
          const hidden = document.createElement("input");
          Object.assign(hidden, { type: "hidden", name, value });
          element.append(hidden);
        }
        HTMLFormElement.prototype.submit.call(element);
      }, values, words),
    ]);
    if ([409, 422].includes(answer.status())) return;
  }
  throw new Error(`${form} came back with messages from none of ${pages.length} pages`);
}

/** Each state in turn: `shoot` takes the page as it stands. What a state needs and does not find is told at the end. */
export async function states(browser, server, shoot) {
  const missing = [];
  const state = async (name, run) => run().catch((error) => missing.push(`${name}: ${error.message.split("\n")[0]}`));
  const people = {};
  const as = async (login) => (people[login] ??= await Person.signIn(browser, server, login));
  const wrongly = async (person, words, name) => {
    await person.press(words);
    await shoot(person, name);
  };

  await state("sign-in", async () => {
    const stranger = await Person.stranger(browser, server);
    await stranger.go("/sign-in");
    await shoot(stranger, "sign-in");
    await stranger.type("login", "ilse");
    await stranger.type("password", "not this one");
    await wrongly(stranger, "Sign in", "sign-in refused");
    await stranger.go("/join/not-a-link");
    await shoot(stranger, "join void");
    await stranger.go("/nothing");
    await shoot(stranger, "not found, a stranger");
  });

  for (const login of ["ilse", "jonas", "vera", "bruno", "ruth", "carl", "dana"]) {
    await state(`cases of ${login}`, async () => {
      const person = await as(login);
      const all = await standings(person);
      for (const [place, path] of all.slice(0, ["jonas", "bruno", "dana"].includes(login) ? 1 : 99).entries()) {
        await person.go(path);
        await shoot(person, `case, ${login} ${place + 1}`);
        if (login !== "ilse" && login !== "vera") continue;
        for (const page of ["dates", "passed", "holds", "questions"]) {
          if (!(await person.page.$(`a[href^="${path}/${page}"]`))) continue;
          await person.go(`${path}/${page}`);
          await shoot(person, `${page}, ${login} ${place + 1}`);
          await person.go(path);
        }
      }
    });
  }

  await state("not found", async () => {
    const dentist = await as("ilse");
    for (const [path, name] of [["/nothing", "not found"], ["/cases/C00000000", "no such case"], ["/find?q=zz", "nothing found"], ["/parties", "not allowed"],
      ["/?closed=1", "closed cases, none"], ["/?only=held", "cases held"], ["/?only=late", "cases late"], ["/reports?month=2026-09", "reports, another month"]]) {
      await dentist.go(path);
      await shoot(dentist, name);
    }
  });

  await state("a prescription", async () => {
    const dentist = await as("ilse");
    const assistant = await as("jonas");
    const path = await openCase(assistant);
    await shoot(assistant, "case just opened");
    await assistant.go(`${path}/release`);
    await shoot(assistant, "release, nothing there");
    await assistant.go(`${path}/labels`);
    await shoot(assistant, "labels, nothing there");
    await assistant.go(`${path}/mouth`);
    await shoot(assistant, "mouth, nothing there");
    await dentist.go(`${path}/write`);
    await shoot(dentist, "write, kind of work not chosen");
    const [button] = await dentist.page.$$('.kinds button[value="course-copy"]');
    await Promise.all([dentist.page.waitForNavigation({ waitUntil: "load" }), button.click()]);
    await shoot(dentist, "write, a copy begun");
    await fillIn(dentist, { "vertical.rest_mm": "sixty-eight", "anterior.width_mm": "wide" });
    await dentist.press("Save");
    await shoot(dentist, "write, with messages");
    await fillIn(dentist, { ...LEAST, "vertical.rest_mm": "68", "anterior.width_mm": "50" });
    await dentist.press("Read and sign");
    await shoot(dentist, "write, to answer before signing");
    await giveReasons(dentist, path);
    await assistant.go(`${path}/write`);
    await dentist.go(`${path}/sign`);
    await shoot(dentist, "ready to sign");
    await dentist.type("password", "not this one");
    await wrongly(dentist, "Sign revision", "sign, wrong password");
    await dentist.type("password", server.accounts.ilse.password);
    await wrongly(dentist, "Sign revision", "signed just now");
    await assistant.type("remarks.remarks", "one more thing");
    await wrongly(assistant, "Save", "stale draft, signed meanwhile");
    const cast = await register(assistant, path, "cast", "upper");
    await shoot(assistant, "item just registered");
    await assistant.go(`${path}/items/new`);
    await wrongly(assistant, "Register it", "item, with messages");
    await assistant.go(`${path}/release`);
    await wrongly(assistant, "Hand over", "release, with messages");
    await pack(assistant, path, [cast]);
    await shoot(assistant, "case, packed");
    await assistant.press("Packed for");
    await shoot(assistant, "handoff, packed");
    const handoff = new URL(assistant.page.url()).pathname;
    await fillIn(assistant, { picked_by: "R. K.", parcels: "1" });
    await assistant.press("Picked up by the carrier");
    await shoot(assistant, "case, picked up");
    await assistant.go(handoff);
    await shoot(assistant, "handoff, on its way, the sender");
    const manager = await as("vera");
    await manager.go(handoff);
    await shoot(manager, "handoff, to be received");
    await manager.page.$$eval("details", (all) => all.forEach((one) => { one.open = true; }));
    await shoot(manager, "handoff, everything opened");
    await wrongly(manager, "Receive what is ticked", "receive, with messages");
    await receive(manager, handoff, { [cast]: "damaged" });
    await shoot(manager, "case, received damaged");
    await manager.go(handoff);
    await shoot(manager, "handoff, received");
    await assistant.go(handoff);
    await shoot(assistant, "handoff, receipt read by the sender");
    await dentist.go(`${path}/holds`);
    await shoot(dentist, "problem on arrival");
    await dentist.go(`${path}/halt`);
    await dentist.page.$$eval("details", (all) => all.forEach((one) => { one.open = true; }));
    await shoot(dentist, "halt, everything opened");
  });

  await state("said at the bench", async () => {
    const technician = await as("bruno");
    const dentist = await as("ilse");
    const { bench, questions } = await askFromBench(technician);
    await answerTheBench(dentist, questions);
    await technician.go(bench);
    await shoot(technician, "bench, an answer");
    await technician.go("/bench");
    await shoot(technician, "bench list, an answer");
    await technician.go("/");
    await shoot(technician, "first page, an answer");
  });

  await state("halts", async () => {
    const dentist = await as("ilse");
    const manager = await as("vera");
    const cases = await standings(manager);
    for (const kind of ["pause", "cancel"]) {
      for (const path of cases) {
        await dentist.go(`${path}/halt`);
        const form = await dentist.page.$(`form:has(input[name="halt"][value="${kind}"])`);
        if (!form) continue;
        await dentist.page.$$eval("details", (all) => all.forEach((one) => { one.open = true; }));
        await form.$$eval("select", (all) => all.forEach((one) => { if (!one.value) one.selectedIndex = 1; }));
        await form.$$eval("textarea, input[type=text], input:not([type])", (all) => all.forEach((one) => { if (!one.value) one.value = "the patient is ill"; }));
        await (await form.$('input[type="password"]')).type(server.accounts.ilse.password);
        await Promise.all([dentist.page.waitForNavigation(), (await form.$("button")).click()]);
        await shoot(dentist, `case, ${kind}, the office`);
        await dentist.go(`${path}/halt`);
        await shoot(dentist, `halt, ${kind}`);
        await manager.go(path);
        await shoot(manager, `case, ${kind}, the lab`);
        for (const page of ["dates", "bench", "release", "heed"]) {
          if ((await manager.go(`${path}/${page}`)).status() === 200) await shoot(manager, `${page}, ${kind}, the lab`);
        }
        cases.splice(cases.indexOf(path), 1);
        break;
      }
    }
  });

  await state("questions", async () => {
    const technician = await as("bruno");
    const path = (await standings(technician))[0];
    await technician.go(`${path}/questions`);
    await technician.type("matter", "unclear").catch(() => null);
    await technician.press("Ask");
    await shoot(technician, "question, asked or refused");
    await technician.go(`${path}/questions`);
    await technician.page.$$eval("details", (all) => all.forEach((one) => { one.open = true; }));
    await shoot(technician, "questions, everything opened");
  });

  await state("revisions", async () => {
    const technician = await as("vera");
    for (const path of await standings(technician)) {
      if ((await technician.go(`${path}/revisions/2`)).status() !== 200) continue;
      await shoot(technician, "revision 2, changed");
      await technician.go(`${path}/revisions/1`);
      await shoot(technician, "revision 1, out of force");
      break;
    }
  });

  const ofCases = async (person, page) => (await standings(person)).map((path) => `${path}${page}`);
  for (const [login, page, form, values] of [
    ["bruno", "bench", '#bench-step:has([inputmode="decimal"])'],
    ["bruno", "pictures", "form#add"],
    ["bruno", "scans", "form#add"],
    ["bruno", "fit", 'form[action$="/fit"]:has([inputmode="decimal"])', { go: "enter" }],
    ["bruno", "questions", "#ask-form"],
    ["ilse", "questions", 'form[action$="/telephoned"]'],
    ["ruth", "follow-up", 'form[action$="/follow-up"]'],
    ["vera", "dates", 'form[action$="/promise"]'],
    ["ruth", "keep", 'form[action$="/keep"]'],
  ]) {
    const name = form.includes("telephoned") ? "call" : page;
    await state(`${name}, refused`, async () => {
      const person = await as(login);
      // Before that nothing is made.
      if (page === "bench") await acknowledgeAll(person);
      await refused(person, await ofCases(person, `/${page}`), form, values);
      await shoot(person, `${name}, refused`);
    });
  }
  for (const [login, page, holds] of [["ilse", "/closed-days", "textarea"], ["vera", "/lab-days", "textarea"], ["vera", "/bench/devices", "button"]]) {
    await state(`${page}, refused`, async () => {
      const person = await as(login);
      await refused(person, [page], `form[action="${page}"]:has(${holds})`, {}, "not a list");
      await shoot(person, `${page}, refused`);
    });
  }

  await state("ends", async () => {
    const dentist = await as("ruth");
    for (const [place, path] of (await standings(dentist)).entries()) {
      await dentist.go(`${path}/close`);
      if (dentist.page.url().endsWith("/close")) await shoot(dentist, `close, ${place + 1}`);
    }
    for (const [page, words] of [["erase", "Erase for good"], ["keep", null], ["fit", "Save the check"], ["follow-up", "Enter the check"], ["mouth", null]]) {
      for (const path of await standings(dentist)) {
        if ((await dentist.go(`${path}/${page}`)).status() !== 200) continue;
        await dentist.page.$$eval("details", (all) => all.forEach((one) => { one.open = true; }));
        await shoot(dentist, `${page}, everything opened`);
        if (words) await dentist.press(words).then(() => shoot(dentist, `${page}, with messages`)).catch(() => null);
        break;
      }
    }
    await dentist.go("/account");
    await dentist.page.$$eval("details", (all) => all.forEach((one) => { one.open = true; }));
    await shoot(dentist, "account, everything opened");
    await dentist.go("/patients/new");
    await wrongly(dentist, "Draw a code", "patient, with messages or drawn");
    await dentist.go("/cases/new");
    await wrongly(dentist, "Open the case", "new case, with messages");
  });

  await state("opened", async () => {
    const dentist = await as("ilse");
    const manager = await as("vera");
    for (const [person, name] of [[dentist, "office"], [manager, "lab"]]) {
      for (const [place, path] of (await standings(person)).slice(0, 2).entries()) {
        await person.go(path);
        await person.page.$$eval("details", (all) => all.forEach((one) => { one.open = true; }));
        await shoot(person, `case, everything opened, ${name} ${place + 1}`);
      }
    }
    const item = await dentist.page.$('a[href^="/items/"]');
    if (item) {
      await dentist.go(await item.evaluate((link) => link.getAttribute("href")));
      await dentist.page.$$eval("details", (all) => all.forEach((one) => { one.open = true; }));
      await shoot(dentist, "item, everything opened");
    }
    await manager.go("/bench");
    const benches = await manager.page.$$eval('a[href$="/bench"]', (all) => all.map((one) => one.getAttribute("href")).filter((one) => /^\/cases\/[^/]+\/bench$/.test(one)));
    for (const [place, path] of [...new Set(benches)].entries()) {
      await manager.go(path);
      await shoot(manager, `bench, ${place + 1}`);
    }
  });

  await state("a device at the bench", async () => {
    const technician = await as("bruno");
    await setCode(technician, server.accounts.bruno.password, "4071");
    await acknowledgeAll(technician);
    // A browser of its own: whoever comes in by a code signs out who sat there before.
    const device = (people.device = await Person.signIn(browser, server, "vera"));
    await allowDevice(device, server.accounts.vera.password, "Tablet, bench 2");
    await shoot(device, "devices, one allowed");
    await device.go("/bench/who");
    await shoot(device, "who is at the bench");
    await device.type("bench_code", "9753");
    await wrongly(device, "Bruno Kiesel", "who is at the bench, wrong code");
    await device.type("bench_code", "4071");
    await device.press("Bruno Kiesel");
    await shoot(device, "bench list, by code");
    const bench = await toTimersOf(device, "cured");
    await device.type("timer_minutes", "90");
    await device.press("Start: cure");
    await shoot(device, "bench, by code, a timer runs");
    await device.go("/bench/timers");
    await shoot(device, "timers, one runs");
    await device.go(bench.replace(/bench$/, "release"));
    await shoot(device, "password at the bench");
    await device.type("password", "not this one");
    await wrongly(device, "Go on", "password at the bench, refused");
  });

  await state("a bare installation", async () => {
    await newcomer(browser, { least: LEAST, fillIn, reasons: giveReasons, look: (person, name) => shoot(person, `newcomer, ${name}`) });
  });
  for (const person of Object.values(people)) await person.context.close();
  return missing;
}
