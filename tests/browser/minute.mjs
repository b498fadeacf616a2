// Writing a prescription with the keyboard alone, counted: what it costs a dentist with a patient in the chair.

/** Seconds of the model: a key or a choice, a field that is filled, a tab stop that is passed. Writing free text is not
 *  counted, nor is thinking. */
const MODEL = { key: 0.12, filled: 1.2, passed: 0.35 };
/** Stops of a walk: more than any form has. */
const MOST_STOPS = 400;
/** A date or a time is four keys: day and month, or hour and minute. The year that is next, or the half of the day, is not
 *  counted. */
const MOMENT_KEYS = 4;

/** The keys that stand for a value: now in a box for a date or a time, with the time beside a day; as in the box above; and
 *  three days after the date before. */
const NOW = "n";
const SAME = "=";
const THREE_DAYS_ON = "+++";
const SHORT = [NOW, SAME, THREE_DAYS_ON];

/** What a dentist at the chair knows, by field; whatever is asked and stands here is typed. */
export const KNOWN = {
  "dates.wanted": "2027-03-01", "dates.insertion": THREE_DAYS_ON, "dates.first_check": "2027-03-05",
  "pieces.0.arch": "upper", "pieces.0.stage": "process", "pieces.0.materials": "heat-cured resin, resin teeth", "pieces.0.opposing": "made",
  "vertical.rest_mm": "66", "vertical.occlusal_mm": "63", "readings.0.rest_mm": "66", "readings.0.occlusal_mm": "63",
  "jaw.position": "centric_relation", "jaw.keyed": "yes", "jaw.at_final_vertical": "yes", "jaw.material": "silicone", "jaw.taken_at": NOW,
  "facebow.made": "yes", "facebow.record_id": "J20", "facebow.midline_captured": "yes",
  "plane.front": "interpupillary", "plane.back": "retromolar",
  "anterior.upper_mould": "Ott7", "posterior.upper_mould": "Her2", "anterior.arrangement": "standard", "anterior.midline": "yes",
  "anterior.incisal_show_mm": "2", "anterior.smile_line": "follows_lip", "anterior.width_mm": "46", "anterior.width_method": "curve",
  "posterior.length_mm": "30", "occlusion.scheme": "lingualized",
  "shade.guide": "Hill", "shade.tab": "bir4", "shade.approved": "yes", "base_shade.guide": "Hill", "base_shade.code": "ros2",
  "impression.material": "conditioner", "impression.removed_on": NOW, "impression.keeps_hours": "24", "marking.answer": "accepted", "spare.arch": "both",
  "extractions.0.tooth": "11", "cast_trim.by": "lab", "cast_trim.facial_mm": "1", "cast_trim.photo": "yes", "cast_trim.stent": "yes",
  "reline.held_by": "jig", "order.try_in_skipped": "no", "opposing.surface": "enamel", "opposing.may_grind": "no",
  "base.material": "heat_cured", "base.strengthening": "none",
  "borders.order": "keep", "duplicate.flask": "closed", "duplicate.filling": "alginate", "duplicate.upper_minutes": "12", "duplicate.lower_minutes": "10",
};

/** What else is asked, for somebody who leaves nothing out. */
export const WHOLE = {
  ...KNOWN,
  "pieces.1.opposing": "made", "changes.0.what": "right_block", "changes.0.direction": "up", "changes.0.mm": "1",
  "readings.1.rest_mm": "66", "readings.1.occlusal_mm": "63", "anterior.lower_mould": "Ott3", "posterior.lower_mould": SAME,
  "posterior.cusp_angle": "20", "duplicate.sheet_minutes": "6",
  "enclosed.0.minutes": "10", "enclosed.1.minutes": "10", "enclosed.2.minutes": "10", "enclosed.3.minutes": "10",
};

/** The keys that choose an option from the box that has the focus: its first letters, one of them again and again, or
 *  arrows from such a place or from the end on, whichever is least. */
function keysFor(texts, from, to) {
  const plain = texts.map((text) => text.trim().toLowerCase());
  // A letter goes to the next option that begins with it, more letters to the first one that does.
  const first = plain[to][0];
  const after = [...plain.keys()].map((step) => (from + 1 + step) % plain.length);
  const letter = after.find((at) => plain[at].startsWith(first));
  const ways = [arrows(from, to), ["End", ...arrows(plain.length - 1, to)]];
  if (/[a-z0-9]/.test(first)) {
    ways.push([first, ...arrows(letter, to)]);
    const again = after.filter((at) => plain[at].startsWith(first)).indexOf(to) + 1;
    ways.push(Array(again).fill(first));
    for (let length = 2; length <= plain[to].length && !/\s/.test(plain[to].slice(0, length)); length += 1) {
      const start = plain[to].slice(0, length);
      if (plain.findIndex((text) => text.startsWith(start)) === to) {
        ways.push([...start]);
        break;
      }
    }
  }
  return ways.reduce((best, way) => (way.length < best.length ? way : best));
}

const arrows = (from, to) => Array(Math.abs(to - from)).fill(to > from ? "ArrowDown" : "ArrowUp");

/** Chooses by real keys; as many as it took. */
async function choose(page, name, word) {
  const box = await page.evaluate((name) => {
    const { options, selectedIndex } = document.activeElement;
    return { from: selectedIndex, words: [...options].map((one) => one.value), texts: [...options].map((one) => one.text) };
  }, name);
  const to = box.words.indexOf(word);
  if (to < 0) throw new Error(`${name} has no choice ${word}`);
  const keys = keysFor(box.texts, box.from, to);
  for (const key of keys) await page.keyboard.press(key);
  const chosen = await page.evaluate(() => document.activeElement.value);
  if (chosen !== word) throw new Error(`${name}: the keys ${keys.join(" ")} chose “${chosen}” and not “${word}”`);
  return keys.length;
}

/** What somebody types into a field: the keys of it. */
async function fill(page, field, text) {
  if (field.kind === "select-one") return choose(page, field.name, text);
  if (SHORT.includes(text)) {
    for (const key of text) await page.keyboard.press(key);
    return text.length;
  }
  if (field.kind === "date" || field.kind === "time") {
    const typed = field.kind === "date" ? text.replace(/(\d+)-(\d+)-(\d+)/, "$2$3$1") : text;
    await page.keyboard.type(typed);
    return MOMENT_KEYS;
  }
  await page.keyboard.type(text);
  return text.length;
}

/** Walks the form from its top to “Read and sign” by the Tab key, and fills what is asked and known. `free`: texts in one's own
 *  words, which are typed and not counted; `over`: what is chosen in place of what stands there. */
export async function walk(page, known = KNOWN, { free = {}, over = {} } = {}) {
  const count = { keys: 0, filled: 0, passed: 0, texts: 0, unknown: [], cost: [] };
  await page.evaluate(() => {
    document.activeElement?.blur();
    document.querySelector('.writing [name="order.course"]').focus();
  });
  for (let stop = 0; stop < MOST_STOPS; stop += 1) {
    const at = await page.evaluate(() => {
      const element = document.activeElement;
      if (!element || element === document.body) return { end: true };
      return {
        name: element.name ?? "", kind: element.type ?? "", value: element.value ?? "",
        asked: Boolean(element.closest(".field.asked")), go: element.name === "go" ? element.value : "",
      };
    });
    if (at.end || at.go === "sign") return { ...count, ended: at.go === "sign" };
    const other = at.asked && over[at.name] !== at.value ? over[at.name] : undefined;
    const text = other ?? (at.asked && !at.value ? known[at.name] : undefined);
    const words = at.asked && !at.value ? free[at.name] : undefined;
    if (words) {
      await page.keyboard.type(words);
      count.texts += 1;
    } else if (text) {
      const keys = await fill(page, at, text);
      if (!(await page.evaluate(() => document.activeElement.value))) throw new Error(`${at.name} is still empty`);
      count.keys += keys;
      count.filled += 1;
      count.cost.push([at.name, keys]);
    } else if (at.asked && at.kind === "textarea") {
      count.texts += 1;
    } else {
      count.passed += 1;
      if (at.asked && !at.value) count.unknown.push(at.name);
    }
    // A date has three places, a time up to three: Tab walks them one by one.
    const before = at.name;
    do {
      await page.keyboard.press("Tab");
    } while (before && ["date", "time"].includes(at.kind) && (await page.evaluate(() => document.activeElement?.name)) === before);
  }
  return { ...count, ended: false };
}

export const seconds = ({ keys, filled, passed }) => keys * MODEL.key + filled * MODEL.filled + passed * MODEL.passed;

/** Height, tab stops, the share of the window that header and bar take, and the size: as sent, and as read. */
export async function measure(page, width) {
  await page.setViewport({ width, height: width < 500 ? 844 : 900 });
  await page.reload({ waitUntil: "load" });
  return page.evaluate(() => {
    const isStop = (element) =>
      element.checkVisibility({ contentVisibilityAuto: true, visibilityProperty: true }) && element.tabIndex >= 0 && !element.disabled && element.type !== "hidden";
    const stops = [...document.querySelectorAll("a[href], button, input, select, textarea, summary")].filter(isStop);
    const high = (query) => document.querySelector(query)?.offsetHeight ?? 0;
    const bars = high(".top") + high(".rooms") + high(".savebar");
    return {
      height: document.documentElement.scrollHeight, stops: stops.length, inForm: stops.filter((one) => one.closest(".writing")).length,
      sent: Math.round(performance.getEntriesByType("navigation")[0].encodedBodySize / 1024),
      bars, share: Math.round((1000 * bars) / innerHeight) / 10, kilobytes: Math.round(performance.getEntriesByType("navigation")[0].decodedBodySize / 1024),
    };
  });
}
