// How fast a large practice answers: 10,000 invented people with 8 visits each; prints BENCH rows.
import { spawnSync } from "node:child_process";
import { dirname, join } from "node:path";
import { demo, folder, quantile, serve, tiebeam } from "./lib.mjs";

const [people, visits] = [10_000, 8];
const asked = 200;
const today = new Date().toLocaleDateString("sv-SE");
const data = join(folder(), "practice");
const made = spawnSync(join(dirname(tiebeam), "examples", "many_patients"), [join(demo(), "practice"), data, String(people), String(visits), today], { encoding: "utf8", maxBuffer: 1 << 26 });
if (made.status !== 0) throw new Error(`the large practice was not made: ${made.stderr}`);
const ids = made.stdout.trim().split("\n");
const server = await serve(data);
try {
  const who = await (await fetch(`${server.address}/who`)).text();
  const worker = who.match(/name="worker" value="([^"]+)"/)?.[1];
  const headers = worker ? { cookie: `tiebeam_worker=${worker}` } : {};
  const get = async (path) => {
    const begun = performance.now();
    const answer = await fetch(server.address + path, { headers, redirect: "manual" });
    const text = await answer.text();
    const took = performance.now() - begun;
    if (answer.status !== 200) throw new Error(`${path} answered with ${answer.status}`);
    if (!text.includes("</html>")) throw new Error(`${path} was cut short`);
    return took;
  };
  const pages = [
    ["Today", () => "/"],
    ["Patient", (n) => `/patient/${ids[n % ids.length]}`],
    ["time line", (n) => `/patient/${ids[n % ids.length]}/course`],
    ["care given", (n) => `/patient/${ids[n % ids.length]}/care`],
  ];
  for (const [name, path] of pages) {
    const times = [];
    // Every page of another person, so that nothing is warm but what is warm in a clinic's day.
    for (let n = 0; n < asked; n++) times.push(await get(path(n)));
    for (const [q, part] of [[0.5, "median"], [0.95, "95th"]]) {
      const ms = Number(quantile(times, q).toFixed(1));
      const goal = part === "95th" ? 50 : null;
      console.log(`BENCH ${JSON.stringify({ name: `${name} of ${people} people with ${visits} visits, ${part}`, value: ms, unit: "ms", goal: goal === null ? "told beside" : `under ${goal}`, holds: goal === null || ms < goal, n: times.length })}`);
    }
  }
} finally {
  await server.stop();
}
