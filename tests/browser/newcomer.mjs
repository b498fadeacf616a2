// From README's two commands to a parcel that is received, as an office and a lab that have never seen the program.
import { Person, Server } from "./harness.mjs";

const PASSWORD = "a long way from the quarry";

/** The page at both widths: nothing scrolls sideways, and nothing is out of reach. */
async function lookAt(person) {
  for (const width of [390, 1280]) {
    await person.page.setViewport({ width, height: 900 });
    await person.isAccessible();
  }
}

async function joins({ browser, server, look }, link, login, licence) {
  const person = await Person.stranger(browser, server);
  await person.go(new URL(link).pathname);
  await look(person, `join-${login}`);
  if (licence) await person.type("licence", licence);
  if (login === "root") await person.type("name", "Rosa Root");
  await person.type("login", login);
  await person.type("password", PASSWORD);
  await person.type("password_again", PASSWORD);
  await person.press("Make my account");
  return person;
}

async function addHouse(look, root, step, name) {
  await root.press(step);
  const zone = await (await root.field("zone")).evaluate((box) => box.value);
  if (!zone) throw new Error("the time zone is that of the browser");
  await root.type("name", name);
  await root.type("address", "1 Mill Lane");
  await root.type("licence", "REG 1");
  await look(root, step.replaceAll(" ", "-"));
  await root.press("Save");
  await root.sees("Saved.");
}

async function invite(look, root, step, name) {
  await root.press(step);
  await root.type("name", name);
  await root.type("password", PASSWORD);
  await look(root, "invite");
  await root.press("Make a one-time link");
  return root.page.$eval("input.link", (box) => box.value);
}

/** `fillIn` and `least` are what a prescription needs at the least; each page is handed to `look`. */
export async function newcomer(browser, { least, fillIn, reasons, look = lookAt }) {
  const server = await Server.bare();
  const at = { browser, server, look };
  try {
    const nobody = await Person.stranger(browser, server);
    await nobody.go("/");
    await nobody.sees("Nobody has an account here yet");
    await look(nobody, "nobody");
    if (!server.link.startsWith(server.address)) throw new Error(`${server.link} is not under ${server.address}`);
    const root = await joins(at, server.link, "root");
    await look(root, "first-steps");
    await addHouse(look, root, "Add the dental office", "Mill Dental Office");
    await addHouse(look, root, "Add the laboratory", "Quarry Laboratory");
    const toOffice = await invite(look, root, "Make a link for the dentist, who signs", "Dora Mill");
    const toLab = await invite(look, root, "Make a link for somebody at the laboratory", "Max Quarry");
    await look(root, "link");

    const dentist = await joins(at, toOffice, "dora", "D 1");
    await look(dentist, "office-empty");
    await dentist.press("New patient code");
    await look(dentist, "patient-new");
    await dentist.press("Draw a code");
    await look(dentist, "patient");
    await dentist.press("Open a case");
    await dentist.type("arches", "upper");
    const lab = await (await dentist.field("lab")).evaluate((box) => box.value);
    if (!lab) throw new Error("the one lab is chosen");
    await look(dentist, "case-new");
    await dentist.press("Open the case");
    const path = new URL(dentist.page.url()).pathname;
    await look(dentist, "case");
    await dentist.press("Register items");
    await look(dentist, "set");
    await dentist.press("Register what is ticked");
    await dentist.sees("Print the labels now");
    await look(dentist, "labels");
    await dentist.press("Back to the case");
    await dentist.press("What the patient wears");
    await look(dentist, "mouth");
    const duplicate = await dentist.page.$$eval('select[name="fit"] option', (options) =>
      options.find((one) => one.textContent.includes("Duplicate")).value);
    await dentist.type("fit", duplicate);
    await dentist.press("Record the change, upper");
    await dentist.go(path);
    await dentist.press("Write and sign the prescription");
    await fillIn(dentist, least);
    await dentist.press("Save");
    await reasons(dentist, path);
    await dentist.go(`${path}/sign`);
    await dentist.type("password", PASSWORD);
    await look(dentist, "sign");
    await dentist.press("Sign revision 1");
    await look(dentist, "signed");
    await dentist.press("Hand over to the lab");
    // The least that can be signed lists nothing: what goes along is ticked by hand.
    for (const tick of await dentist.page.$$('input[name$=".take"]:not(:checked)')) await tick.click();
    await fillIn(dentist, { agent: "blue label", dilution: "ready to use", minutes: "10", carrier: "bicycle", purpose_code: "make", taken_by: "R. K." });
    await dentist.tick("taken_now");
    await look(dentist, "release");
    await dentist.press("Hand over");
    await dentist.sees("It is on the way until the other side has received it.");

    const technician = await joins(at, toLab, "max");
    await look(technician, "lab-first-page");
    await technician.page.click(`a[href="${path}"]`);
    await technician.until("the page of the case is there", () => document.querySelector("h1 .code") !== null);
    await look(technician, "lab-case");
    await technician.press("Check in the parcel");
    await look(technician, "receive");
    await technician.press("Receive all as listed");
    await technician.sees("Received. Both sides see it in the history.");
    await technician.sees("Your turn: read and acknowledge the prescription");
    await look(technician, "received");
    return [nobody, root, dentist, technician];
  } finally {
    await server.stop();
  }
}
