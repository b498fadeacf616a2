// Finds every kind of page by its links, and looks at each in its widths and themes.
export const WIDTHS = [320, 390, 820, 1280];
export const THEMES = ["light", "dark"];
/** What a link does not lead to: files, and pages that do something when they are opened. */
export const NO_PAGE = /\.(pdf|csv|ics|svg|tar|jpg)$|\/(proof|entry|draft\/)|^\/(sign-out|static)/;

/** The kind of page: its address without the codes in it. */
export const kindOf = (path) =>
  new URL(path, "http://page").pathname
    .split("/")
    .map((part) => (/\d/.test(part) || /^[0-9A-Z-]{6,}$/.test(part) ? "#" : part))
    .join("/");

/** Walks the links from the first page and hands over each page; of one kind as many as `each` says. */
export async function pages(person, look, { each = 1, known = new Map() } = {}) {
  const waiting = ["/"];
  const seen = new Set(waiting);
  while (waiting.length) {
    const path = waiting.shift();
    const kind = kindOf(path);
    // Everybody begins at a first page of one's own.
    if (path !== "/" && (known.get(kind) ?? 0) >= each) continue;
    // A file is loaded down, and the page stays.
    const answer = await person.go(path).catch((error) => (/ERR_ABORTED/.test(error.message) ? null : Promise.reject(error)));
    if (!answer?.headers()["content-type"]?.startsWith("text/html")) continue;
    if (answer.status() >= 400) throw new Error(`${path} answers ${answer.status()}`);
    known.set(kind, (known.get(kind) ?? 0) + 1);
    await look(path, kind);
    const links = await person.page.$$eval("a[href]", (all) => all.map((link) => link.getAttribute("href")));
    for (const link of links) {
      const to = new URL(link, person.page.url());
      const inside = to.pathname;
      if (to.origin !== person.server.address || NO_PAGE.test(inside) || seen.has(inside)) continue;
      seen.add(inside);
      waiting.push(inside);
    }
  }
  return known;
}

/** The page as it stands, in one width and theme. */
export async function shown(person, width, theme) {
  await person.page.setViewport({ width, height: width < 500 ? 844 : 900 });
  await person.page.emulateMediaFeatures([{ name: "prefers-color-scheme", value: theme }]);
}
