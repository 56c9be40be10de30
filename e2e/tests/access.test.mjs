// Signing in, by keyboard: turning it on, an account for somebody, a closed record opened with a reason, the trail.
import assert from "node:assert/strict";
import { after, before, test } from "node:test";
import { accessible, browser, demoPractice, desktop, open, serve, shot, tablet, type } from "../lib.mjs";

const PASSPHRASE = "heron under grey slate";
let server, chrome;

before(async () => {
  server = await serve(demoPractice());
  chrome = await browser();
});

after(async () => {
  await chrome?.close();
  await server?.stop();
});

async function signIn(page, login, passphrase) {
  await page.goto(`${server.address}/sign-in`);
  await type(page, page.getByLabel("Sign-in name"), login);
  await type(page, page.getByLabel("Passphrase", { exact: true }), passphrase);
  // The page that follows, and not only the answer that leads there: else going on would cut it off.
  await Promise.all([page.waitForEvent("framenavigated"), page.keyboard.press("Enter")]);
  await page.waitForLoadState();
}

test("signing in is turned on, and from then on nobody sees anything without it", async () => {
  const page = await open(chrome, desktop);
  await page.goto(`${server.address}/people`);
  if (new URL(page.url()).pathname === "/who") {
    await page.locator("button[name=worker]").first().click();
    await page.goto(`${server.address}/people`);
  }
  await type(page, page.getByLabel("Sign-in name"), "ada");
  await type(page, page.getByLabel("Passphrase, twelve characters or more"), PASSPHRASE);
  await type(page, page.getByLabel("Once more"), PASSPHRASE);
  await shot(page, "access-first");
  await accessible(page, "turning signing in on");
  await page.keyboard.press("Enter");
  // The address stays the same: what shows the next page is what stands on it.
  await page.getByRole("link", { name: "Keys for machines" }).waitFor();
  await shot(page, "access-people");
  await accessible(page, "people");

  const stranger = await open(chrome, tablet);
  await stranger.goto(`${server.address}/`);
  assert.equal(new URL(stranger.url()).pathname, "/sign-in");
  await shot(stranger, "access-sign-in");
  await accessible(stranger, "sign in");
  await signIn(stranger, "ada", "heron under blue slate");
  await stranger.getByRole("alert").waitFor();
  await shot(stranger, "access-wrong");
  await signIn(stranger, "ada", PASSPHRASE);
  await stranger.waitForURL(`${server.address}/`);
  await stranger.goto(`${server.address}/account`);
  await shot(stranger, "access-account");
  await accessible(stranger, "own account");
  await stranger.getByRole("button", { name: "Set them up" }).click();
  await stranger.getByLabel("Six digits").waitFor();
  await shot(stranger, "access-codes");
  await accessible(stranger, "one-time codes");
  await stranger.getByRole("button", { name: "Sign out", exact: true }).click();
  assert.equal(new URL(stranger.url()).pathname, "/sign-in");
});

test("an assistant sees what the role allows, and a closed record only with a reason", async () => {
  const ada = await open(chrome, desktop);
  await signIn(ada, "ada", PASSPHRASE);
  await ada.goto(`${server.address}/people`);
  await type(ada, ada.getByLabel("Name, if new"), "Bo Invented");
  await type(ada, ada.locator("#new-login"), "bob");
  await type(ada, ada.locator("#new-passphrase"), "a first one to change");
  await ada.locator("section[aria-labelledby=new] input[name=assistant]").check();
  await ada.getByRole("button", { name: "Add", exact: true }).click();
  await ada.goto(`${server.address}/`);
  await ada.locator("a[href^='/patient/']").first().click();
  const record = ada.url();
  await ada.getByText("Change it").click();
  await ada.getByLabel("Close it to all but you and:").check();
  await ada.locator("section[aria-labelledby=closure] button").click();
  await ada.getByText("Closed", { exact: true }).waitFor();
  await shot(ada, "access-closure");
  await accessible(ada, "a closed record's own page");

  const bo = await open(chrome, tablet);
  await signIn(bo, "bob", "a first one to change");
  await bo.waitForURL("**/account");
  await type(bo, bo.getByLabel("New passphrase"), "otter by the old weir");
  await type(bo, bo.getByLabel("Once more"), "otter by the old weir");
  await Promise.all([bo.waitForResponse((r) => r.request().method() === "POST"), bo.keyboard.press("Enter")]);
  await bo.getByRole("heading", { name: "One-time codes" }).waitFor();
  await bo.goto(`${server.address}/practice`);
  assert.equal(await bo.getByRole("link", { name: "People" }).count(), 0, "no way to people");
  await bo.goto(`${server.address}/people`);
  assert.match(await bo.locator("main").innerText(), /your roles do not let you/i);
  await shot(bo, "access-not-for-you");
  await bo.goto(record);
  assert.match(bo.url(), /\/closed$/);
  await accessible(bo, "closed to you");
  await shot(bo, "access-closed");
  await type(bo, bo.getByLabel("Why it cannot wait"), "Fell in the waiting room and nobody else is here");
  await bo.getByRole("button", { name: "Open it for an hour" }).click();
  await bo.waitForURL(record);

  await ada.goto(`${server.address}/trail`);
  assert.match(await ada.locator("main").innerText(), /Fell in the waiting room/);
  await shot(ada, "access-trail");
  await accessible(ada, "trail");
  await ada.getByRole("button", { name: "Check everything now" }).click();
  await ada.getByText("Everything is whole").waitFor();
});

test("a whole record leaves as a ZIP that holds a page to read", async () => {
  const ada = await open(chrome, desktop);
  await signIn(ada, "ada", PASSPHRASE);
  await ada.locator("a[href^='/patient/']").first().click();
  const download = ada.waitForEvent("download");
  await ada.getByRole("button", { name: "Take the record out (ZIP)" }).click();
  assert.match((await download).suggestedFilename(), /^record-[0-9a-f-]{36}\.zip$/);
});
