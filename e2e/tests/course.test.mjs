// Three visits of one foot by keyboard alone: what was given, what it became, and what changed; and what
// cannot have happened, refused with a sentence and nothing lost.
import assert from "node:assert/strict";
import { spawnSync } from "node:child_process";
import { readFileSync, readdirSync } from "node:fs";
import { join } from "node:path";
import { after, before, test } from "node:test";
import { accessible, browser, choose, desktop, folder, open, press, serve, shot, tablet, tabTo, tiebeam, type, unfold } from "../lib.mjs";

let chrome;

before(async () => {
  chrome = await browser();
});

after(async () => {
  await chrome?.close();
});

const question = (page, id) => page.locator(`[id="${id}"]`);

/** Does what sends a form, and waits for the page that answers. */
async function sends(page, act) {
  const loaded = page.waitForEvent("load");
  await act();
  await loaded;
}

/** A day so long ago, as a date input takes it from the keyboard, and as an address or a value has it. */
function day(ago) {
  const d = new Date();
  d.setDate(d.getDate() - ago);
  const two = (n) => String(n).padStart(2, "0");
  const [y, m, n] = [d.getFullYear(), two(d.getMonth() + 1), two(d.getDate())];
  return { keys: `${m}${n}${y}`, iso: `${y}-${m}-${n}` };
}

async function date(page, field, ago) {
  await unfold(page, field);
  await tabTo(page, field);
  await page.keyboard.type(day(ago).keys);
  assert.equal(await field.inputValue(), day(ago).iso);
}

/** An invented lateral film whose arch is down so far, with its points. */
function film(t, collapse, seed) {
  const dir = folder(t);
  const made = spawnSync(tiebeam, ["phantom", "--view", "lateral", "--side", "left", "--collapse", String(collapse), "--seed", String(seed), "--out", dir], { encoding: "utf8" });
  assert.equal(made.status, 0, made.stderr);
  const named = (end) => join(dir, readdirSync(dir).find((f) => f.endsWith(end)));
  return { path: named(".dcm"), points: JSON.parse(readFileSync(named(".points.json"))).points };
}

async function begin(page, address) {
  await page.goto(address);
  await page.waitForURL(/\/start$/);
  await type(page, page.getByLabel("Name of the practice"), "Rooms at Testmoor (invented)");
  await type(page, page.getByLabel(/^Your name/), "Dr Tess Invented");
  await press(page, page.getByRole("button", { name: "Begin" }));
  await page.waitForURL((url) => url.pathname === "/");
  await press(page, page.getByRole("link", { name: "Add a patient" }));
  await type(page, page.getByLabel("Given name"), "Una");
  await type(page, page.getByLabel("Family name"), "Keyes");
  await type(page, page.getByLabel("Chart number"), "T-1");
  await tabTo(page, page.getByLabel("Born on"));
  await page.keyboard.type("03141968");
  await choose(page, page.getByRole("group", { name: /^Sex/ }), "female");
  await press(page, page.getByRole("button", { name: "Save" }));
  await page.waitForURL(/\/patient\/[0-9a-f-]+$/);
  return page.url();
}

/** A visit on a day: pain, the film with its points, and closed again. */
async function visit(page, patient, ago, pain, shown) {
  await page.goto(patient);
  await type(page, page.getByLabel("Why they come"), "Inner ankle, left");
  await date(page, page.locator("#visit-on"), ago);
  await press(page, page.getByRole("button", { name: "Start a visit" }));
  await page.waitForURL(/\/visit\/[0-9a-f-]+$/);
  const address = page.url();
  await type(page, question(page, "left.pain_level").locator("input"), String(pain));
  await page.keyboard.press("Tab");
  await page.waitForFunction(() => /^Saved/.test(document.getElementById("saved-left")?.textContent ?? ""));
  await unfold(page, page.locator("#film-file"));
  await tabTo(page, page.locator("#film-file"));
  const chooser = page.waitForEvent("filechooser");
  await page.keyboard.press("Enter");
  await (await chooser).setFiles(shown.path);
  await tabTo(page, page.locator("#film-worn"));
  await page.keyboard.press("ArrowDown");
  assert.equal(await page.locator("#film-worn").inputValue(), "bare");
  await press(page, page.getByRole("button", { name: "Take the film in" }));
  await page.waitForURL(/\/film\/[0-9a-f-]+$/);
  await date(page, page.locator("#taken-on"), ago);
  await sends(page, () => page.keyboard.press("Enter"));
  await press(page, page.getByRole("link", { name: "Points and readings as tables" }));
  await page.waitForURL(/plain=yes/);
  for (const [key, p] of Object.entries(shown.points)) {
    await type(page, page.locator(`[name="x-${key}"]`), p.x_px.toFixed(1));
    await type(page, page.locator(`[name="y-${key}"]`), p.y_px.toFixed(1));
  }
  await sends(page, () => press(page, page.getByRole("button", { name: "Finish this placing" })));
  await page.goto(address);
  return address;
}

async function close(page, address) {
  await page.goto(address);
  await sends(page, () => press(page, page.getByRole("button", { name: "Close the visit" })));
}

test("three visits of one foot by keyboard: boot, check, device, and whether the arch has changed", async (t) => {
  const server = await serve(join(folder(t), "practice"));
  t.after(() => server.stop());
  const page = await open(chrome, desktop);
  const patient = await begin(page, server.address);

  const first = await visit(page, patient, 200, 6, film(t, 0.2, 3));
  await press(page, page.getByRole("link", { name: "Write down what was given" }));
  await page.waitForURL(/\/care$/);
  await accessible(page, "the page of care, empty");
  await press(page, page.getByRole("link", { name: /boot or cast.*left foot/ }));
  await page.waitForURL(/kind=boot/);
  await accessible(page, "the form of a boot");
  // A boot that came off before it went on: a sentence, and what was typed is still there.
  await date(page, page.getByLabel("From"), 200);
  await date(page, page.getByLabel("Until"), 201);
  await type(page, question(page, "care.boot_weeks").locator("input"), "6");
  await press(page, page.getByRole("button", { name: "Save" }));
  const alarm = page.getByRole("alert");
  await alarm.waitFor();
  assert.match(await alarm.textContent(), new RegExp(`taken off on ${day(201).iso}, before it was given on ${day(200).iso}`));
  assert.equal(await question(page, "care.boot_weeks").locator("input").inputValue(), "6");
  await accessible(page, "the form of a boot, refused");
  await date(page, page.getByLabel("Until"), 158);
  await press(page, page.getByRole("button", { name: "Save" }));
  await page.waitForURL(/\/care#c-/);
  assert.match(await page.locator("article").textContent(), /Boot or cast, left foot/);
  await close(page, first);

  const second = await visit(page, patient, 100, 4, film(t, 0.5, 3));
  await press(page, page.getByRole("link", { name: "Write down what was given" }));
  await page.waitForURL(/\/care$/);
  await press(page, page.locator("summary", { hasText: "Write something down for the left foot" }));
  await press(page, page.getByRole("link", { name: /^device.*left foot/ }));
  await page.waitForURL(/kind=device/);
  await date(page, page.getByLabel("From"), 100);
  await choose(page, question(page, "care.device_kind"), "foot_orthosis");
  await press(page, page.getByRole("button", { name: "Save" }));
  await page.waitForURL(/\/care#c-/);
  const due = page.locator('section[aria-labelledby="due"]');
  assert.match(await due.textContent(), /due now.*Foot orthosis, left foot/s);
  await press(page, due.getByRole("link", { name: /Write the check down/ }).first());
  await page.waitForURL(/kind=check/);
  await type(page, question(page, "care.check_hours").locator("input"), "9");
  await choose(page, question(page, "care.check_skin"), "sound");
  await press(page, page.getByRole("button", { name: "Save" }));
  await page.waitForURL(/\/care#c-/);
  assert.match(await due.textContent(), /Nothing is due/);
  assert.match(await page.locator(".care-check").first().textContent(), /Worn, hours a day.*9 hours/s);
  // Undo: one step back, and it says so.
  await press(page, page.locator(".care-check").first().getByRole("link", { name: /Change/ }));
  await type(page, question(page, "care.check_hours").locator("input"), "3");
  await press(page, page.getByRole("button", { name: "Save" }));
  await page.waitForURL(/\/care#c-/);
  await press(page, page.locator(".care-check").first().getByRole("link", { name: /Change/ }));
  await press(page, page.getByRole("button", { name: "Undo the last change" }));
  await page.waitForURL(/\/care#c-/);
  assert.match(await page.locator(".care-check").first().textContent(), /9 hours/);
  await accessible(page, "the page of care");
  await close(page, second);

  await visit(page, patient, 0, 2, film(t, 0.9, 3));
  await page.goto(patient);
  await accessible(page, "the patient's page");
  await press(page, page.getByRole("link", { name: "Course over time" }));
  await page.waitForURL(/\/course/);
  const left = page.locator(".trend").first();
  assert.match(await left.textContent(), /changed.*Changed by/s);
  assert.match(await page.locator("main").textContent(), /Pain, 0 to 10 changed by −4.0.*\(better\)/s);
  assert.match(await page.locator("main").textContent(), /Before and after: Foot orthosis/);
  await type(page, page.getByLabel("A change of what size matters to you?"), "4");
  await press(page, page.getByRole("button", { name: "Show" }));
  await page.waitForURL(/size=4/);
  assert.match(await page.locator("figcaption").first().textContent(), /probability|%/i);
  await accessible(page, "the course");
  await shot(page, "course", true);
  await page.setViewportSize(tablet);
  await accessible(page, "the course on a tablet");
  await shot(page, "course-tablet", true);
  assert.deepEqual(page.faults.filter((f) => !/422/.test(f)), []);
});

test("days that cannot be are refused with a sentence: a visit ahead, a visit before birth, a birth ahead", async (t) => {
  const server = await serve(join(folder(t), "practice"));
  t.after(() => server.stop());
  const page = await open(chrome, desktop);
  const patient = await begin(page, server.address);
  const post = (on) => page.evaluate(async ([to, on]) => {
    const answer = await fetch(`${to}/visits`, { method: "POST", body: new URLSearchParams({ reason: "x", on }) });
    return [answer.status, (await answer.text()).replace(/\s+/g, " ")];
  }, [patient, on]);
  const [ahead, aheadSaid] = await post(day(-3).iso);
  assert.equal(ahead, 422);
  assert.match(aheadSaid, /as the day of the visit, which lies ahead; expected today/);
  const [early, earlySaid] = await post("1960-01-01");
  assert.equal(early, 422);
  assert.match(earlySaid, /lies before the patient.{1,6}s birth/);
  assert.doesNotMatch(earlySaid, /1968/);
  await page.goto(patient);
  assert.match(await page.locator("main").textContent(), /No visit yet/);
});
