// Starts the program with its demo, opens a real browser, and gives a journey what it needs.
import { execFileSync, spawn } from "node:child_process";
import { cpSync, mkdtempSync, readFileSync, rmSync } from "node:fs";
import { createRequire } from "node:module";
import { createServer } from "node:net";
import { tmpdir } from "node:os";
import { join } from "node:path";
import puppeteer from "puppeteer-core";

const require = createRequire(import.meta.url);
const axeSource = readFileSync(require.resolve("axe-core/axe.min.js"), "utf8");
const binary = process.env.VESTIBULE_TEST_BINARY;
if (!binary) throw new Error("VESTIBULE_TEST_BINARY names the program to test");

/** A running program: its address, its demo accounts by sign-in name, its folder. */
export class Server {
  static async demo(folder = mkdtempSync(join(tmpdir(), "vestibule-journey-")), listen = "127.0.0.1:0") {
    const server = new Server();
    server.folder = folder;
    await server.#start(["demo", "--data", folder, "--listen", listen]);
    return server;
  }

  /** An installation in which nobody has an account yet, as README sets it up. `link` makes the first administrator. */
  static async bare() {
    const server = new Server();
    server.folder = mkdtempSync(join(tmpdir(), "vestibule-journey-"));
    const port = await new Promise((done) => {
      const one = createServer().listen(0, "127.0.0.1", () => {
        const { port } = one.address();
        one.close(() => done(port));
      });
    });
    const options = ["--data", server.folder, "--listen", `127.0.0.1:${port}`];
    const told = execFileSync(binary, ["setup", ...options], { stdio: ["ignore", "pipe", "ignore"] }).toString();
    server.link = told.match(/https?:\S+\/join\/\S+/)[0];
    await server.#start(["serve", ...options]);
    return server;
  }

  /** A copy of the stopped program's files, as a backup would make it. Returns the copy's folder. */
  copy() {
    const copy = mkdtempSync(join(tmpdir(), "vestibule-copy-"));
    cpSync(this.folder, copy, { recursive: true });
    return copy;
  }

  /** Puts a copy in the place of the stopped program's files. */
  putBack(copy) {
    rmSync(this.folder, { recursive: true, force: true });
    cpSync(copy, this.folder, { recursive: true });
    rmSync(copy, { recursive: true, force: true });
  }

  /** Kills the program without a word, as a power cut would. */
  async kill() {
    const gone = new Promise((done) => this.process.once("exit", done));
    this.process.kill("SIGKILL");
    await gone;
  }

  /** Serves the same data again at the same address. */
  async again() {
    await this.#start(["serve", "--data", this.folder, "--listen", new URL(this.address).host]);
  }

  async stop() {
    if (this.process.exitCode === null && this.process.signalCode === null) await this.kill();
    rmSync(this.folder, { recursive: true, force: true });
  }

  async #start(args) {
    this.process = spawn(binary, args, { stdio: ["ignore", "pipe", "pipe"] });
    this.log = "";
    this.process.stderr.on("data", (data) => (this.log += data));
    const text = await new Promise((done, fail) => {
      let out = "";
      this.process.stdout.on("data", (data) => {
        out += data;
        if (out.includes("answers at")) done(out);
      });
      this.process.once("exit", (code) => fail(new Error(`the program ended with ${code}: ${this.log}`)));
    });
    this.address = text.match(/answers at (\S+)/)[1];
    const accounts = [...text.matchAll(/^ {2}(\S+)\s+(\S+)\s{3}(.*)$/gm)];
    if (accounts.length) {
      this.accounts = Object.fromEntries(accounts.map(([, login, password, what]) => [login, { login, password, what }]));
    }
  }
}

/** A browser of its own. */
export async function openBrowser() {
  return puppeteer.launch({
    executablePath: process.env.CHROMIUM ?? "/usr/bin/chromium",
    args: [
      "--no-sandbox", "--headless=new", "--disable-gpu", "--disable-quic", "--no-first-run",
      "--disable-background-networking", "--disable-component-update", "--disable-sync",
    ],
  });
}

/** Touches it in the middle of the window, where the bar of a bench does not lie over it. */
const touch = async (handle) => {
  await handle.evaluate((one) => {
    if (document.querySelector(".donebar") && !one.closest(".donebar")) one.scrollIntoView({ block: "center" });
  });
  await handle.click();
};

/** A person at a browser: one context each, so that two people have two sessions. */
export class Person {
  static async signIn(browser, server, login, { script = true, width = 1280 } = {}) {
    const person = new Person();
    person.server = server;
    person.context = await browser.createBrowserContext();
    person.page = await person.context.newPage();
    await person.page.setJavaScriptEnabled(script);
    await person.page.setViewport({ width, height: 900 });
    person.faults = [];
    person.page.on("pageerror", (error) => person.faults.push(`script: ${error.message}`));
    person.page.on("console", (message) => {
      if (message.type() === "error" && !/Failed to load resource/.test(message.text())) person.faults.push(message.text());
    });
    await person.go("/sign-in");
    await person.type("login", login);
    await person.type("password", server.accounts[login].password);
    await person.press("Sign in");
    return person;
  }

  /** Somebody without an account, at a browser of his or her own. */
  static async stranger(browser, server) {
    const person = new Person();
    person.server = server;
    person.context = await browser.createBrowserContext();
    person.page = await person.context.newPage();
    await person.page.setViewport({ width: 1280, height: 900 });
    person.faults = [];
    person.page.on("pageerror", (error) => person.faults.push(`script: ${error.message}`));
    return person;
  }

  async go(path) {
    return this.page.goto(this.server.address + path, { waitUntil: "load" });
  }

  /** The field of this name; what it lies folded in is opened first, as somebody who looks for it does. */
  async field(name) {
    const field = await this.page.waitForSelector(`[name="${name}"]`, { timeout: 5000 });
    for (;;) {
      const summary = await field.evaluateHandle((element) => {
        const folds = [];
        for (let fold = element.closest("details"); fold; fold = fold.parentElement.closest("details")) folds.unshift(fold);
        return folds.find((fold) => !fold.open)?.querySelector(":scope > summary") ?? null;
      });
      if (!summary.asElement()) return field;
      // In the middle of the window, where no bar lies over it.
      await summary.evaluate((element) => element.scrollIntoView({ block: "center" }));
      await summary.asElement().click();
    }
  }

  async type(name, text) {
    const field = await this.field(name);
    const tag = await field.evaluate((element) => [element.tagName, element.type].join(" "));
    if (tag.startsWith("SELECT")) return field.select(text);
    if (tag.endsWith("date") || tag.endsWith("time")) {
      return field.evaluate((element, value) => {
        element.value = value;
        element.dispatchEvent(new Event("input", { bubbles: true }));
      }, text);
    }
    await field.evaluate((element) => element.select?.());
    await field.type(text);
  }

  async tick(name) {
    await touch(await this.field(name));
  }

  /** Presses the button or link with these words, and waits for the page it leads to. */
  async press(words) {
    const handle = await this.find(words);
    await Promise.all([this.page.waitForNavigation({ waitUntil: "load", timeout: 15000 }), touch(handle)]);
  }

  /** Opens the fold that begins with these words. */
  async unfold(words) {
    await touch(await this.find(words));
  }

  async find(words) {
    for (const handle of await this.page.$$("button, a, summary")) {
      const text = await handle.evaluate((element) => element.textContent.replace(/\s+/g, " ").trim());
      if (text === words || (text.startsWith(words) && words.length > 6)) return handle;
    }
    throw new Error(`no button or link “${words}” on ${this.page.url()}:\n${await this.text()}`);
  }

  async text() {
    return this.page.evaluate(() => document.body.innerText);
  }

  async sees(words) {
    const text = await this.text();
    if (!text.includes(words)) throw new Error(`“${words}” is not on ${this.page.url()}:\n${text.slice(0, 3000)}`);
  }

  /** Waits until `test`, run in the page, holds; asked from outside, so that it works where the page runs no scripts. */
  async until(what, test) {
    for (let tries = 0; tries < 200; tries++) {
      if (await this.page.evaluate(test)) return;
      await new Promise((resolve) => setTimeout(resolve, 25));
    }
    throw new Error(`after five seconds it is not so that ${what}, on ${this.page.url()}`);
  }

  async sawNot(words) {
    const text = await this.text();
    if (text.includes(words)) throw new Error(`“${words}” should not be on ${this.page.url()}`);
  }

  /** Fetches a file with this person's session. */
  async fetch(path) {
    const cookies = await this.context.cookies();
    const answer = await fetch(this.server.address + path, {
      headers: { cookie: cookies.map((cookie) => `${cookie.name}=${cookie.value}`).join("; ") },
    });
    return { status: answer.status, type: answer.headers.get("content-type"), bytes: Buffer.from(await answer.arrayBuffer()) };
  }

  /** Fails where the page breaks a WCAG 2.2 A or AA rule that axe can test, or scrolls sideways. */
  async isAccessible() {
    // The checker stays on the page: in another width or theme it is not read again.
    if (!(await this.page.evaluate(() => "axe" in globalThis))) await this.page.evaluate(axeSource);
    const { violations, wide } = await this.page.evaluate(async () => {
      // A bar that stays in sight covers whatever is scrolled below it at this moment: while axe looks, it scrolls along.
      const bars = document.querySelectorAll(".savebar, .donebar, .news");
      for (const bar of bars) bar.style.position = "static";
      const values = ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa"];
      const found = await globalThis.axe.run(document, { runOnly: { type: "tag", values }, resultTypes: ["violations"], preload: false });
      for (const bar of bars) bar.style.position = "";
      const violations = found.violations.map(({ id, nodes }) => `${id}: ${nodes.map((node) => node.target.join(" ")).slice(0, 3).join(", ")}`);
      return { violations, wide: document.documentElement.scrollWidth - innerWidth };
    });
    const at = `${this.page.url()} at ${this.page.viewport().width} px`;
    if (violations.length) throw new Error(`${at} breaks ${violations.join("; ")}`);
    if (wide > 0) throw new Error(`${at} scrolls ${wide} px sideways`);
  }

  async picture(path, options = {}) {
    await this.page.screenshot({ path, fullPage: true, ...options });
  }
}
