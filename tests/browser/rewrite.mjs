// What somebody can do who holds the database and the key: change a leaf, and compute and sign everything again.
import { execFileSync } from "node:child_process";
import { createHash, createPrivateKey, sign } from "node:crypto";
import { readFileSync, writeFileSync } from "node:fs";
import { join } from "node:path";

const ask = (folder, script, input) =>
  JSON.parse(
    execFileSync("python3", ["-c", `import json, sqlite3, sys\ndb = sqlite3.connect(sys.argv[1])\n${script}`, join(folder, "vestibule.sqlite")], {
      input: JSON.stringify(input ?? null),
      maxBuffer: 1 << 28,
    }).toString() || "null",
  );
const sha256 = (...parts) => parts.reduce((hash, part) => hash.update(part), createHash("sha256")).digest();
const leafHash = (body) => sha256(Buffer.from([0]), Buffer.from(body));
const nodeHash = (left, right) => sha256(Buffer.from([1]), left, right);

/** The key in the file beside the database: its name, and what it signs with. */
function keyIn(folder) {
  const file = readFileSync(join(folder, "record.key"), "utf8");
  const seed = Buffer.from(/^seed (.+)$/m.exec(file)[1], "base64");
  // RFC 8410: the fixed beginning of an Ed25519 private key in DER.
  const der = Buffer.concat([Buffer.from("302e020100300506032b657004220420", "hex"), seed]);
  const key = createPrivateKey({ key: der, format: "der", type: "pkcs8" });
  return { name: /^name (.+)$/m.exec(file)[1], key };
}

/** Changes the body of leaf `number` in the stopped program's database; everything in it agrees afterwards. */
export function rewrite(folder, number, change) {
  const before = ask(folder, "print(json.dumps([db.execute('SELECT body FROM leaf ORDER BY number').fetchall(), db.execute('SELECT checkpoint FROM record_head').fetchone()[0]]))");
  const [rows, note] = before;
  const bodies = rows.map(([body]) => body);
  bodies[number] = change(bodies[number]);
  const peaks = []; // of falling size, each with its level
  const nodes = [];
  bodies.forEach((body, place) => {
    let [hash, level] = [leafHash(body), 0];
    while ((place >> level) & 1) {
      hash = nodeHash(peaks.pop(), hash);
      level += 1;
      if (level % 8 === 0) nodes.push([hash.toString("hex"), level / 8, place >> level]);
    }
    peaks.push(hash);
  });
  const root = [...peaks].reverse().reduce((right, left) => (right ? nodeHash(left, right) : left), null);
  const { name, key } = keyIn(folder);
  const text = `${name}\n${bodies.length}\n${root.toString("base64")}\n`;
  const id = Buffer.from(note.trim().split(" ").pop(), "base64").subarray(0, 4);
  const signed = `${text}\n— ${name} ${Buffer.concat([id, sign(null, Buffer.from(text), key)]).toString("base64")}\n`;
  ask(
    folder,
    `
it = json.load(sys.stdin)
for (name,) in db.execute("SELECT name FROM sqlite_master WHERE type = 'trigger'").fetchall(): db.execute(f"DROP TRIGGER {name}")
db.execute("UPDATE leaf SET body = ?, hash = ? WHERE number = ?", it["leaf"])
db.executemany("UPDATE tree_node SET hash = ? WHERE level = ? AND place = ?", it["nodes"])
db.execute("UPDATE record_head SET peaks = ?, checkpoint = ?", it["head"])
db.execute("DELETE FROM witness")
db.commit()
`,
    {
      leaf: [bodies[number], leafHash(bodies[number]).toString("hex"), number],
      nodes,
      head: [Buffer.concat(peaks).toString("hex"), signed],
    },
  );
  // Whoever holds the key holds the file beside it too: two places of 4096 bytes, the newest in either.
  const place = Buffer.alloc(2 * 4096);
  place.write(signed);
  writeFileSync(join(folder, "record.last"), place);
}
