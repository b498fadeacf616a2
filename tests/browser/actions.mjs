// What people do in more than one journey.

/** A new case with a patient of its own, opened by the assistant; `card`: what else the patient's card says. Returns its path. */
export async function openCase(assistant, labWords = "Brickyard", card = {}) {
  await assistant.go("/patients/new");
  await fillIn(assistant, { "patient.age_band": "70_79", ...card });
  await assistant.press("Draw a code");
  await assistant.sees("Saved.");
  await assistant.press("Open a case");
  await assistant.type("arches", "both");
  const lab = await assistant.page.$$eval('select[name="lab"] option', (options, words) => options.find((o) => o.textContent.includes(words)).value, labWords);
  await assistant.type("lab", lab);
  await assistant.press("Open the case");
  await assistant.sees("The case is open.");
  return new URL(assistant.page.url()).pathname;
}

export async function register(person, path, kind, arch, place = "here") {
  await person.go(`${path}/items/new`);
  await person.type("item_kind", kind);
  if (arch) await person.type("arch", arch);
  await person.type("place", place);
  await person.press("Register it");
  await person.sees("Label the item now.");
  return new URL(person.page.url()).pathname.split("/").pop();
}

/** The least that can be signed. */
export const LEAST = {
  "pieces.0.arch": "upper",
  "pieces.0.stage": "process",
  "pieces.0.description": "complete denture",
  "pieces.0.materials": "heat-cured acrylic, resin teeth",
  "shade.guide": "Hillside",
  "shade.tab": "birch 4",
  "vertical.occlusal_mm": "64",
  "dates.wanted": "2027-03-01",
};

export async function fillIn(person, fields) {
  for (const [key, text] of Object.entries(fields)) await person.type(key, text);
}

/** Lets every caution of the review stand, with a reason, and saves. */
export async function giveReasons(person, path) {
  await person.go(`${path}/write`);
  const given = await person.page.$$eval('[name^="reason."]', (boxes) => {
    for (const box of boxes) box.value = "as agreed at the chair";
    return boxes.length;
  });
  await person.press("Save");
  return given;
}

export async function signAs(dentist, path, server, login = "ilse") {
  await giveReasons(dentist, path);
  await dentist.go(`${path}/sign`);
  await dentist.type("password", server.accounts[login].password);
  await dentist.press("Sign revision");
  await dentist.sees("Signed. The lab sees this revision now.");
}

/** Packed for a carrier who comes later. */
export async function pack(person, path, tags, fields = {}) {
  await person.go(`${path}/release`);
  for (const tag of tags) await person.tick(`${tag}.take`);
  await fillIn(person, {
    agent: "blue label", dilution: "ready to use", minutes: "10", carrier: "bicycle", purpose_code: "other", purpose: "final upper", ...fields,
  });
  if (fields.taken_by) await person.tick("taken_now");
  await person.press("Hand over");
}

/** Handed over to a carrier who takes it at once. */
export async function release(person, path, tags, fields = {}) {
  await pack(person, path, tags, { taken_by: "R. K.", ...fields });
}

export async function receive(person, handoff, outcomes) {
  await person.go(handoff);
  // What is otherwise than described is folded away at its item.
  await person.page.evaluate(() => document.querySelectorAll("details").forEach((one) => { one.open = true; }));
  for (const [tag, outcome] of Object.entries(outcomes)) {
    if (outcome !== "missing") await person.tick(`${tag}.here`);
    await person.type(`${tag}.outcome`, outcome);
    if (outcome !== "missing") await person.type(`${tag}.marked`, "yes");
    if (outcome === "damaged") await person.type(`${tag}.note`, "a tooth is chipped");
  }
  await person.press("Receive what is ticked");
}

/** At the bench of pan 27 something is asked about the heights. Returns the paths of bench and questions. */
export async function askFromBench(technician) {
  await technician.go("/find?q=27");
  const bench = new URL(technician.page.url()).pathname;
  const questions = bench.replace(/bench$/, "questions");
  await technician.go(`${questions}?section=vertical#ask`);
  await technician.type("matter", "unclear");
  await technician.type("question", "is that with the pin at zero?");
  await technician.press("Ask");
  return { bench, questions };
}

/** The office answers it. */
export async function answerTheBench(dentist, questions) {
  await dentist.go(questions);
  await dentist.type("answer", "yes, at zero");
  await dentist.press("Answer");
}

/** Sets one's own code for the bench, with the password. */
export async function setCode(person, password, code) {
  await person.go("/account");
  const boxes = await person.page.$$('form[action="/account/code"] input');
  await boxes[0].type(password);
  await boxes[1].type(code);
  await person.press("Set the code");
  await person.sees("Your code is set.");
}

/** A manager allows the browser that he or she is at, so that people come in there by their codes. */
export async function allowDevice(manager, password, name) {
  await manager.go("/bench/devices");
  await manager.type("device_name", name);
  await manager.type("password", password);
  await manager.press("Allow this device");
  await manager.sees(name);
}

const benches = async (person) => {
  await person.go("/bench");
  return person.page.$$eval(".bench-list li a", (links) => links.map((link) => link.getAttribute("href")));
};

/** Acknowledges the revision in force of each case of the list: before that nothing is made, and a code is not enough for it. */
export async function acknowledgeAll(technician) {
  for (const one of await benches(technician)) {
    await technician.go(one.replace(/\/bench$/, ""));
    const button = await technician.page.$("form[action$=acknowledge] button");
    if (button) await Promise.all([technician.page.waitForNavigation(), button.click()]);
  }
}

/** Goes to a step of the first case of the list whose work does not stand still: a timer can be started there. Returns its bench. */
export async function toTimersOf(person, step) {
  for (const one of await benches(person)) {
    await person.go(`${one}?step=${step}`);
    if (await person.page.$('[name="timer_minutes"]')) return one;
  }
  throw new Error(`no case of the list has a timer for the step ${step}`);
}
