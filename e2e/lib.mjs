// Starts the program on a data folder and a browser beside it; what every browser test needs.
import { spawn, spawnSync } from "node:child_process";
import { cpSync, existsSync, mkdirSync, mkdtempSync, readFileSync, rmSync, statSync, writeFileSync } from "node:fs";
import { tmpdir } from "node:os";
import { dirname, join } from "node:path";
import { fileURLToPath } from "node:url";
import { AxeBuilder } from "@axe-core/playwright";
import { chromium } from "playwright-core";

const here = dirname(fileURLToPath(import.meta.url));
export const root = join(here, "..");
export const tiebeam = join(process.env.CARGO_TARGET_DIR ?? join(root, "target"), "debug", "tiebeam");
export const shots = join(here, "shots");

export const desktop = { width: 1440, height: 900 };
export const tablet = { width: 820, height: 1180 };

/** A folder of its own, taken away when the test, or else the run, ends. */
export function folder(t) {
  const dir = mkdtempSync(join(tmpdir(), "tiebeam-e2e-"));
  const remove = () => rmSync(dir, { recursive: true, force: true });
  if (t) t.after(remove);
  else process.on("exit", remove);
  return dir;
}

/** The demo's files, made once for one build of the program; tests work on copies of its practice. */
export function demo() {
  const out = join(here, "shots", "demo");
  const made = join(out, "made-by");
  const build = `${tiebeam} ${statSync(tiebeam).mtimeMs}`;
  if (existsSync(made) && readFileSync(made, "utf8") === build) return out;
  rmSync(out, { recursive: true, force: true });
  mkdirSync(out, { recursive: true });
  const done = spawnSync(tiebeam, ["demo", "--no-serve", "--out", out], { encoding: "utf8" });
  if (done.status !== 0) throw new Error(`the demo failed: ${done.stderr}`);
  writeFileSync(made, build);
  return out;
}

/** A copy of the demo practice that a test may change. */
export function demoPractice() {
  const data = join(folder(), "practice");
  cpSync(join(demo(), "practice"), data, { recursive: true });
  return data;
}

/** Serves a data folder, on a free port where none is named, with further options; gives the address, the port for films and a way to stop. */
export async function serve(data, port = "0", more = [], env = {}) {
  const child = spawn(tiebeam, ["serve", "--data", data, "--port", port, ...more], { env: { ...process.env, ...env }, stdio: ["ignore", "pipe", process.env.SHOW ? "inherit" : "pipe"] });
  let films;
  const address = await new Promise((resolve, reject) => {
    let said = "";
    child.stdout.on("data", (chunk) => {
      said += chunk;
      const found = said.match(/http:\/\/127\.0\.0\.1:\d+/);
      films = said.match(/Films come in on port (\d+)/)?.[1];
      if (found && (films || !more.includes("--dicom-port"))) resolve(found[0]);
    });
    child.on("exit", (code) => reject(new Error(`the server ended with ${code}: ${said}`)));
    child.stderr?.on("data", (chunk) => (said += chunk));
  });
  return {
    address,
    films,
    pid: child.pid,
    stop: (signal = "SIGINT") =>
      new Promise((resolve) => {
        child.once("exit", resolve);
        child.kill(signal);
      }),
  };
}

export async function browser() {
  const found = ["/usr/bin/chromium", "/usr/bin/chromium-browser", "/usr/bin/google-chrome"].find(existsSync);
  if (!found) throw new Error("found no Chromium; install it (Debian: apt-get install chromium)");
  return chromium.launch({
    executablePath: found,
    args: ["--no-sandbox", "--enable-unsafe-swiftshader"],
  });
}

/** A page whose script faults are gathered in `page.faults`. */
export async function open(at, viewport = desktop) {
  const context = await at.newContext({ viewport, locale: "en-US", acceptDownloads: true });
  const page = await context.newPage();
  page.faults = [];
  // Listening from the start: the first key on a file input must already find somebody who answers.
  page.on("filechooser", () => {});
  page.on("pageerror", (e) => page.faults.push(String(e)));
  page.on("console", (m) => {
    if (m.type() === "error") page.faults.push(m.text());
  });
  return page;
}

/** Goes to a page; where several people work here, as the first of them. */
export async function enter(page, address) {
  await page.goto(address);
  if (new URL(page.url()).pathname === "/who") {
    await page.locator('button[name="worker"]').first().click();
    await page.waitForURL((url) => url.pathname !== "/who");
    await page.goto(address);
  }
}

/** Presses Tab until the element has the focus; fails where the keyboard does not reach it. */
export async function tabTo(page, target, most = 900) {
  const element = await target.elementHandle();
  if (!element) throw new Error(`there is no ${target}`);
  for (let i = 0; i < most; i++) {
    if (await element.evaluate((e) => e === document.activeElement)) return;
    await page.keyboard.press("Tab");
  }
  throw new Error(`${target} was not reached by ${most} presses of Tab`);
}

/** Opens the closed sections around an element by the keyboard; a section's own heading is not inside it. */
export async function unfold(page, target) {
  const closed = target.locator("xpath=(self::summary/.. | self::*[not(self::summary)])/ancestor::details[not(@open)]");
  while ((await closed.count()) > 0) {
    await tabTo(page, closed.first().locator("> summary"));
    await page.keyboard.press("Enter");
  }
}

/** Moves through a group of radio buttons by arrow keys until the value is chosen. */
export async function choose(page, group, value) {
  await unfold(page, group);
  await tabTo(page, group.locator("input:checked"));
  const wanted = group.locator(`input[value="${value}"]`);
  const count = await group.locator("input").count();
  for (let i = 0; i < count; i++) {
    if (await wanted.isChecked()) return;
    await page.keyboard.press("ArrowDown");
  }
  throw new Error(`the arrow keys do not reach ${value} of ${group}`);
}

/** Types into a field reached by Tab, over what stands there. */
export async function type(page, field, text) {
  await unfold(page, field);
  await tabTo(page, field);
  await page.keyboard.press("Control+A");
  await page.keyboard.type(text);
}

/** Reaches a button or link by Tab and presses Enter. */
export async function press(page, target) {
  await unfold(page, target);
  await tabTo(page, target);
  await page.keyboard.press("Enter");
}

/** Rules of WCAG 2.2 A and AA; every violation is named with its places. */
export async function accessible(page, name) {
  const left = await page.evaluate(() => document.documentElement.scrollWidth - document.documentElement.clientWidth);
  if (left > 0) throw new Error(`${name} is ${left} px wider than its window`);
  const found = await new AxeBuilder({ page }).withTags(["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa", "best-practice"]).analyze();
  const list = found.violations.map((v) => `${v.id}: ${v.nodes.map((n) => n.target.join(" ")).join(" | ")}`);
  if (list.length) throw new Error(`${name} is not accessible:\n  ${list.join("\n  ")}`);
}

export async function shot(page, name, whole = false) {
  mkdirSync(shots, { recursive: true });
  await page.screenshot({ path: join(shots, `${name}.png`), fullPage: whole });
}

/** The point of a film on the stage, when the whole film is shown unturned. */
export async function onStage(page, film, [x, y]) {
  const box = await page.locator(".desk-stage").boundingBox();
  const zoom = Math.min(box.width / film.width, box.height / film.height);
  return [box.x + (box.width - film.width * zoom) / 2 + x * zoom, box.y + (box.height - film.height * zoom) / 2 + y * zoom];
}

export function quantile(values, q) {
  const sorted = [...values].sort((a, b) => a - b);
  return sorted[Math.min(sorted.length - 1, Math.floor(q * sorted.length))];
}
