// Starts the program on a data folder and a browser beside it; what every browser test needs.
import { spawn, spawnSync } from "node:child_process";
import { existsSync, mkdirSync, mkdtempSync, rmSync } from "node:fs";
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

/** A folder of its own, taken away at the end. */
export function folder(t) {
  const dir = mkdtempSync(join(tmpdir(), "tiebeam-e2e-"));
  t?.after(() => rmSync(dir, { recursive: true, force: true }));
  return dir;
}

/** Makes the demo practice once for all tests of a run. */
export function demo() {
  const out = join(here, "shots", "demo");
  mkdirSync(out, { recursive: true });
  const done = spawnSync(tiebeam, ["demo", "--no-serve", "--out", out], { encoding: "utf8" });
  if (done.status !== 0) throw new Error(`the demo failed: ${done.stderr}`);
  return out;
}

/** Serves a data folder on a free port; gives the address and a way to stop. */
export async function serve(data) {
  const child = spawn(tiebeam, ["serve", "--data", data, "--port", "0"], { stdio: ["ignore", "pipe", "pipe"] });
  const address = await new Promise((resolve, reject) => {
    let said = "";
    child.stdout.on("data", (chunk) => {
      said += chunk;
      const found = said.match(/http:\/\/127\.0\.0\.1:\d+/);
      if (found) resolve(found[0]);
    });
    child.on("exit", (code) => reject(new Error(`the server ended with ${code}: ${said}`)));
    child.stderr.on("data", (chunk) => (said += chunk));
  });
  return {
    address,
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
    args: ["--no-sandbox", "--use-angle=swiftshader", "--enable-unsafe-swiftshader"],
  });
}

/** A page that fails the test when the page's own script fails. */
export async function open(at, viewport = desktop) {
  const context = await at.newContext({ viewport });
  const page = await context.newPage();
  page.faults = [];
  page.on("pageerror", (e) => page.faults.push(String(e)));
  page.on("console", (m) => {
    if (m.type() === "error") page.faults.push(m.text());
  });
  return page;
}

/** Rules of WCAG 2.2 A and AA; every violation is named with its places. */
export async function accessible(page, name) {
  const found = await new AxeBuilder({ page }).withTags(["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa", "best-practice"]).analyze();
  const list = found.violations.map((v) => `${v.id}: ${v.nodes.map((n) => n.target.join(" ")).join(" | ")}`);
  if (list.length) throw new Error(`${name} is not accessible:\n  ${list.join("\n  ")}`);
}

export async function shot(page, name) {
  mkdirSync(shots, { recursive: true });
  await page.screenshot({ path: join(shots, `${name}.png`) });
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
