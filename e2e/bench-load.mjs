// A hundred clinicians at once, twice a second each, for five minutes, on a practice of 2,000 invented people: prints BENCH rows.
// `bench-load.mjs CLINICIANS SECONDS` asks for others.
import { spawnSync } from "node:child_process";
import { dirname, join } from "node:path";
import { demo, folder, tiebeam } from "./lib.mjs";

const [clinicians = "100", seconds = "300"] = process.argv.slice(2);
const [people, visits] = [2_000, 4];
const today = new Date().toLocaleDateString("sv-SE");
const data = join(folder(), "practice");
const beside = (name) => join(dirname(tiebeam), "examples", name);
const made = spawnSync(beside("many_patients"), [join(demo(), "practice"), data, String(people), String(visits), today], { encoding: "utf8", maxBuffer: 1 << 26 });
if (made.status !== 0) throw new Error(`the large practice was not made: ${made.stderr}`);
const asked = spawnSync(beside("load"), [tiebeam, data, clinicians, seconds], { stdio: ["ignore", "inherit", "inherit"] });
process.exitCode = asked.status ?? 1;
