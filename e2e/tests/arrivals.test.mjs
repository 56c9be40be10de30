// Films that come in by themselves and results that go out, by keyboard: the list, taking one into a visit, putting one away
// and back; the page of sending.
import assert from "node:assert/strict";
import { spawnSync } from "node:child_process";
import { cpSync, readdirSync } from "node:fs";
import { join } from "node:path";
import { after, before, test } from "node:test";
import { accessible, browser, demo, demoPractice, desktop, enter, folder, open, press, serve, shot, tablet, type } from "../lib.mjs";

let server, chrome;

function run(program, ...args) {
  const done = spawnSync(program, args, { encoding: "utf8" });
  assert.equal(done.status, 0, `${program}: ${done.stderr ?? done.error}`);
}

/** A film of the demo under another person's name, sent as a hospital's archive would. */
function send(number, name, day) {
  const films = join(demo(), "films");
  const one = join(films, readdirSync(films).filter((f) => f.endsWith(".dcm"))[0]);
  const film = join(folder(), "film.dcm");
  cpSync(one, film);
  const of = (key, value) => ["-i", `${key}=${value}`];
  run("dcmodify", "-nb", "-gin", ...of("PatientID", number), ...of("PatientName", name), ...of("AcquisitionDate", day), ...of("StudyDate", day), ...of("ContentDate", day), film);
  run("storescu", "-aet", "XRAY", "-aec", "TIEBEAM", "127.0.0.1", server.films, film);
}

before(async () => {
  server = await serve(demoPractice(), "0", ["--dicom-port", "0", "--dicom-peer", "Hospital=ARCHIVE@127.0.0.1:1"]);
  chrome = await browser();
});

after(async () => {
  await chrome?.close();
  await server?.stop();
});

test("films that wait are taken into a visit, put away with a reason and put back, by keyboard", async () => {
  const page = await open(chrome, desktop);
  await enter(page, `${server.address}/arrivals`);
  await page.getByText("No film waits.").waitFor();
  await accessible(page, "no film waits");

  // Somebody the practice has, by name alone, and somebody it does not have.
  await page.goto(`${server.address}/`);
  await page.locator("a[href^='/patient/'], a[href^='/visit/']").first().click();
  if (page.url().includes("/visit/")) await page.locator("main a[href^='/patient/']").first().click();
  await page.waitForURL("**/patient/*");
  const name = (await page.locator("h1").innerText()).trim();
  const [given, ...family] = name.split(" ");
  send("", `${family.join(" ")}^${given}`, "20240517");
  send("ELSEWHERE-7", "Quite^Other", "20240518");

  await page.goto(`${server.address}/`);
  const place = page.getByRole("link", { name: "Films that wait 2" });
  await press(page, place);
  await page.waitForURL("**/arrivals");
  await page.locator(".arrival img").nth(1).scrollIntoViewIfNeeded();
  await page.waitForFunction(() => [...document.querySelectorAll(".arrival img")].every((i) => i.complete && i.naturalWidth > 0));
  await page.evaluate(() => scrollTo(0, 0));
  await shot(page, "arrivals", true);
  await accessible(page, "films that wait");
  await page.setViewportSize(tablet);
  await shot(page, "arrivals-tablet", true);
  await accessible(page, "films that wait on a tablet");
  await page.setViewportSize(desktop);

  const first = page.locator(".arrival").first();
  await press(page, first.getByRole("button", { name: /^Take it in/ }).first());
  await page.waitForURL("**/film/*");
  await page.goto(`${server.address}/arrivals`);
  assert.equal(await page.locator(".arrival").count(), 1);

  const other = page.locator(".arrival").first();
  await type(page, other.getByRole("searchbox", { name: "Find somebody else" }), name);
  await page.keyboard.press("Enter");
  await page.getByRole("heading", { name: "Found" }).waitFor();
  await page.getByRole("button", { name: `Take it in for`, exact: false }).first().waitFor();
  await shot(page, "arrivals-found", true);
  await accessible(page, "somebody else was looked for");

  await press(page, page.locator("summary", { hasText: "Put it away" }));
  await type(page, page.getByLabel("Why it is nobody's film here"), "sent to the wrong house");
  await page.keyboard.press("Enter");
  await page.locator("#away").waitFor();
  await page.getByText("sent to the wrong house").waitFor();
  await shot(page, "arrivals-away", true);
  await accessible(page, "a film was put away");
  await press(page, page.getByRole("button", { name: /^Put it back/ }));
  await page.locator(".arrival").waitFor();
  assert.equal(await page.locator(".arrival").count(), 1);
  assert.deepEqual(page.faults, []);
});

test("what was read is sent from the film's page, and the page says what became of it", async () => {
  const page = await open(chrome, desktop);
  await enter(page, `${server.address}/`);
  await page.locator("a[href^='/patient/'], a[href^='/visit/']").first().click();
  if (page.url().includes("/patient/")) await page.locator("main a[href^='/visit/']").first().click();
  await page.waitForURL("**/visit/*");
  const send = page.locator("a[href^='/film/'][href$='/send']").first();
  await press(page, send);
  await page.waitForURL("**/send");
  await page.getByRole("heading", { name: "As files" }).waitFor();
  await press(page, page.getByRole("button", { name: "Send", exact: true }));
  await page.getByRole("heading", { name: "What became of it" }).waitFor();
  for (let i = 0; i < 30 && !(await page.getByText("waits for another try").count()); i++) {
    await page.waitForTimeout(500);
    await page.reload();
  }
  await page.getByText("Could not reach the other side").waitFor();
  await shot(page, "send", true);
  await accessible(page, "sending");
  await page.setViewportSize(tablet);
  await shot(page, "send-tablet", true);
  await accessible(page, "sending on a tablet");
  assert.deepEqual(page.faults, []);
});
